"""Log something in ten seconds: pick what, pick the printer, one tap."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import (
    counter,
    linked,
    nozzle_check,
    order,
    part_change,
    printer,
    room,
    saving,
    stock,
    task,
)
from pages.forms.stops import after_strike, breakdown, stoppage
from pages.sections import paper_log
from pages.sections.folded import folded
from pages.sections.records import history
from pages.sections.spares import on_the_shelf
from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.language import N_, _

FORMS = {
    N_("Part change"): part_change.show,
    N_("Something broke"): breakdown.show,
    N_("Task done"): task.show,
    N_("Nozzle check"): nozzle_check.show,
    N_("Counter"): counter.show,
    N_("Stoppage"): stoppage.show,
    N_("Room"): room.show,
    N_("Stock"): stock.show,
    N_("Order"): order.show,
    N_("Printer"): printer.show,
}

ALIKE = (N_("Part change"), N_("Something broke"), N_("Stoppage"))
WHICH = N_(
    "It failed or stood still, and you know the part or the time: Something broke. A part came out "
    "and nothing stood: Part change. It stood for want of ink, film or power: Stoppage."
)

workshop = session.workshop()
st.title(_("Log"), anchor=False)
if not acting.may():  # said above already, why
    history.show_today(workshop)
elif workshop.records.printers.empty:
    frame.empty_state(
        _(
            "No printer is written down yet. Four short steps bring the first ones; after "
            "that a part change takes four taps."
        ),
        button=_(frame.BEGIN),
        page="start",
    )
else:
    if frame.just_opened():
        saving.leave_saved()
    linked.choose(workshop, list(FORMS))
    what = st.pills(
        _("What happened?"), list(FORMS), default="Part change", required=True, format_func=_,
        key="log-what",
    )  # fmt: skip
    if what in ALIKE:
        st.caption(_(WHICH))
    ready_for_another = None
    if what and saving.stands_saved(what):
        if struck := st.session_state.get("struck"):
            after_strike.show(struck)
        ready_for_another = saving.offer_another()
    elif what:
        with telling.errors_in_words():
            FORMS[what](workshop)
    folded(_(on_the_shelf.TITLE), lambda: on_the_shelf.show(workshop), key="log-shelf")
    with st.expander(_("What was changed today")), telling.errors_in_words():
        history.show_today(workshop)
    if last := st.session_state.get("last-printer"):
        st.page_link(
            links.ROOT / "printer.py",
            label=_("Everything about {last}", last=plain(last)),
            query_params={"printer": last},
            icon=":material/chevron_right:",
        )
    with st.expander(_(paper_log.TITLE)), telling.errors_in_words():
        paper_log.show(workshop, "log")
    if ready_for_another:
        ready_for_another()
