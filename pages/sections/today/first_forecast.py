"""The first forecast, while no part has failed here yet: of each type the part to go first."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.review.words import plain
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.say.lives.first_forecast import MOSTLY_A_GUESS, first_of_each

SHOWN = 6
_AHEAD_DAYS = 30


def show(place: frame.Workshop) -> None:
    """Nothing once a part has failed: then the lists below say more."""
    parts = frame.ask(outlook, _AHEAD_DAYS)
    if parts.empty or parts["failures"].sum() > 0:
        return
    with st.container(border=True):
        st.subheader(_("Your first forecast"), anchor=False)
        st.markdown(frame.words(_(MOSTLY_A_GUESS)))
        for sentence in first_of_each(parts, place.as_of)[:SHOWN]:
            st.markdown(f"- {plain(sentence)}")
