"""Take in spreadsheets as they are: say what they hold, ask, mend, load, with a way back."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.records import usual_routine
from pages.sections.records.load import (
    chosen,
    keep,
    mended,
    mistakes,
    questions,
    reading,
    tables,
)
from tracker.errors import UsageError
from tracker.say import numbers


def show(workshop: frame.Workshop) -> None:
    """Choose files or paste rows, see what they are taken for, answer, mend, load as one change."""
    if st.session_state.pop(keep.DONE, False):
        _begin_again()
        st.session_state["load-loaded"] = True
    if st.session_state.get("load-loaded"):
        _loaded(workshop)
    else:
        st.markdown(
            "Bring what you have: lists, calendars with crosses, a sheet per printer or month. "
            "You see what was understood before anything is kept, and loading the same twice adds "
            "nothing."
        )
    files = mistakes.without_skipped(chosen.choose(workshop))
    if not files:
        return
    st.session_state.pop("load-loaded", None)
    with frame.errors_in_words():
        try:
            _flow(reading.Reader(workshop, files))
        except UsageError:
            # What was said of a table that has other columns now; nothing of it can be kept.
            tables.forget()
            _flow(reading.Reader(workshop, files))


def _loaded(workshop: frame.Workshop) -> None:
    """On to the list of what is due; without a routine it would stay empty."""
    if workshop.records.routines.empty:
        usual_routine.offer(workshop)
        return
    frame.empty_state(
        "It is in your records. What is due next follows from it.",
        button="See what is due",
        page="today",
    )


def _flow(reader: reading.Reader) -> None:
    found, asked = st.container(), st.container(key="load-asked")
    intake, answers = questions.settle(asked, reader, tables.said(), several=len(reader.files) > 1)
    with found:
        tables.show(intake)
    by_store = reader.refused_by_store(answers)
    mistakes.show(reader.files, intake, (*intake.refusals, *by_store))
    mended.show(reader.files, intake)
    if intake.records is None:
        open_yet = [
            numbers.count(len(intake.questions), "question") if intake.questions else "",
            numbers.count(len(intake.refusals), "mistake") if intake.refusals else "",
        ]
        st.info(
            f"Still open: {' and '.join(filter(None, open_yet))} above. Nothing has been loaded.",
            icon=":material/arrow_upward:",
        )
        return
    keep.show(reader, intake, intake.records, answers, refused=bool(by_store))


def _begin_again() -> None:
    for room in (chosen, mended, mistakes, tables, reading):
        room.forget()
