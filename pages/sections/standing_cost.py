"""Where money hangs on what a standing printer loses: that nobody said it yet, and where to."""

from __future__ import annotations

import streamlit as st

from pages.sections.records import workshop_settings
from pages.shell import session
from pages.shell.words import plain
from tracker.language import _
from tracker.say.spares.thin import standing_guessed


def note(place: session.Workshop, key: str) -> None:
    """The sentence with the way to the setting; nothing where the workshop set it."""
    told = standing_guessed(place.records)
    if not told:
        return
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.caption(plain(told), width="stretch")
        if st.button(_("Set it"), key=f"{key}-standing-cost"):
            workshop_settings.go(workshop_settings.COSTS)
