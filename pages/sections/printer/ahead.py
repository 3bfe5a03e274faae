"""What to do next on the printer: places to fill, tasks due, changes by plan."""

from __future__ import annotations

from datetime import timedelta

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.review.words import plain
from pages.shell import links
from tracker.decisions.changes_ahead import changes_ahead
from tracker.language import _, ngettext
from tracker.lives.printer_state import STANDS, PrinterState
from tracker.say import printer_page as say
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance.due import task_line
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.part_cautions import of_parts

_AHEAD_DAYS = 30  # how far ahead a planned change is told
_SHOWN = 5


def show(place: frame.Workshop, one: PrinterState, tasks: pd.DataFrame) -> None:
    """The work on it, each with the way to its form; ``tasks``: its rows of the due list."""
    st.header(_("What to do next"), anchor=False)
    printer, stands = one.printer, one.state == STANDS
    if stands and _line(_(say.RUNS_AGAIN), _("It runs again"), "runs"):
        links.go_log(printer, "Stoppage")
    empty = frame.ask(waiting_positions)
    empty = empty[empty["printer"] == printer]
    for row in empty.itertuples():
        if _line(say.empty_place(row), _("Log the new part"), f"fill-{row.Index}"):
            links.go_log(printer, "Part change", part=row.part_kind, position=row.position)
    due = tasks[tasks["days_late"] >= 0]
    cautions = [key for keys in due["cautions"] for key in keys]
    changes = pd.DataFrame()
    with frame.errors_in_words():
        changes = _changes(place, printer)
        cautions += of_parts(changes["part_kind"])
        frame.cautions(cautions, label=_("The cautions in full"))
        for row in changes.head(_SHOWN).itertuples():
            if _line(say.change_due(row, place.as_of), _("Log the change"), f"plan-{row.Index}"):
                links.go_log(printer, "Part change", part=row.part_kind, position=row.position)
        if len(changes) > _SHOWN:
            st.caption(
                ngettext(
                    "One more part is to be changed by plan within a month.",
                    "{count} more parts are to be changed by plan within a month.",
                    len(changes) - _SHOWN,
                    count=len(changes) - _SHOWN,
                )
            )
    for row in due.itertuples():
        if row.cautions:
            st.caption(f"⚠️ {plain(cautions_in_short(row.cautions))}")
        if _line(task_line(row), _("Log it"), f"task-{row.task}", marked=True):
            links.go_log(printer, "Task done", task=row.task)
    coming = tasks[tasks["days_late"] < 0]
    if due.empty and len(coming):
        st.markdown(plain(say.next_task(next(coming.itertuples()))))
    elif due.empty and empty.empty and changes.empty and not stands:
        st.markdown(_("Nothing is due: no routine is set for it."))


def _changes(place: frame.Workshop, printer: str) -> pd.DataFrame:
    rows = frame.ask(changes_ahead)
    rows = rows[rows["printer"] == printer]
    soon = place.as_of + timedelta(days=_AHEAD_DAYS)
    return rows[rows["change_on"].map(lambda day: day <= soon).astype(bool)]


def _line(told: str, label: str, key: str, *, marked: bool = False) -> bool:
    """What is to be done and the button to log it; ``marked``: the words hold marks of ours."""
    text, button = st.columns([4, 1], vertical_alignment="center")
    text.markdown(frame.words(told) if marked else plain(told))
    return button.button(label, key=f"printer-{key}", width="stretch")
