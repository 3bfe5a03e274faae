"""What stands against the rows, the button that says what it will do, and what happens then."""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from pages.sections.records.load import mended
from pages.sections.records.load.agreed import Agreed
from pages.sections.records.load.reading import Reader
from pages.shell import acting, telling
from pages.shell.words import plain
from tracker.errors import LoadRefused, RecordError
from tracker.intake.pieces import Intake
from tracker.language import _
from tracker.say import intake as words
from tracker.say import numbers
from tracker.say.entering.record_words import in_words
from tracker.sharing.roles import MANAGE
from tracker.store.loading import OnConflict, plan_load
from tracker.store.loading.report import LoadReport
from tracker.workshop.refusal import Refusal

DONE = "load-done"
_WIDEST_NAMES = 120  # letters of file names in the list of changes


def refusals(
    reader: Reader, intake: Intake, agreed: Agreed, answers: Mapping[str, str]
) -> tuple[tuple[Refusal, ...], OnConflict]:
    """What the records have against the rows, and whether the file wins where both say a thing.

    It is asked only where it helps: what cannot be true is no matter of who wins.
    """
    refused = reader.refused_by_store(answers, intake, agreed, "refuse")
    if not refused:
        return (), "refuse"
    yielding = reader.refused_by_store(answers, intake, agreed, "file_wins")
    if set(yielding) == set(refused):
        return refused, "refuse"
    wins = st.checkbox(
        _("Where a record is there already and says otherwise, take what the file says"),
        key="load-file-wins",
    )
    return (yielding, "file_wins") if wins else (refused, "refuse")


def show(reader: Reader, intake: Intake, agreed: Agreed, on_conflict: OnConflict) -> None:
    """The button, once nothing stands against it."""
    label = words.what_loads(agreed.records)
    if not label:
        st.info(
            _("No row of it is a record. Say above what the table is, or choose another file."),
            icon=":material/arrow_forward:",
        )
        return
    if acting.button(label, role=MANAGE, type="primary", width="stretch", key="load-go"):
        _load(reader, intake, agreed, on_conflict)


def _load(reader: Reader, intake: Intake, agreed: Agreed, on_conflict: OnConflict) -> None:
    store = reader.workshop.store
    names = _names(list(dict.fromkeys(piece.source for piece in intake.pieces)))
    left_out = mended.reasons(reader.files)
    what = _("Loaded {names}", names=names)
    if left_out:
        what = _("Loaded {names}; left out: {left_out}", names=names, left_out=left_out)
    try:
        with store.change(what) as batch:
            report = plan_load(batch, agreed.records, names, on_conflict, agreed=agreed.first_days)
    except LoadRefused:
        st.rerun()  # another seat wrote meanwhile: the preview says what stands against it now
    except RecordError as problem:
        st.error(plain(in_words(str(problem))), icon=":material/front_hand:")
        return
    store.remember_answers(intake.to_remember)
    added, completed = sum(report.added.values()), sum(report.completed.values())
    known = sum(report.unchanged.values())
    st.session_state[DONE] = True
    if not added and not completed:
        telling.recorded(
            " ".join(filter(None, [_nothing_new(names, known, report), report.what_stays])),
            None,
        )
    telling.recorded(
        " ".join(
            [
                _(
                    "Loaded {names}: {added} added, {completed} completed, {known} known already.",
                    names=names,
                    added=numbers.count(added, "record", "records"),
                    completed=numbers.decimal(completed),
                    known=numbers.decimal(known),
                ),
                *filter(None, [report.what_stays]),
                *report.notes,
            ]
        ),
        batch.number,
    )


def _nothing_new(names: str, known: int, report: LoadReport) -> str:
    there = numbers.count(known, "record", "records")
    if report.what_stays:
        return _("Nothing new in {names}: {known} were there already.", names=names, known=there)
    return _("Nothing new in {names}: all {known} were there already.", names=names, known=there)


def _names(sources: list[str]) -> str:
    shown = ", ".join(sources)
    return shown if len(shown) <= _WIDEST_NAMES else _("{count} files", count=len(sources))
