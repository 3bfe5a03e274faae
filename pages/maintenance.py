"""Does the routine pay, what is due, and was it kept?"""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.maintenance import (
    closed_days,
    due,
    experiment,
    failure_costs,
    kept,
    pays,
    planned,
    whole_routine,
)

VIEWS = {
    "Does it pay?": pays.show,
    "Due": due.show,
    "The whole routine": whole_routine.show,
    "Try it out": experiment.show,
    "Change by plan?": planned.show,
    "Was it kept?": kept.show,
    "What a failure costs": failure_costs.show,
    "Closed days": closed_days.show,
}

place = frame.workshop()
if place.records.printers.empty:
    frame.headline("Maintenance", "No printer is written down yet, so nothing can be due.")
    frame.empty_state(
        "Add your first printer; then say which task is due how often, and this page keeps the "
        "list.",
        button="Add my first printer", page="log",
    )  # fmt: skip
    st.stop()

# The answer stands on top, but what it answers is chosen below it. Where whether it pays cannot be
# said at once, what is due today comes first.
first = "Does it pay?" if pays.answers_at_once(place.records) else "Due"
top = st.container()
view = st.segmented_control(
    "Question", list(VIEWS), default=first, key="maintenance-view", label_visibility="collapsed"
)
with frame.errors_in_words():
    VIEWS[view or first](place, top)
