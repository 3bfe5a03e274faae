"""Who sits at this device: chosen once, changed on the page More or from the page Today."""

from __future__ import annotations

import streamlit as st

from pages.shell import device
from tracker.language import N_, _

OWNER, TECHNICIAN = "owner", "technician"
SEATS = {
    OWNER: N_("I run the workshop: orders, printers at a glance, the month"),
    TECHNICIAN: N_("I work at the printers: tasks due, log what happened"),
}


def seat() -> str:
    """Which first screen this device shows; the workshop's until somebody chose."""
    return _chosen() or OWNER


def ask_once() -> None:
    """On the first visit of a device: who is at it? Nothing once somebody has said so."""
    if _chosen():
        return
    with st.container(horizontal=True, vertical_alignment="center", key="seat-question"):
        st.markdown(_("**Who is at this device?**"))
        for name, label in (
            (OWNER, _("I run the workshop")),
            (TECHNICIAN, _("I work at the printers")),
        ):
            if st.button(label, key=f"seat-{name}"):
                _choose(name)


def offer_other() -> None:
    """At the page's end: the other first screen, once one was chosen."""
    if not _chosen():
        return
    other = OWNER if seat() == TECHNICIAN else TECHNICIAN
    label = (
        _("Show the owner's page")
        if other == OWNER
        else _("Show the page for work at the printers")
    )
    if st.button(label, key="seat-other", type="tertiary", icon=":material/swap_horiz:"):
        _choose(other)


def _chosen() -> str:
    """The seat once chosen, "" for none; what a device kept may be anything."""
    kept = device.recall("seat")
    return kept if isinstance(kept, str) and kept in SEATS else ""


def _choose(name: str) -> None:
    device.remember("seat", name)
    st.rerun()


def ask() -> None:
    """The choice, kept on this device."""
    st.session_state["seat-chosen"] = seat()
    st.radio(
        _("On this device, the page Today opens for"),
        list(SEATS),
        format_func=lambda name: _(SEATS[name]),
        key="seat-chosen",
        on_change=_keep,
    )


def _keep() -> None:
    device.remember("seat", st.session_state["seat-chosen"])
