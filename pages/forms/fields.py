"""Fields that several entry forms share."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, datetime, time, timedelta

import streamlit as st

from pages.forms import saving
from pages.forms.saving import latest_day
from pages.shell import device, drafts, entry, session, telling
from pages.shell.session import Workshop
from pages.shell.time_zone import zone_name
from pages.shell.words import day_format, plain
from tracker.errors import RecordError
from tracker.intake.cells.one_cell import number_typed, read_otherwise
from tracker.intake.cells.typed import Problem
from tracker.language import N_, _
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.checks import below_least
from tracker.workshop.clocks.changes import comes_twice, is_missing, zone_named
from tracker.workshop.declarations import Column
from tracker.workshop.variants import PartType
from tracker.workshop.vocabulary import FIRST_PASS, SECOND_PASS


def printers_at_work(workshop: Workshop) -> list[str]:
    """The names of the printers that are not retired."""
    printers = workshop.records.printers
    return sorted(printers.loc[printers["retired_on"].isna(), "printer"])


def choose_printer(printer: str) -> None:
    """Every form opens for that printer; what was begun for another one is forgotten."""
    last = st.session_state.get("last-printer")
    for form, fields in drafts.OF_A_PRINTER.items():
        if st.session_state.get(f"{form}-printer", last) not in (None, printer):
            drafts.clear(*fields)
            drafts.forget(f"{form}-printer")
    st.session_state["last-printer"] = printer


def _follow(printer: str, picked_in: str) -> None:
    """The other forms open for that printer too, except those half filled in for another."""
    st.session_state["last-printer"] = printer
    for form in drafts.OF_A_PRINTER:
        if form != picked_in and not drafts.begun(form):
            drafts.forget(f"{form}-printer")


def pick_printer(workshop: Workshop, key: str) -> str | None:
    """The printers at work as one row of taps; the one used last is chosen already."""
    names = printers_at_work(workshop)
    last = st.session_state.get("last-printer")
    start = last if last in names else (names[0] if len(names) == 1 else None)
    if len(names) > 12:
        chosen = st.selectbox(
            _("Printer"),
            names,
            index=names.index(start) if start else None,
            placeholder=_("Type a few letters"),
            key=f"{key}-printer",
        )
    else:
        chosen = st.pills(
            _("Printer"),
            names,
            default=start,
            required=True,
            format_func=plain,
            key=f"{key}-printer",
        )
    if chosen and chosen != last:
        _follow(chosen, key)
    return chosen


def pick_day(workshop: Workshop, label: str, key: str) -> date:
    """The day it happened: today unless changed; the demo's today is its last day."""
    latest = latest_day(workshop)
    return any_day(label, latest, key) or latest


def any_day(label: str, value: date | None, key: str) -> date | None:
    """A day without limits: beyond one, the browser would hand over the day before in silence."""
    chosen = st.date_input(
        label, value=value, min_value=date(1000, 1, 1), max_value=date(9999, 12, 31),
        format=day_format(), key=key,
    )  # fmt: skip
    return chosen if isinstance(chosen, date) else None


def pick_moment(workshop: Workshop, label: str, key: str) -> datetime:
    """A day and a time: as the form opens the present one, which then stands as it was shown."""
    present = _five_minutes(session.now()).time()
    day, hour = _day_and_time(workshop, label, key, present)
    return _which_of_two(workshop, label, key, datetime.combine(day, hour or present))


def ask_moment(workshop: Workshop, label: str, key: str) -> datetime | None:
    """A moment that lies back: its time begins empty; None until one is said."""
    day, hour = _day_and_time(workshop, label, key, None)
    if hour is None:
        return None
    return _which_of_two(workshop, label, key, datetime.combine(day, hour))


def _which_of_two(workshop: Workshop, label: str, key: str, moment: datetime) -> datetime:
    """Where the clock was put back and showed that time twice: the one meant, by its ``fold``."""
    zone = zone_named(zone_name(workshop.records))
    if is_missing(moment, zone):
        saving.must_be_said(
            key,
            _(
                "{label}: there was no {time} on {day}, for the clocks were put forward; write "
                "the time by the new clock.",
                label=label,
                time=f"{moment:%H:%M}",
                day=numbers.day(moment.date()),
            ),
        )
    if not comes_twice(moment, zone):
        return moment
    passes = {FIRST_PASS: N_("Before clocks were put back"), SECOND_PASS: N_("After that")}
    meant = st.segmented_control(
        _("{label}: {time} came twice that night. Which one?", label=label,
          time=f"{moment:%H:%M}"),
        list(passes),
        format_func=lambda one: _(passes[one]),
        key=f"{key}-pass",
    )  # fmt: skip
    if meant is None:
        saving.must_be_said(
            key,
            _(
                "{label}: {time} came twice on {day}, for the clocks were put back; say which "
                "one is meant.",
                label=label,
                time=f"{moment:%H:%M}",
                day=numbers.day(moment.date()),
            ),
        )
    return moment.replace(fold=int(meant == SECOND_PASS))


