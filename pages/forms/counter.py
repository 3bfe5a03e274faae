"""A reading of the printed-area counter."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from pages.sections.review.words import plain
from tracker.errors import RecordError
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.contract import COUNTERS
from tracker.workshop.records import Records

_LOWER = "counter-lower"  # the reading of which it is asked how it can be lower


def show(workshop: frame.Workshop) -> None:
    """One number; the last reading stands beside it."""
    printer = pick_printer(workshop, "counter")
    if not printer:
        return
    readings = workshop.records.counters
    readings = readings[readings["printer"] == printer].sort_values("read_on")
    if len(readings):
        last = readings.iloc[-1]
        read_on = numbers.day(last.read_on.date())
        st.caption(numbers.unbroken(f"Last reading: {numbers.area(last.area_m2)} on {read_on}."))
    text, unit = st.columns([3, 1])
    typed = text.text_input("Printed area so far (running total)", key="counter-area")
    chosen = unit.segmented_control(
        "Unit", ["m²", "ft²"], default="m²", required=True, key="counter-unit"
    )
    with st.expander("Details: day, name"):
        day = pick_day(workshop, "Day", "counter-day")
        pick_person()
    with frame.errors_in_words():
        said = {"Printer": printer, "Day": day, "Area": typed, "Unit": chosen}
        question = st.container()  # above the button, where the finger is
        asked = (printer, day, typed, chosen)
        if saving.tapped(workshop, "counter-save", f"Log: counter of {plain(printer)}", said):
            area = _area(typed, chosen)
            before = read_that_day(workshop.records, printer, day)
            if before is None or area >= before:
                _log(workshop, printer, day, area)
            st.session_state[_LOWER] = asked
        if st.session_state.get(_LOWER) == asked:
            with question:
                _ask_about_lower(workshop, printer, day, _area(typed, chosen))


def read_that_day(records: Records, printer: str, day: date) -> float | None:
    """What was read of that printer's counter on that day already, in m²."""
    rows = records.counters
    rows = rows[(rows["printer"] == printer) & (rows["read_on"] == pd.Timestamp(day))]
    return None if rows.empty else float(rows["area_m2"].iloc[-1])


def _area(typed: str, unit: str | None) -> float:
    area = number_in(typed, COUNTERS.column("area_m2"), unit=unit or "")
    if area is None:
        raise RecordError("Type the number on the counter first, e.g. 1250.5.")
    return area


def _ask_about_lower(workshop: frame.Workshop, printer: str, day: date, area: float) -> None:
    """A counter does not run backwards: it is a new one, or one of two readings is a slip."""
    before = read_that_day(workshop.records, printer, day)
    if before is None or area >= before:
        return
    now, then = numbers.area(area), numbers.area(before)
    if day == saving.latest_day(workshop):
        question = f"{now} is less than today's earlier {then}. A new counter, or a slip?"
    else:
        question = f"{now} is less than that day's earlier {then}. A new counter, or a slip?"
    st.warning(numbers.unbroken(question), icon=":material/help:")
    if st.button(
        numbers.unbroken(f"{then} was a slip: keep {now}"), key="counter-slip", width="stretch"
    ):
        _log(workshop, printer, day, area, was_a_slip=True)
    total = before + area
    if st.button(
        numbers.unbroken(f"A new counter: carry on, {numbers.area(total)} in all"),
        key="counter-new", width="stretch",
    ):  # fmt: skip
        told = f"The log keeps a running total: add {then} to what the new counter shows."
        _log(workshop, printer, day, total, told=told)
    st.caption(numbers.unbroken(f"If {now} is the slip, correct it in the field above."))


def _log(
    workshop: frame.Workshop, printer: str, day: date, area: float, *, was_a_slip: bool = False,
    told: str = "",
) -> None:  # fmt: skip
    batch_id = acts.read_counter(
        workshop.store, printer, day, area, was_a_slip=was_a_slip, who=frame.who(), now=frame.now()
    )
    said = f"Counter of {printer}: {numbers.area(area)}."
    saving.saved(f"{said} {told}".strip(), batch_id, "counter-")
