"""A reading of the printed-area counter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd
import streamlit as st

from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import _, exact
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.contract import COUNTERS
from tracker.workshop.records import Records

_ASKED = "counter-asked"  # the reading of which it is asked how it is meant


def show(workshop: session.Workshop) -> None:
    """One number; the last reading stands beside it."""
    printer = pick_printer(workshop, "counter")
    if not printer:
        return
    readings = workshop.records.counters
    readings = readings[readings["printer"] == printer].sort_values("read_on")
    if len(readings):
        last = _reading(readings.iloc[-1])
        told = _(
            "Last reading: {area} on {day}.",
            area=numbers.area(last.area_m2),
            day=numbers.day(last.read_on),
        )
        if last.carried_m2:
            told = f"{told} {_added_from_now_on(last.carried_m2)}"
        st.caption(numbers.unbroken(told))
    text, unit = st.columns([3, 1])
    typed = text.text_input(_("Printed area so far (running total)"), key="counter-area")
    chosen = unit.segmented_control(
        _("Unit"), ["m²", "ft²"], default="m²", required=True, key="counter-unit"
    )
    with st.expander(_("Details: day, name")):
        day = pick_day(workshop, _("Day"), "counter-day")
        pick_person()
    with telling.errors_in_words():
        said = {"Printer": printer, "Day": day, "Area": typed, "Unit": chosen}
        question = st.container()  # above the button, where the finger is
        asked = (printer, day, typed, chosen)
        if saving.tapped(
            workshop, "counter-save", _("Log: counter of {printer}", printer=plain(printer)), said,
            printers=[printer],
        ):  # fmt: skip
            before = last_read(workshop.records, printer, day)
            area = _area(typed, chosen, before)
            totals = running_totals(before, area)
            if len(totals) == 1:
                carried = before.carried_m2 if before else 0.0
                _log(workshop, printer, day, totals[0], carried=carried)
            st.session_state[_ASKED] = asked
        before = last_read(workshop.records, printer, day)
        if before is not None and st.session_state.get(_ASKED) == asked:
            with question:
                _ask_which(workshop, printer, day, before, _area(typed, chosen, before))


@dataclass(frozen=True)
class Reading:
    """What a counter showed on a day, as a running total; ``carried_m2``: what the counters before
    it had printed, which is part of that and which it does not show.
    """

    read_on: date
    area_m2: float
    carried_m2: float = 0.0


def last_read(records: Records, printer: str, day: date) -> Reading | None:
    """The latest reading of that printer's counter up to that day."""
    rows = records.counters
    rows = rows[(rows["printer"] == printer) & (rows["read_on"] <= pd.Timestamp(day))]
    if rows.empty:
        return None
    return _reading(rows.sort_values("read_on", kind="stable").iloc[-1])


def _reading(row: pd.Series) -> Reading:
    carried = 0.0 if pd.isna(row["carried_m2"]) else float(row["carried_m2"])
    return Reading(row["read_on"].date(), float(row["area_m2"]), carried)


def running_totals(before: Reading | None, area: float) -> list[float]:
    """The running totals that a number may mean: itself, or what the counter in use shows since it
    was put in. A running total never goes down.
    """
    if before is None:
        return [area]
    ways = [area, area + before.carried_m2] if before.carried_m2 else [area]
    return [total for total in ways if total >= before.area_m2]


def shown_in(typed: str, before: Reading | None, unit: str = "") -> float | None:
    """The number typed in m², read as one that a counter can show; None where nothing is typed."""
    return number_in(
        typed,
        COUNTERS.column("area_m2"),
        unit=unit,
        possible=lambda number: bool(running_totals(before, number)),
    )


def _added_from_now_on(carried: float) -> str:
    return _(
        "From now on write what the new counter shows: the {carried} of the one before are added.",
        carried=numbers.area(carried),
    )


def _area(typed: str, unit: str | None, before: Reading | None) -> float:
    area = shown_in(typed, before, unit or "")
    if area is None:
        raise RecordError(
            _("Type the number on the counter first, e.g. {example}.", example=exact(850.5))
        )
    return area


