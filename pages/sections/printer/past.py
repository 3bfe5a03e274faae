"""What happened to the printer: parts, tasks, stoppages, closed days; its nozzles."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.data_table import data_table
from pages.sections.folded import folded
from pages.shell import session, telling
from pages.shell.words import marked, plain
from tracker.charts.nozzle_trend import nozzle_trend_picture
from tracker.charts.printer_timeline import printer_timeline_picture
from tracker.language import _
from tracker.lives.printer_history import PrinterHistory, printer_history
from tracker.say.listing import Listing
from tracker.say.printer_page import past as say_past

_YEAR_DAYS = 365
_WHOLE, _TASKS = "printer-whole", "printer-tasks"


def show(printer: str) -> None:
    """The parts over a year in sight; tasks, the whole log, tables and the nozzles on tap."""
    st.header(_("What happened"), anchor=False)
    whole = bool(st.session_state.get(_WHOLE))
    history: PrinterHistory = session.ask(printer_history, printer, None if whole else _YEAR_DAYS)
    drawn = history if whole else history.where_it_changed()
    if history.places and not st.session_state.get(_TASKS):
        drawn = drawn.without_work()
    with telling.errors_in_words():
        _timeline(history, drawn)
    with st.container(horizontal=True):
        st.toggle(_("Tasks, too"), key=_TASKS)
        st.toggle(_("The whole log instead of the last twelve months"), key=_WHOLE)
    if history.places or len(history.work):
        with st.expander(_("The same as tables")):
            _tables(history)
    folded(_("Missing nozzles"), lambda: _nozzles(history), key=f"nozzles-{printer}")


def _timeline(history: PrinterHistory, drawn: PrinterHistory) -> None:
    """What happened in a sentence, and the picture of what is ``drawn``."""
    if not history.places and history.work.empty:
        st.info(_("Nothing was written down of it in these days."), icon=":material/arrow_forward:")
        return
    said = say_past.happened(history)
    st.markdown(marked(said))
    frame.chart(printer_timeline_picture(drawn), said, "printer-timeline")
    left_out = len(history.places) - len(drawn.places)
    if left_out:
        st.caption(plain(say_past.nothing_changed(left_out)))


def _tables(history: PrinterHistory) -> None:
    _table(say_past.history_table(history), _("Parts of this printer and how each ended"), "parts")
    _table(say_past.work_table(history), _("Tasks done on this printer"), "tasks")
    _table(say_past.stops_table(history), _("Stoppages and closed days of this printer"), "stops")


def _nozzles(history: PrinterHistory) -> None:
    if history.nozzle_checks.empty:
        st.info(
            _("No nozzle check was written down in these days."), icon=":material/arrow_forward:"
        )
        return
    said = say_past.nozzles(history)
    st.markdown(marked(said))
    frame.chart(nozzle_trend_picture(history), said, "printer-nozzles")
    _table(say_past.nozzle_table(history), _("Checks that found nozzles missing"), "nozzles")


def _table(listing: Listing, alt: str, key: str) -> None:
    if len(listing):
        table = pd.DataFrame(listing.rows, columns=list(listing.heads))
        data_table(table, key=f"printer-{key}", alt=alt)
