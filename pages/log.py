"""Log something in ten seconds: pick what, pick the printer, one tap."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import (
    breakdown,
    counter,
    linked,
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
from pages.sections import paper_log
from pages.sections.records import history
from pages.sections.review.words import plain
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


workshop = frame.workshop()
st.title("Log", anchor=False)
if workshop.records.printers.empty:
    frame.empty_state(
        "No printer is written down yet. Four short steps bring the first ones; after that a part "
        "change takes four taps.",
        button=frame.BEGIN, page="start",
    )  # fmt: skip
else:
    if "log-what" not in st.session_state:  # the page was opened just now
        saving.begin_anew()
    linked.choose(workshop, list(FORMS))
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
    if last := st.session_state.get("last-printer"):
        st.page_link(
            links.ROOT / "printer.py", label=f"Everything about {plain(last)}",
            query_params={"printer": last}, icon=":material/chevron_right:",
        )  # fmt: skip
    with st.expander(paper_log.TITLE):
        paper_log.show(workshop, "log")
