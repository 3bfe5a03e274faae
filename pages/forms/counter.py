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

_LOWER = "counter-lower"  # the reading of which it is asked how it can be lower


def show(workshop: session.Workshop) -> None:
    """One number; the last reading stands beside it."""
    printer = pick_printer(workshop, "counter")
    if not printer:
        return
    readings = workshop.records.counters
    readings = readings[readings["printer"] == printer].sort_values("read_on")
    if len(readings):
        last = readings.iloc[-1]
        read_on = numbers.day(last.read_on.date())
        st.caption(
            numbers.unbroken(
                _(
                    "Last reading: {area} on {day}.",
                    area=numbers.area(last.area_m2),
                    day=read_on,
                )
            )
        )
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
            area = _area(typed, chosen)
            before = last_read(workshop.records, printer, day)
            if before is None or area >= before.area_m2:
                _log(workshop, printer, day, area)
            st.session_state[_LOWER] = asked
        if st.session_state.get(_LOWER) == asked:
            with question:
                _ask_about_lower(workshop, printer, day, _area(typed, chosen))


@dataclass(frozen=True)
class Reading:
    """What a counter showed on a day, as a running total."""

    read_on: date
    area_m2: float


def last_read(records: Records, printer: str, day: date) -> Reading | None:
    """The latest reading of that printer's counter up to that day."""
    rows = records.counters
    rows = rows[(rows["printer"] == printer) & (rows["read_on"] <= pd.Timestamp(day))]
    if rows.empty:
        return None
    last = rows.sort_values("read_on", kind="stable").iloc[-1]
    return Reading(last["read_on"].date(), float(last["area_m2"]))


def _area(typed: str, unit: str | None) -> float:
    area = number_in(typed, COUNTERS.column("area_m2"), unit=unit or "")
    if area is None:
        raise RecordError(
            _("Type the number on the counter first, e.g. {example}.", example=exact(850.5))
        )
    return area


def _ask_about_lower(workshop: session.Workshop, printer: str, day: date, area: float) -> None:
    """A counter does not run backwards: it is a new one, or one of two readings is a slip."""
    before = last_read(workshop.records, printer, day)
    if before is None or area >= before.area_m2:
        return
    now, then = numbers.area(area), numbers.area(before.area_m2)
    same_day = before.read_on == day
    st.warning(numbers.unbroken(_question(workshop, before, day, now)), icon=":material/help:")
    if same_day and acting.button(
        numbers.unbroken(_("{then} was a slip: keep {now}", then=then, now=now)),
        key="counter-slip",
        width="stretch",
    ):
        _log(workshop, printer, day, area, was_a_slip=True)
    total = before.area_m2 + area
    if acting.button(
        numbers.unbroken(_("A new counter: carry on, {total} in all", total=numbers.area(total))),
        key="counter-new", width="stretch",
    ):  # fmt: skip
        told = _(
            "The log keeps a running total: add {then} to what the new counter shows.", then=then
        )
        _log(workshop, printer, day, total, told=told)
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
    workshop: session.Workshop, printer: str, day: date, area: float, *, was_a_slip: bool = False,
    told: str = "",
) -> None:  # fmt: skip
    batch_id = acts.read_counter(
        workshop.store,
        printer,
        day,
        area,
        was_a_slip=was_a_slip,
        who=session.who(),
        now=session.now(),
    )
    said = _("Counter of {printer}: {area}.", printer=printer, area=numbers.area(area))
    saving.saved(f"{said} {told}".strip(), batch_id, "counter-")
