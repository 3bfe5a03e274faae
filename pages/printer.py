"""One printer: what it does, what is in it, what comes next, what happened to it."""

from __future__ import annotations

import streamlit as st

from pages.sections.printer import ahead, label, level, now, past, pick
from pages.shell import links, session, telling
from pages.shell.words import plain
from tracker.decisions.due import due_list
from tracker.language import N_, _
from tracker.lives.printer_state import LEFT, PrinterState, printer_states
from tracker.say.printer_page import links as say_links
from tracker.say.printer_page import state as say_state

FORMS = (
    N_("Part change"),
    N_("Something broke"),
    N_("Task done"),
    N_("Nozzle check"),
    N_("Stoppage"),
)


def show(place: session.Workshop, one: PrinterState) -> None:
    """The answer, the ways to log, then one section after the other; each fails alone."""
    tasks = session.ask(due_list)
    tasks = tasks[tasks["printer"] == one.printer]
    due = int((tasks["days_late"] >= 0).sum())
    st.button(
        _("All printers"),
        key="printer-all",
        type="tertiary",
        icon=":material/arrow_back:",
        on_click=links.name_here,
    )
    st.title(plain(one.printer), anchor=False)
    st.markdown(f"#### {plain(say_state.headline(one, due, place.as_of))}")
    if one.state != LEFT:
        with telling.errors_in_words():
            now.show(place, one.printer)
        with telling.errors_in_words():
            ahead.show(place, one, tasks)
        _log(one.printer)
    with telling.errors_in_words():
        past.show(one.printer)
    if one.state == LEFT:
        return
    with telling.errors_in_words():
        level.claims(place, one.printer)
    with telling.errors_in_words():
        level.show(place, one.printer)
    with st.expander(_("Its label")), telling.errors_in_words():
        label.for_one(place, one)


def _log(printer: str) -> None:
    """The forms of this printer, in one row that wraps."""
    with st.container(horizontal=True, key="printer-log"):
        for what in FORMS:
            if st.button(_(what), key=f"log-{what}-{printer}", icon=":material/edit_note:"):
                links.go_log(printer, what)


place = session.workshop()
wanted = links.wanted("printer")
found = session.ask(printer_states).get(wanted)
if found is not None:
    show(place, found)
else:
    if wanted:
        st.warning(plain(say_links.no_such_printer(wanted)), icon=":material/search_off:")
    pick.show(place)
