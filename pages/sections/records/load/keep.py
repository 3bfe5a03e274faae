"""The button that says what it will do, and what happens then: loaded whole, with a way back."""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from pages import frame
from pages.sections.records.load import agreed, mended
from pages.sections.records.load.reading import Reader
from pages.sections.records.record_words import in_words
from tracker.errors import LoadRefused, RecordError
from tracker.intake.pieces import Intake
from tracker.say import intake as words
from tracker.say import numbers
from tracker.store.loading import FirstDays, OnConflict, plan_load
from tracker.workshop.records import Records

DONE = "load-done"
_WIDEST_NAMES = 120  # letters of file names in the list of changes


def show(
    reader: Reader, intake: Intake, records: Records, answers: Mapping[str, str], *, refused: bool
) -> None:
    """What goes along with the rows, then the button; ``refused`` once the store said no."""
    first_days = agreed.first_days(reader.workshop, records)
    records = agreed.with_ages(reader.workshop, records)
    wins = refused and st.checkbox(
        "Where a record is there already and says otherwise, take what the file says",
        key="load-file-wins",
    )
    label = words.what_loads(records)
    if not label:
        st.info(
            "No row of it is a record. Say above what the table is, or choose another file.",
            icon=":material/arrow_forward:",
        )
        return
    if st.button(label, type="primary", width="stretch", key="load-go"):
        _load(reader, intake, records, answers, first_days, "file_wins" if wins else "refuse")


def _load(
    reader: Reader,
    intake: Intake,
    records: Records,
    answers: Mapping[str, str],
    first_days: FirstDays,
    on_conflict: OnConflict,
) -> None:
    store = reader.workshop.store
    names = _names(list(dict.fromkeys(piece.source for piece in intake.pieces)))
    left_out = mended.reasons(reader.files)
    what = f"Loaded {names}" + (f"; left out: {left_out}" if left_out else "")
    try:
        with store.change(what, frame.who(), now=frame.now()) as batch:
            report = plan_load(
                batch, records, names, on_conflict, now=frame.now(), agreed=first_days
            )
    except LoadRefused as problem:
        reader.remember_refused(answers, intake.placed(problem.refusals))
        st.rerun()
    except RecordError as problem:
        st.error(in_words(str(problem)), icon=":material/front_hand:")
        return
    store.remember_answers(intake.to_remember)
    added, completed = sum(report.added.values()), sum(report.completed.values())
    known = sum(report.unchanged.values())
    st.session_state[DONE] = True
    if not added and not completed:
        frame.recorded(
            f"Nothing new in {names}: all {numbers.count(known, 'record')} were there already.",
            None,
        )
    frame.recorded(
        " ".join(
            [
                f"Loaded {names}: {numbers.count(added, 'record')} added, {completed} completed, "
                f"{known} known already.",
                *report.notes,
            ]
        ),
        batch.number,
    )


def _names(sources: list[str]) -> str:
    shown = ", ".join(sources)
    return shown if len(shown) <= _WIDEST_NAMES else f"{len(sources)} files"
