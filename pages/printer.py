"""One printer: what is in it now, how long it lasts, what happened to it."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.shell import links

workshop = frame.workshop()
st.title("Printers", anchor=False)
names = sorted(workshop.records.printers["printer"])
for name in names:
    if st.button(name, key=f"open-{name}"):
        links.go_printer(name)
st.write(links.wanted("printer"))
