"""Last month and this one in three figures, whether the routine pays: each leads to its page."""

from __future__ import annotations

import streamlit as st

from pages.shell import links, session
from pages.shell.words import marked, plain
from tracker.decisions.routine.first_question import first_value
from tracker.language import _, month_name
from tracker.review.key_figures import MonthGlance, month_glance, running_glance
from tracker.say import today as say
from tracker.say.maintenance.value.value_verdict import answer_in_short


def show(place: session.Workshop) -> None:
    """Failures, hours and money of the last whole month and of the running one beside the usual."""
    st.header(_("The month"), anchor=False)
    _figures(place, session.ask(month_glance), key="today-review")
    if running := session.ask(running_glance):
        _figures(place, running, key="today-review-running")


def _figures(place: session.Workshop, glance: MonthGlance, key: str) -> None:
    st.markdown(f"{plain(say.month_heading(glance))}:")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for name, figure, usual in say.month_figures(glance, place.currency):
            with st.container(width=160, gap=None):
                st.metric(name, plain(figure))
                st.caption(plain(usual))
        if st.button(_("See the review of {month}", month=month_name(glance.month)), key=key):
            st.session_state["review-wanted"] = glance.month
            links.go("review")


def does_it_pay(place: session.Workshop) -> None:
    """On tap: is the routine worth its minutes? A list of today's work does not wait for it."""
    if not place.records.count("maintenance"):
        return
    if not st.toggle(_("Does the routine pay?"), key="today-pays"):
        return
    said = answer_in_short(session.ask(first_value))
    st.markdown(marked(said or _("Not told here yet; the page Maintenance says more.")))
    if st.button(_("See what it rests on"), key="today-maintenance"):
        st.session_state["maintenance-view"] = "Does it pay?"
        links.go("maintenance")
