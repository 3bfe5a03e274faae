"""What is due today, done with one tap, with the cautions beside it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.task import tasks_done
from pages.sections import reminders
from tracker.decisions.due import due_list
from tracker.language import _
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance import due as say
from tracker.workshop import vocabulary

_OPEN = 4  # printers shown unfolded
_SHOWN = 12  # printers listed at all; the others are chosen by name


def show(place: frame.Workshop) -> None:
    """The answer in a sentence, then one card per printer, the longest overdue first."""
    if place.records.routines.empty:
        frame.answer(_("No routine yet, so nothing is due."))
        no_routine()
        return
    everything = frame.ask(due_list)
    due = everything[everything["days_late"] >= 0]
    frame.answer(say.due_sentence(everything, place.as_of))
    if len(due):
        _cards(place, due)
    reminders.show(place, "due")


def _cards(place: frame.Workshop, due: pd.DataFrame) -> None:
    """One card per printer, the longest overdue first, each task with its button."""
    everyone = (key for names in due["cautions"] for key in names)
    frame.cautions(everyone, label=_("The cautions in full"))
    order = frame.steady("due-printers", due["printer"])
    for number, printer in enumerate(_chosen(order)):
        rows = due[due["printer"] == printer]
        with st.expander(say.printer_line(printer, rows), expanded=number < _OPEN):
            by_task = {row.task: row for row in rows.itertuples()}
            for task in frame.steady(f"due-{printer}", rows["task"]):
                if task in by_task:
                    _line(place, by_task[task])
                else:  # done stays in its line, so that nothing moves under a tap
                    text, button = st.columns([3, 1], vertical_alignment="center")
                    text.markdown(f"~~{vocabulary.task_label(task)}~~")
                    key = f"was-{printer}-{task}"
                    button.button(_("✓ Done"), key=key, width="stretch", disabled=True)
            if len(rows) > 1 and st.button(_("All done"), key=f"all-{printer}", width="stretch"):
                tasks_done(place, printer, tuple(rows["task"]))


def no_routine() -> None:
    """The next step where no routine is set up."""
    frame.empty_state(_("Say which task is due how often, and this list fills."))
    if st.button(_("Set up the routine"), type="primary", key="routine-setup"):
        st.session_state["records-wanted"] = "Settings"
        st.session_state["settings-of"] = "Routines"
        st.switch_page(frame.ROOT / "pages" / "records.py")


def _chosen(printers: list[str]) -> list[str]:
    """The printers to list: the longest overdue, or the one picked from a large fleet."""
    if len(printers) <= _SHOWN:
        return printers
    latest = _("The {shown} longest overdue, of {count}", shown=_SHOWN, count=len(printers))
    picked = st.selectbox(_("Which printer?"), [latest, *sorted(printers)], key="due-printer")
    return printers[:_SHOWN] if picked in (None, latest) else [str(picked)]


def _line(place: frame.Workshop, row: Any) -> None:
    text, button = st.columns([3, 1], vertical_alignment="center")
    text.markdown(frame.words(say.task_line(row)))
    if row.cautions:
        text.caption(f"⚠️ {cautions_in_short(row.cautions)}")
    key = f"done-{row.printer}-{row.task}"
    if button.button(_("Done"), key=key, width="stretch"):
        tasks_done(place, row.printer, (row.task,))
