"""A head was struck and that is written down: what to do next."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.shell import links
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.say.entering.head_strike import next_steps


def show(printer: str) -> None:
    """The steps in their order, what can hurt before them, the nozzle check behind one tap."""
    with st.container(border=True):
        title = _("Before {printer} prints again", printer=printer)
        st.markdown(f"**{plain(title)}**")
        frame.cautions(("carriage", "nozzle_plate"))
        st.markdown("\n".join(f"1. {plain(step)}" for step in next_steps()))
        label = _("Nozzle check of {printer}", printer=plain(printer))
        if st.button(label, type="primary", width="stretch", key="struck-check"):
            links.go_log(printer, N_("Nozzle check"))
