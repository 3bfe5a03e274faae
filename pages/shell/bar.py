"""The four places a thumb reaches on a phone, in sight at the bottom of every page."""

from __future__ import annotations

import streamlit as st

from pages.shell.links import ROOT
from pages.shell.style import BAR

PLACES = (
    ("today", "Today", ":material/today:"),
    ("log", "Log", ":material/edit_note:"),
    ("spares", "Spares", ":material/inventory_2:"),
    ("more", "More", ":material/more_horiz:"),
)


def show() -> None:
    """The bar; the style keeps it off wider screens, where the menu is in sight."""
    with st.container(key=BAR, horizontal=True):
        for name, title, icon in PLACES:
            st.page_link(ROOT / f"{name}.py", label=title, icon=icon)
