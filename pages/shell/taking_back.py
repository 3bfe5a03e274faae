"""The button that takes a change back: at once for an entry, asked about for a whole load."""

from __future__ import annotations

from typing import Any

import streamlit as st

from pages.shell import acting
from tracker.language import _
from tracker.say import numbers
from tracker.sharing.roles import LOG
from tracker.store.database import Store

ASKED_ABOVE = 50  # records: more than any one form writes
_ASKED = "asked-to-take-back"


def wanted(
    store: Store, shown: tuple[str, int], change: int, *, at: Any, key: str, role: str = LOG
) -> bool:
    """Is that change to be taken back now: tapped, and said to be meant where it is large?

    The button stands in the container ``at``, the question where this is called. ``shown``: which
    workshop this is, in which generation, for the same number means another change elsewhere.
    """
    what = (key, change, shown)
    if acting.button(_("Undo"), at=at, role=role, key=key, width="stretch"):
        if store.record_count(change) <= ASKED_ABOVE:
            _forget()
            return True
        st.session_state[_ASKED] = what
    return bool(st.session_state.get(_ASKED) == what and _is_meant(store, change, key, role))


def _is_meant(store: Store, change: int, key: str, role: str) -> bool:
    with st.container(border=True):
        st.warning(
            _(
                "Take back {records}? All that this change did to them is undone at once; the "
                "undo can be undone in turn.",
                records=numbers.count(store.record_count(change), "record", "records"),
            ),
            icon=":material/help:",
        )
        no, yes = st.columns(2)
        no.button(_("No, keep them"), key=f"{key}-no", width="stretch", on_click=_forget)
        if acting.button(
            _("Yes, take them back"), at=yes, role=role, key=f"{key}-yes", width="stretch"
        ):
            _forget()
            return True
    return False


def _forget() -> None:
    st.session_state.pop(_ASKED, None)
