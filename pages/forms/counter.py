"""A reading of the printed-area counter."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from tracker.errors import RecordError
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.contract import COUNTERS


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
        if saving.tapped(workshop, "counter-save", "Log this reading", said):
            area = number_in(typed, COUNTERS.column("area_m2"), unit=chosen or "")
            if area is None:
                raise RecordError("Type the number on the counter first, e.g. 1250.5.")
            batch_id = acts.read_counter(
                workshop.store, printer, day, area, who=frame.who(), now=frame.now()
            )
            frame.recorded(f"Counter of {printer}: {numbers.area(area)}.", batch_id)
