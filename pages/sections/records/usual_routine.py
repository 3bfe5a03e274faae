"""The trade's usual intervals as a workshop's first routine."""

from __future__ import annotations

import streamlit as st

from pages.shell import acting, session, telling
from tracker.language import _
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop.first_run.routine import usual_tasks


def offer(workshop: session.Workshop) -> None:
    """One tap for a workshop without a routine."""
    st.info(
        _("No routine yet. Start with the trade's usual intervals and change them as you learn."),
        icon=":material/arrow_forward:",
    )
    if not acting.button(
        _("Take over the usual routines"), role=MANAGE, type="primary", key="usual-routines"
    ):
        return
    with telling.errors_in_words():
        batch = acts.begin_routine(workshop.store, usual_tasks(), workshop.as_of)
        telling.recorded(
            _("The usual routine begins; its tasks fall due one after the other."), batch
        )
