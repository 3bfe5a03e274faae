"""What is due, and does the routine pay?"""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections import routine_due, routine_effect, routine_kept

place = frame.workshop()
if place.records.printers.empty:
    frame.headline("Maintenance", "No printer is written down yet, so nothing can be due.")
    frame.empty_state(
        "Add your first printer; then say which task is due how often, and this page keeps the "
        "list.",
        button="Add my first printer", page="log",
    )  # fmt: skip
    st.stop()

with frame.errors_in_words():
    routine_due.show(place)
    routine_effect.show(place)
    routine_kept.show(place)
