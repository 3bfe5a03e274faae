"""Take in spreadsheets as they are: say what they hold, ask, mend, load, with a way back."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.records import usual_routine
from pages.sections.records.load import (
    agreed,
    chosen,
    keep,
    mended,
    mistakes,
    questions,
    reading,
    tables,
)
from pages.shell import session, telling
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers
from tracker.say.phrases import listed
from tracker.store.loading import OnConflict


def show(workshop: session.Workshop) -> None:
    """Choose files or paste rows, see what they are taken for, answer, mend, load as one change."""
    if st.session_state.pop(keep.DONE, False):
        _begin_again()
        st.session_state["load-loaded"] = True
    loaded = st.session_state.get("load-loaded", False)
    next_step, choice = st.container(), st.container()
    # What was drawn for the files that are loaded goes at once, and the next step is drawn last: a
    # page that gets shorter later moves the button from under the finger, and the tap is lost.
    flow = st.empty() if loaded else st.container()
    if not loaded:
        next_step.markdown(
            _(
                "Bring what you have: lists, calendars with crosses, a sheet per printer or "
                "month. You see what was understood before anything is kept, and loading the "
                "same twice adds nothing."
            )
        )
    with choice:
        files = mistakes.without_skipped(chosen.choose(workshop))
    if files:
        st.session_state.pop("load-loaded", None)
        with flow.container() if loaded else flow, telling.errors_in_words():
            try:
                _flow(reading.Reader(workshop, files))
            except UsageError:
                # What was said of a table that has other columns now; nothing can be kept.
                tables.forget()
                _flow(reading.Reader(workshop, files))
    elif loaded:
        with next_step:
            _loaded(workshop)


def _loaded(workshop: session.Workshop) -> None:
    """On to the list of what is due; without a routine it would stay empty."""
    if workshop.records.routines.empty:
        usual_routine.offer(workshop)
        return
    frame.empty_state(
        _("It is in your records. What is due next follows from it."),
        button=_("See what is due"),
        page="today",
    )


def _flow(reader: reading.Reader) -> None:
    intake, answers, asked = questions.settle(reader, tables.said())
    tables.show(intake)
    with st.container(key="load-asked"):
        questions.show(asked, several=len(reader.files) > 1)
    on_conflict: OnConflict = "refuse"
    refused, ready = intake.refusals, None
    if intake.records is not None:
        ready = agreed.ask(reader.workshop, intake.records)
        refused, on_conflict = keep.refusals(reader, intake, ready, answers)
    mistakes.show(reader.files, intake, refused)
    mended.show(reader.files, intake)
    if ready is not None and not refused:
        keep.show(reader, intake, ready, on_conflict)
        return
    open_yet = [
        numbers.count(len(intake.questions), "question", "questions") if intake.questions else "",
        numbers.count(len(refused), "mistake", "mistakes") if refused else "",
    ]
    st.info(
        _(
            "Still open: {open_yet} above. Nothing has been loaded.",
            open_yet=listed([*filter(None, open_yet)]),
        ),
        icon=":material/arrow_upward:",
    )


def _begin_again() -> None:
    for room in (chosen, mended, mistakes, tables, reading):
        room.forget()