def _ask_which(
    workshop: session.Workshop, printer: str, day: date, before: Reading, area: float
) -> None:
    """What is meant by a number that reads two ways, or as none that a counter can have shown."""
    totals = running_totals(before, area)
    if len(totals) > 1:
        _ask_what_it_holds(workshop, printer, day, before, totals)
    elif not totals:
        _ask_about_lower(workshop, printer, day, before, area)


def _ask_what_it_holds(
    workshop: session.Workshop, printer: str, day: date, before: Reading, totals: list[float]
) -> None:
    """The counter was replaced before: is that what the new one shows, or all in all?"""
    typed, in_all = map(numbers.area, totals)
    st.warning(
        numbers.unbroken(
            _(
                "Does the counter show {typed}? Then it is {in_all} in all, with the one before.",
                typed=typed,
                in_all=in_all,
            )
        ),
        icon=":material/help:",
    )
    labels = (
        _("It shows that: {in_all} in all", in_all=in_all),
        _("{typed} is all in all", typed=typed),
    )
    for key, label, total in zip(
        ("counter-shown", "counter-in-all"), labels, reversed(totals), strict=True
    ):
        if acting.button(numbers.unbroken(label), key=key, width="stretch"):
            _log(workshop, printer, day, total, carried=before.carried_m2)


def _ask_about_lower(
    workshop: session.Workshop, printer: str, day: date, before: Reading, area: float
) -> None:
    """A counter does not run backwards: it is a new one, or one of two readings is a slip."""
    now, then = numbers.area(area), numbers.area(before.area_m2)
    same_day = before.read_on == day
    st.warning(numbers.unbroken(_question(workshop, before, day, now)), icon=":material/help:")
    if same_day and acting.button(
        numbers.unbroken(
            _(
                "{then} was a slip: keep {now}",
                then=then,
                now=numbers.area(area + before.carried_m2),
            )
        ),
        key="counter-slip",
        width="stretch",
    ):
        _log(
            workshop,
            printer,
            day,
            area + before.carried_m2,
            carried=before.carried_m2,
            was_a_slip=True,
        )
    total = before.area_m2 + area
    if acting.button(
        numbers.unbroken(_("A new counter: carry on, {total} in all", total=numbers.area(total))),
        key="counter-new", width="stretch",
    ):  # fmt: skip
        told = _added_from_now_on(before.area_m2)
        _log(workshop, printer, day, total, carried=before.area_m2, told=told)
    st.caption(numbers.unbroken(_("If {now} is the slip, correct it in the field above.", now=now)))
    if not same_day:
        st.caption(
            numbers.unbroken(
                _(
                    "If {then} is the slip, correct it on the page Records. If the counter was "
                    "replaced before that, type the running total above: what it shows now, and "
                    "what the old one ended at.",
                    then=then,
                )
            )
        )


def _question(workshop: session.Workshop, before: Reading, day: date, now: str) -> str:
    then = numbers.area(before.area_m2)
    if before.read_on != day:
        return _(
            "{now} is less than the {then} of {read_on}. A new counter, or a slip?",
            now=now,
            then=then,
            read_on=numbers.day(before.read_on),
        )
    if day == saving.latest_day(workshop):
        return _(
            "{now} is less than today's earlier {then}. A new counter, or a slip?",
            now=now,
            then=then,
        )
    return _(
        "{now} is less than that day's earlier {then}. A new counter, or a slip?",
        now=now,
        then=then,
    )


def _log(
    workshop: session.Workshop, printer: str, day: date, area: float, *, carried: float = 0.0,
    was_a_slip: bool = False, told: str = "",
) -> None:  # fmt: skip
    batch_id = acts.read_counter(
        workshop.store, printer, day, area, carried_m2=carried, was_a_slip=was_a_slip
    )
    said = _("Counter of {printer}: {area}.", printer=printer, area=numbers.area(area))
    saving.saved(f"{said} {told}".strip(), batch_id, "counter-")