def _day_and_time(
    workshop: Workshop, label: str, key: str, start: time | None
) -> tuple[date, time | None]:
    """The day and the time as they stand; as the form opens the time is ``start``.

    It stays while the form is open: kept is what was read, and the day does not run on either.
    """
    day_column, time_column = st.columns(2)
    with day_column:
        day = pick_day(workshop, _("{label}: day", label=label), f"{key}-day")
    at, own = f"{key}-time", f"{key}-own-time"
    if at not in st.session_state:  # the form opened just now
        st.session_state.pop(own, None)
        st.session_state[at] = start
    elif not st.session_state.get(own) and (st.session_state[at] is None) != (start is None):
        st.session_state[at] = start  # another question in the same place
    hour = time_column.time_input(
        _("{label}: time", label=label),
        key=at,
        step=timedelta(minutes=5),
        on_change=_keep_time,
        args=(own,),
    )
    return day, hour


def said_moment(moment: datetime | None, label: str) -> datetime:
    """The moment that was asked for; RecordError where none was said."""
    if moment is None:
        raise RecordError(
            _("{label}: the time is empty; about when was it? The nearest hour will do.",
              label=label)
        )  # fmt: skip
    return moment


def _keep_time(own: str) -> None:
    st.session_state[own] = True


def _five_minutes(moment: datetime) -> datetime:
    """The last whole five minutes: never ahead of the clock."""
    return moment.replace(minute=moment.minute // 5 * 5, second=0, microsecond=0)


def spaced(names: str) -> str:
    """Names typed with commas, semicolons or spaces between them, with single spaces."""
    return " ".join(re.split(r"[\s,;]+", names.strip(" \t,;")))


def pick_person() -> str:
    """Who is at the machine; this device remembers it. A paired device has its person's name."""
    if paired := entry.person():
        st.caption(_("Written down by {name}.", name=plain(paired.name)))
        return paired.name
    return st.text_input(
        _("Your name (this device keeps it)"),
        value=session.who(),
        key="who-field",
        on_change=_remember_person,
    )


def _remember_person() -> None:
    name = st.session_state.get("who-field", "").strip()
    if entry.is_somebody_elses(name):
        st.session_state["who-field"] = session.who()
        st.toast(_("A paired device bears that name; its person logs there."))
        return
    device.remember("who", name)


def number_in(
    text: str,
    column: Column,
    field: str = "",
    *,
    unit: str = "",
    price_of: PartType | None = None,
    possible: Callable[[float], bool] = lambda number: True,
) -> float | None:
    """The number typed into a text field, in the column's unit; None when it was left empty.

    ``unit`` is the one chosen beside the field; ``price_of``: the type whose piece costs that;
    ``possible``: can it be that number, of a text that reads as two? Raises RecordError with what
    was written and how to write it, UnusualFigure for one that may be a slip or another number.
    """
    number = number_typed(text, column, header_unit=unit)
    if isinstance(number, Problem):
        raise _refused(text, number.problem, number.mend, field)
    if number is None:
        return None
    other = read_otherwise(text, column, number, header_unit=unit)
    if other is not None and possible(other):
        if possible(number):
            telling.must_be_read_so(text, number, other, field)
        else:
            number = other
    if column.at_least is not None and number < column.at_least:
        raise _refused(text, *below_least(column, column.at_least), field)
    telling.must_be_meant(column, number, field, price_of)
    return number


def _refused(text: str, problem: str, mend: str, field: str) -> RecordError:
    where = f"{field}: " if field else ""
    return RecordError(f"{where}{text!r} {problem}; {mend}.")


def pick_kind(workshop: Workshop, key: str) -> str | None:
    """A kind of part: the workshop's own and the built-in ones as taps."""
    return st.pills(
        _("Which part?"),
        known_kinds(workshop),
        format_func=lambda kind: plain(words.part_label(kind)),
        required=True,
        key=key,
    )


def known_kinds(workshop: Workshop) -> list[str]:
    """The workshop's kinds of part, then the built-in ones it has not yet."""
    return list(dict.fromkeys((*workshop.records.part_kinds(), *words.BUILT_IN_PART_KINDS)))


def pick_known(
    label: str,
    known: Iterable[str],
    key: str,
    *,
    start: str = "",
    say: Callable[[str], str] = str,
) -> str:
    """A name written before, or a new one; "" when none is said. ``start`` is chosen already.
    ``say`` puts a name in words.

    Picking spares the workshop a supplier, a site or a head type under two spellings.
    """
    names = sorted({*known, start} - {""})
    return (
        st.selectbox(
            label,
            names,
            index=names.index(start) if start else None,
            format_func=say,
            accept_new_options=True,
            placeholder=_("Pick or type"),
            key=key,
        )
        or ""
    )
