"""More: the pages that the phone's bar has no room for, and what this device is for."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections import glossary
from pages.shell import seat
from pages.shell.links import ROOT

LINES = (
    ("printer", "Printers", "One machine: what is in it, how long it lasts, its label to print"),
    ("lives", "Part lives", "How long each kind of part lasts here, and why"),
    ("maintenance", "Maintenance", "What is due, and whether the routine pays"),
    ("review", "Review", "The month, beside what is usual"),
    ("records", "Records", "Look up, correct, load and save what is written down"),
)

frame.workshop()
st.title("More", anchor=False)
for name, title, answers in LINES:
    with st.container(border=True):
        st.page_link(ROOT / f"{name}.py", label=f"**{title}**", icon=":material/chevron_right:")
        st.caption(answers)
seat.ask()
glossary.whole()
