"""Log something in ten seconds: pick what, pick the printer, one tap."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import (
    breakdown,
    counter,
    nozzle_check,
    order,
    part_change,
    printer,
    room,
    saving,
    stock,
    stoppage,
    task,
)
from pages.forms.fields import choose_printer, printers_at_work
from pages.sections import paper_log
from pages.sections.records import history
from pages.shell import links

FORMS = {
    "Part change": part_change.show,
    "Something broke": breakdown.show,
    "Task done": task.show,
    "Nozzle check": nozzle_check.show,
    "Counter": counter.show,
    "Stoppage": stoppage.show,
    "Room": room.show,
    "Stock": stock.show,
    "Order": order.show,
    "Printer": printer.show,
}


def arrive(place: frame.Workshop) -> None:
    """Open the form that the address names, for its printer and part; once, for a reload of a
    form begun since must find it as it was left."""
    what, wanted, kind, position = map(links.wanted, ("what", "printer", "part", "position"))
    if not (what or wanted):
        return
    st.query_params.clear()
    saving.begin_anew()
    if what in FORMS:
        st.session_state["log-what"] = what
    if wanted in printers_at_work(place):
        choose_printer(wanted)
    if kind:
        part_change.begin_with(kind, position)


workshop = frame.workshop()
st.title("Log", anchor=False)
if workshop.records.printers.empty:
    frame.empty_state("Add your first printer; after that a part change takes four taps.")
    printer.show(workshop)
else:
    if "log-what" not in st.session_state:  # the page was opened just now
        saving.begin_anew()
    arrive(workshop)
    what = st.pills(
        "What happened?", list(FORMS), default="Part change", required=True, key="log-what"
    )
    if what and saving.stands_saved(what):
        st.button(
            "Log another entry", type="primary", width="stretch", key="log-another",
            on_click=saving.begin_anew,
        )  # fmt: skip
    elif what:
        FORMS[what](workshop)
    with st.expander("What was changed today"):
        history.show_today(workshop)
    with st.expander(paper_log.TITLE):
        paper_log.show(workshop, "log")
