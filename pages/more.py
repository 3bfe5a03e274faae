"""More: the pages that the phone's bar has no room for, and what this device is for."""

from __future__ import annotations

import streamlit as st

from pages.sections import glossary, reminders
from pages.shell import entry, seat, session, telling
from pages.shell.links import ROOT
from tracker.language import N_, _

LINES = (
    (
        "printer",
        N_("Printers"),
        N_("One machine: what is in it, how long it lasts, its label to print"),
    ),
    ("lives", N_("Part lives"), N_("How long each kind of part lasts here, and why")),
    ("maintenance", N_("Maintenance"), N_("What is due, and whether the routine pays")),
    ("review", N_("Review"), N_("The month, beside what is usual")),
    ("records", N_("Records"), N_("Look up, correct, load and save what is written down")),
)

place = session.workshop()
st.title(_("More"), anchor=False)
for name, title, answers in LINES:
    with st.container(border=True):
        st.page_link(ROOT / f"{name}.py", label=f"**{_(title)}**", icon=":material/chevron_right:")
        st.caption(_(answers))
with telling.errors_in_words():
    reminders.show(place, "more")
seat.ask()
entry.offer_sign_out()
glossary.whole()
