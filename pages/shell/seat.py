"""Who sits at this device: chosen once, changed on the page More or from the page Today."""

from __future__ import annotations

import streamlit as st

from pages.shell import device

OWNER, TECHNICIAN = "owner", "technician"
SEATS = {
    OWNER: "I run the workshop: orders, printers at a glance, the month",
    TECHNICIAN: "I work at the printers: tasks due, log what happened",
}


def seat() -> str:
    """Which first screen this device shows; the workshop's until somebody chose."""
    chosen = device.recall("seat", OWNER)
    return chosen if chosen in SEATS else OWNER


def ask() -> None:
    """The choice, kept on this device."""
    st.session_state["seat-chosen"] = seat()
    st.radio(
        "On this device, the page Today opens for", list(SEATS), format_func=SEATS.__getitem__,
        key="seat-chosen", on_change=_keep,
    )  # fmt: skip


def _keep() -> None:
    device.remember("seat", st.session_state["seat-chosen"])
