"""The first forecast, while no part has failed here yet: of each type the part to go first."""

from __future__ import annotations

import streamlit as st

from pages.shell import session
from pages.shell.words import marked, plain
from tracker.forecast.outlook import outlook
from tracker.language import _
from tracker.say.lives.first_forecast import MOSTLY_A_GUESS, first_of_each
from tracker.workshop.vocabulary import wears

SHOWN = 6
_AHEAD_DAYS = 30


def show(place: session.Workshop) -> None:
    """Nothing once a part has failed: then the lists below say more."""
    fittings = place.records.fittings
    failed = fittings.loc[fittings["removal_reason"] == "failed", "part_kind"]
    if any(map(wears, failed.unique())):
        return  # known without a forecast, for which the technician's page does not wait
    parts = session.ask(outlook, _AHEAD_DAYS)
    if parts.empty:
        return
    with st.container(border=True):
        st.subheader(_("Your first forecast"), anchor=False)
        st.markdown(marked(_(MOSTLY_A_GUESS)))
        for sentence in first_of_each(parts, place.as_of)[:SHOWN]:
            st.markdown(f"- {plain(sentence)}")
