"""The four places a thumb reaches on a phone, in sight at the bottom of every page."""

from __future__ import annotations

import streamlit as st

from pages.shell.links import ROOT
from pages.shell.style import BAR
from tracker.language import N_, _

PLACES = (
    ("today", N_("Today"), ":material/today:"),
    ("log", N_("Log"), ":material/edit_note:"),
    ("spares", N_("Spares"), ":material/inventory_2:"),
    ("more", N_("More"), ":material/more_horiz:"),
)


def show() -> None:
    """The bar; the style keeps it off wider screens, where the menu is in sight."""
    with st.container(key=BAR, horizontal=True):
        for name, title, icon in PLACES:
            st.page_link(ROOT / f"{name}.py", label=_(title), icon=icon)
