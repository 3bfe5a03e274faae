"""What is due, does the routine pay, and was it kept?"""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.maintenance import (
    closed_days,
    due,
    experiment,
    failure_costs,
    kept,
    pays,
    planned,
    whole_routine,
)
from pages.shell import session, telling
from tracker.language import N_, _

OFTEN = {
    N_("Due"): due.show,
    N_("Does it pay?"): pays.show,
    N_("The whole routine"): whole_routine.show,
    N_("Try it out"): experiment.show,
}
SELDOM = {
    N_("Replace on schedule?"): planned.show,
    N_("Was it kept?"): kept.show,
    N_("What a failure costs"): failure_costs.show,
    N_("Closed days"): closed_days.show,
}

place = session.workshop()
if place.records.printers.empty:
    frame.headline(_("Maintenance"), _("No printer is written down yet, so nothing can be due."))
    frame.empty_state(
        _(
            "Say which printers you have and which task is due how often, and this page "
            "keeps the list."
        ),
        button=_(frame.BEGIN),
        page="start",
    )
    st.stop()

# The questions keep their place: an answer above them, however long, would move them.
st.title(_("Maintenance"), anchor=False)
# Four answers side by side fit a phone in two rows; the seldom ones wait behind one more tap.
chosen = st.session_state.setdefault("maintenance-view", "Due")
shown = [*OFTEN, *([chosen] if chosen in SELDOM else [])]
with st.container(horizontal=True, key="maintenance-views"):
    view = st.segmented_control(
        _("Question"),
        shown,
        format_func=_,
        key="maintenance-view",
        label_visibility="collapsed",
    )
    with st.popover(_("More")):
        for name in SELDOM:
            st.button(
                _(name),
                key=f"maintenance-{name}",
                width="stretch",
                on_click=st.session_state.__setitem__,
                args=("maintenance-view", name),
            )
with telling.errors_in_words():
    (OFTEN | SELDOM)[view or "Due"](place)
