"""What if a task were done more or less often from now on?"""

from __future__ import annotations

from datetime import date

import streamlit as st

from pages.shell import session
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.routine_exposure import AREA
from tracker.language import _
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

_INTERVALS = (1.0, 2.0, 3.0, 7.0, 14.0, 30.0, 60.0)


def ask(place: session.Workshop, key: str) -> tuple[dict[str, float], list[str]]:
    """The tasks asked about with their days between, and each in words."""
    tasks = session.ask(_tasks)
    if not tasks:
        return {}, []
    left, right = st.columns(2)
    task = left.selectbox(
        _("If this task"),
        [None, *tasks],
        key=f"{key}-dial-task",
        format_func=lambda name: _("as now") if name is None else words.task_label(name),
        help=_("Only what the log knows something about; how sure it is, Maintenance tells."),
    )
    if task is None:
        return {}, []
    days = right.select_slider(
        _("were done every so many days from now on"),
        _INTERVALS,
        7.0,
        key=f"{key}-dial-days",
        format_func=numbers.days,
    )
    return {task: days}, [
        _("{task} every {days}", task=words.task_label(task).lower(), days=numbers.days(days))
    ]


def _tasks(records: Records, as_of: date) -> list[str]:
    told = fit_lives(records, as_of).told
    return [] if told is None else sorted({one.what for one in told.exposures} - {AREA})
