"""What is due today, done with one tap, with the cautions beside it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.task import tasks_done
from pages.forms.together import twice
from pages.sections import paging, reminders
from pages.sections.records import workshop_settings
from pages.shell import acting, links, session, sites
from pages.shell.words import marked, plain
from tracker.decisions.due import due_list
from tracker.decisions.due_days.task_clock import weekdays_due
from tracker.language import _
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance import due as say
from tracker.workshop import vocabulary

_OPEN = 4  # printers shown unfolded
_PER_PAGE = 12


def show(place: session.Workshop) -> None:
    """The answer in a sentence, then one card per printer, the longest overdue first."""
    if place.records.routines.empty:
        frame.answer(_("No routine yet, so nothing is due."))
        no_routine()
        return
    everything = sites.of_site(place, session.ask(due_list))
    due = everything[everything["days_late"] >= 0]
    frame.answer(say.due_sentence(everything, place.as_of))
    sites.choose(place)
    if len(due) or frame.steady("due-printers", ()):
        _cards(place, due)
    _weekdays(place)
    reminders.show(place, "due")


def _weekdays(place: session.Workshop) -> None:
    """On which days anything falls due, and the way to set others."""
    told = say.weekdays(session.ask(weekdays_due), place.records)
    if not told:
        return
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.caption(told, width="stretch")
        if st.button(_("Other weekdays"), key="due-weekdays"):
            workshop_settings.go(workshop_settings.NAMES)


def _cards(place: session.Workshop, due: pd.DataFrame) -> None:
    """One card per printer, the longest overdue first, each task with its button."""
    everyone = (key for names in due["cautions"] for key in names)
    frame.cautions(everyone, label=_("The cautions in full"))
    order = frame.steady(f"due-printers-{sites.chosen(place)}", due["printer"])
    for number, printer in enumerate(paging.page_of(_found(order), "due", per_page=_PER_PAGE)):
        rows = due[due["printer"] == printer]
        with st.expander(marked(say.printer_line(printer, rows)), expanded=number < _OPEN):
            by_task = {row.task: row for row in rows.itertuples()}
            for task in frame.steady(f"due-{printer}", rows["task"]):
                if task in by_task:
                    _line(place, by_task[task])
                else:  # done stays in its line, so that nothing moves under a tap
                    text, button = st.columns([3, 1], vertical_alignment="center")
                    text.markdown(f"~~{plain(vocabulary.task_label(task))}~~")
                    key = f"was-{printer}-{task}"
                    button.button(_("✓ Done"), key=key, width="stretch", disabled=True)
                    late = f"done-{printer}-{task}"  # tapped, and somebody else was first
                    tasks_done(place, printer, (task,), late, tapped=twice.was_tapped(late))
            left = tuple(rows["task"])
            before = frame.on_screen(f"all-{printer}", left)
            key = f"all-{printer}"
            tapped = twice.was_tapped(key)
            if len(left) > 1:
                tapped = acting.button(_("All done"), key=key, width="stretch")
            tasks_done(place, printer, before, key, tapped=tapped)


def no_routine() -> None:
    """The next step where no routine is set up."""
    frame.empty_state(_("Say which task is due how often, and this list fills."))
    if st.button(_("Set up the routine"), type="primary", key="routine-setup"):
        links.go_settings("Routines")


def _found(printers: list[str]) -> list[str]:
    """The printers to list, the longest overdue first; of many those whose name is looked for."""
    if len(printers) <= _PER_PAGE:
        return printers
    typed = st.text_input(_("Search by name"), key="due-printer").strip().casefold()
    found = [name for name in printers if typed in name.casefold()]
    if not found:
        st.info(_("No printer with a task due has that in its name."), icon=":material/search_off:")
    return found


def _line(place: session.Workshop, row: Any) -> None:
    text, button = st.columns([3, 1], vertical_alignment="center")
    text.markdown(marked(say.task_line(row)))
    if row.cautions:
        text.caption(f"⚠️ {plain(cautions_in_short(row.cautions))}")
    key = f"done-{row.printer}-{row.task}"
    tapped = acting.button(_("Done"), at=button, key=key, width="stretch")
    tasks_done(place, row.printer, (row.task,), key, tapped=tapped)
