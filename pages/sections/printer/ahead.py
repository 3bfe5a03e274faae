"""What to do on the printer: places to fill, tasks due, changes by plan; then the cautions."""

from __future__ import annotations

from datetime import timedelta

import pandas as pd
import streamlit as st

from pages.shell import links, session, telling
from pages.shell.words import marked, plain
from tracker.decisions.changes_ahead import changes_ahead
from tracker.language import _
from tracker.lives.printer_state import STANDS, PrinterState
from tracker.say import numbers
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance.due import task_line
from tracker.say.printer_page import parts as say
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.parts.cautions import of_parts

_AHEAD_DAYS = 30  # how far ahead a planned change is told
_TASKS, _CHANGES = 3, 1  # in sight without a tap


def show(place: session.Workshop, one: PrinterState, tasks: pd.DataFrame) -> None:
    """The work on it, each with the way to its form; ``tasks``: its rows of the due list."""
    st.header(_("What to do"), anchor=False)
    printer, stands = one.printer, one.state == STANDS
    if stands and _line(_(say.RUNS_AGAIN), _("It runs again"), "runs"):
        links.go_log(printer, "Stoppage")
    empty = session.ask(waiting_positions)
    empty = empty[empty["printer"] == printer]
    for row in empty.itertuples():
        if _line(say.empty_place(row), _("Log the new part"), f"fill-{row.Index}"):
            links.go_log(printer, "Part change", part=row.part_kind, position=row.position)
    due = tasks[tasks["days_late"] >= 0]
    _tasks(printer, due.head(_TASKS))
    if len(due) > _TASKS:
        more = numbers.count(len(due) - _TASKS, "more task due", "more tasks due")
        with st.expander(more):
            _tasks(printer, due.tail(-_TASKS))
    coming = tasks[tasks["days_late"] < 0]
    changes = pd.DataFrame()
    with telling.errors_in_words():
        changes = _changes(place, printer)
        _by_plan(place, printer, changes)
    if due.empty and len(coming):
        st.markdown(plain(say.next_task(next(coming.itertuples()))))
    elif due.empty and empty.empty and changes.empty and not stands:
        st.markdown(_("Nothing is due: no routine is set for it."))


def _tasks(printer: str, due: pd.DataFrame) -> None:
    """Each task with its caution in short; the form it leads to has it in full."""
    for row in due.itertuples():
        short = f"  \n⚠️ {plain(cautions_in_short(row.cautions))}" if row.cautions else ""
        if _line(marked(task_line(row)) + short, _("Log it"), f"task-{row.task}", marked=True):
            links.go_log(printer, "Task done", task=row.task)


def _by_plan(place: session.Workshop, printer: str, changes: pd.DataFrame) -> None:
    """The changes by plan of the days ahead, most of them on tap."""
    _change_lines(place, printer, changes.head(_CHANGES))
    rest = changes.tail(-_CHANGES)
    if len(rest):
        more = numbers.count(len(rest), "more change by plan", "more changes by plan")
        with st.expander(_("{more} within a month", more=more)):
            _change_lines(place, printer, rest)


def _change_lines(place: session.Workshop, printer: str, changes: pd.DataFrame) -> None:
    for row in changes.itertuples():
        short = f"  \n⚠️ {plain(cautions_in_short(of_parts([row.part_kind])))}"
        told = plain(say.change_due(row, place.as_of)) + short
        if _line(told, _("Log the change"), f"plan-{row.Index}", marked=True):
            links.go_log(printer, "Part change", part=row.part_kind, position=row.position)


def _changes(place: session.Workshop, printer: str) -> pd.DataFrame:
    rows = session.ask(changes_ahead)
    rows = rows[rows["printer"] == printer]
    soon = pd.Timestamp(place.as_of + timedelta(days=_AHEAD_DAYS))
    return rows[rows["change_on"] <= soon]


def _line(told: str, label: str, key: str, *, marked: bool = False) -> bool:
    """What is to be done and the button to log it; ``marked``: stored words are escaped already."""
    text, button = st.columns([4, 1], vertical_alignment="center")
    text.markdown(told if marked else plain(told))
    return button.button(label, key=f"printer-{key}", width="stretch")
