"""Fourth step: which task every how many days, and when was each done last?"""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.start import said
from pages.sections.start.table import FigureList
from pages.shell import session
from pages.shell.words import marked, plain
from tracker.errors import RecordError
from tracker.language import _
from tracker.say.maintenance.first_routine import first_days, last_done
from tracker.workshop import vocabulary
from tracker.workshop.age_guesses import NO_IDEA
from tracker.workshop.contract import ROUTINES
from tracker.workshop.first_run.routine import LAST_DONE, FirstTask, first_due, usual_tasks

_COLUMN = "every_days"


def tasks() -> list[FirstTask]:
    """The routine said so far, without the tasks that are not done; RecordError if it cannot be."""
    listed, found = _listed(), []
    for usual in usual_tasks():
        every = listed.number(usual.task, _COLUMN, ROUTINES.column(_COLUMN))
        if every is not None:
            answer = said.answer(f"done-{usual.task}", NO_IDEA)
            found.append(FirstTask(usual.task, every, answer if answer in LAST_DONE else NO_IDEA))
    return found


def problem() -> str:
    """What cannot be, in one sentence; "" where all can."""
    try:
        tasks()
    except RecordError as wrong:
        return str(wrong)
    return ""


def show(place: session.Workshop) -> None:
    """One list to correct, a row of taps per task, and what will be due from it."""
    st.markdown(
        _(
            "These intervals are common practice, no source. Tap one to correct it; empty it "
            "where you do not do the task. Where the maker's instructions ask for more, they "
            "come first."
        )
    )
    _listed().show()
    frame.cautions(
        (key for usual in usual_tasks() for key in vocabulary.TASKS[usual.task].cautions),
        label=_("Cautions for this work"),
    )
    if wrong := problem():
        st.error(plain(wrong), icon=":material/front_hand:")
        return
    st.markdown(
        _(
            "**When was each task done last?** So that not everything is due on the first "
            "day. “No idea” is for never, too."
        )
    )
    for first in tasks():
        st.segmented_control(
            last_done(first), list(LAST_DONE), default=NO_IDEA, required=True,
            format_func=vocabulary.said,
            key=f"{said.FIELD}done-{first.task}",
        )  # fmt: skip
    said.keep()
    st.caption(marked(first_days(first_due(tasks(), place.as_of), place.as_of)))


def _listed() -> FigureList:
    usual = usual_tasks()
    return FigureList(
        "routine",
        _("Task"),
        {task.task: vocabulary.task_label(task.task) for task in usual},
        {_COLUMN: _("Days between")},
        {(task.task, _COLUMN): f"{task.every_days:g}" for task in usual},
    )
