"""Buttons that write: for whoever may not write they are there, locked, and say in a word why.

The gate itself stands in the store, and refuses whatever a page offers. What stands here spares
people a form that is typed for nothing.
"""

from __future__ import annotations

from typing import Any

import streamlit as st

from pages.shell import entry
from tracker.language import N_, _
from tracker.sharing.roles import LOG, MANAGE

_REACH = "may-write"
_TAPPED = "tapped-to-write"
_TO_MANAGE = N_("only who manages")


def begin(*, may_write: bool) -> None:
    """As a run begins: what may this screen write? Asked once, for a page has many buttons.

    ``may_write``: may anything be written to these records at all?
    """
    roles = [role for role in (LOG, MANAGE) if may_write and entry.may(role)]
    st.session_state[_REACH] = roles
    st.session_state[_TAPPED] = False
    if may_write and not roles:
        st.info(
            _(
                "This device may look and write nothing; ask whoever runs the workshop to let it "
                "log."
            ),
            icon=":material/visibility:",
        )


def may(role: str = LOG) -> bool:
    """Has a button of that role a use on this screen, in this run?"""
    return role in st.session_state.get(_REACH, ())


def button(label: str, *, at: Any = st, role: str = LOG, **looks: Any) -> bool:
    """A button that writes, in the container ``at``: was it tapped?

    ``role``: from which on what it writes is allowed. ``looks`` as ``st.button`` takes them.
    """
    return _noted(at.button(_said(label, role), **_locked(role, looks)))


def submit(label: str, *, at: Any = st, role: str = LOG, **looks: Any) -> bool:
    """The same for the button of a form."""
    return _noted(at.form_submit_button(_said(label, role), **_locked(role, looks)))


def either(yes: tuple[str, str], no: tuple[str, str], *, role: str, **looks: Any) -> bool | None:
    """Two answers side by side, each its label and key: was ``yes`` tapped, ``no``, or neither?

    ``looks`` are those of ``yes``.
    """
    left, right = st.columns(2)
    said = button(yes[0], at=left, role=role, key=yes[1], width="stretch", **looks)
    denied = button(no[0], at=right, role=role, key=no[1], width="stretch")
    return True if said else False if denied else None


def tapped() -> bool:
    """Was a button that writes tapped before this run?"""
    return bool(st.session_state.get(_TAPPED))


def _noted(tapped: bool) -> bool:
    if tapped:
        st.session_state[_TAPPED] = True
    return tapped


def _said(label: str, role: str) -> str:
    """Where nothing at all may be written, that stands once at the top of the page."""
    return label if may(role) or not may() else f"{label} ({_(_TO_MANAGE)})"


def _locked(role: str, looks: dict[str, Any]) -> dict[str, Any]:
    if may(role):
        return looks
    return {**looks, "disabled": True, "icon": ":material/lock:"}
