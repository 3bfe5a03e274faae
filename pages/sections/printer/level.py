"""How the printer fares beside the others, and its claims that wait for somebody."""

from __future__ import annotations

import streamlit as st

from pages.shell import links, session
from pages.shell.words import plain
from tracker.decisions.warranty import claims_open
from tracker.language import _
from tracker.review.printer_levels import printer_level
from tracker.say.printer_page import level as say_level
from tracker.say.warranty import claim_line


def show(place: session.Workshop, printer: str) -> None:
    """On tap, two sentences: how long parts last in it, how often it stops."""
    with st.expander(_("Beside the other printers")):
        for told in say_level.level(session.ask(printer_level, printer)):
            st.markdown(plain(told))


def claims(place: session.Workshop, printer: str) -> None:
    """Failed parts of it whose claim is to be sent or answered; nothing where there is none."""
    rows = session.ask(claims_open)
    rows = rows[rows["printer"] == printer]
    if rows.empty:
        return
    st.header(_("Open claims"), anchor=False)
    for row in rows.itertuples():
        st.markdown(f"- {plain(claim_line(row, place.currency))}")
    if st.button(_("Write down how a claim stands"), key="printer-claims"):
        links.go_claims()
