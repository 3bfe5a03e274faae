"""Each untidy sheet gives the records written beside it, or is refused with a mend that works."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time
from itertools import cycle
from typing import Any

import pytest

from tests.copied import Copies, as_it_begins
from tests.databases import ENGINES
from tests.hands import by
from tests.intake.sheets import TODAY, in_table
from tests.intake.untidy.collection import SHEETS
from tests.intake.untidy.sheet import Refused, Untidy
from tracker.errors import LoadRefused
from tracker.intake.few import MOST_QUESTIONS
from tracker.intake.pieces import Intake, Mends
from tracker.intake.questions import Question
from tracker.intake.reading import read_files
from tracker.store.database import Store
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal

NOW = datetime.combine(TODAY, time(12))


def read_with_answers(
    sheet: Untidy, known: Records, *, is_mended: bool = False
) -> tuple[Intake, list[Question]]:
    """The sheet read, each question answered as written beside it; and what was asked."""
    answers: dict[str, str] = {}
    asked: list[Question] = []
    mends = (sheet.mends if is_mended else None) or Mends()
    files = sheet.files(is_mended=is_mended)
    while True:
        intake = read_files(files, known, answers, mends, today=TODAY)
        if not intake.questions:
            return intake, asked
        for question in intake.questions:
            assert question.key not in answers, f"asked again: {question.sentence()}"
            foreseen = [answer for key, answer in sheet.answers.items() if key in question.key]
            assert foreseen, f"not foreseen: {question.key}: {question.sentence()}"
            answers[question.key] = foreseen[0]
            asked.append(question)


def load(store: Store, intake: Intake, sheet: Untidy) -> tuple[int, Sequence[Refusal]]:
    """How many records the database took, and what it or the reading refused."""
    if intake.records is None:
        return 0, intake.refusals
    try:
        report = by(store, now=NOW).load(intake.records, sheet.file)
    except LoadRefused as refused:
        return 0, intake.placed(refused.refusals)
    return sum(report.added.values()) + sum(report.completed.values()), ()


def assert_same_records(records: Records, sheet: Untidy) -> None:
    """The tables hold the rows written beside the sheet, and no other table holds any.

    Printers and settings hold what was known besides.
    """
    for table in TABLES:
        columns, expected = sheet.gives.get(table.name, (table.names, []))
        found = in_table(records, table.name, *columns)
        if table.name in ("printers", "settings"):
            known = in_table(sheet.known, table.name, table.names[0])
            found = [row for row in found if row[:1] not in known]
        assert found == expected, table.name


@pytest.fixture
def store(database_url: str, copies: Copies) -> Store:
    return copies.opened(database_url, as_it_begins)


def _on_either(sheets: Sequence[Untidy]) -> list[Any]:
    """Every other sheet on the other engine: how a sheet is read is the same on both."""
    return [
        pytest.param(sheet, *engine.values, id=f"{sheet.about}-{engine.id}", marks=engine.marks)
        for sheet, engine in zip(sheets, cycle(ENGINES))
    ]


def _names(sheets: Sequence[Untidy]) -> list[str]:
    return [sheet.about for sheet in sheets]


def test_three_questions_are_as_many_as_a_file_may_put() -> None:
    assert MOST_QUESTIONS == 3


def test_the_collection_is_as_large_as_it_says_and_each_sheet_stands_in_it_once() -> None:
    assert len(SHEETS) >= 30
    assert len(set(_names(SHEETS))) == len(SHEETS)
    assert len({sheet.data for sheet in SHEETS}) == len(SHEETS)


@pytest.mark.parametrize(("sheet", "fresh_url"), _on_either(SHEETS), indirect=["fresh_url"])
def test_a_sheet_gives_its_records_or_its_mend_does(sheet: Untidy, store: Store) -> None:
    with store:
        if len(sheet.known.printers):
            by(store, now=NOW).load(sheet.known, "what is known")
        before = {table.name: len(store.records().table(table.name)) for table in TABLES}
        intake, asked = read_with_answers(sheet, store.records())
        if sheet.refused:
            added, refusals = load(store, intake, sheet)
            assert added == 0
            assert_refused(refusals, sheet.refused)
            after = {table.name: len(store.records().table(table.name)) for table in TABLES}
            assert after == before
            intake, asked = read_with_answers(sheet, store.records(), is_mended=True)
        assert len(asked) <= MOST_QUESTIONS, [question.sentence() for question in asked]
        added, refusals = load(store, intake, sheet)
        assert not refusals, [refusal.sentence() for refusal in refusals]
        assert bool(added) == bool(sheet.gives)
        assert_same_records(store.records(), sheet)
        assert sorted(row.row for row in intake.set_aside) == sorted(sheet.aside)
        assert all(any(words in notice for notice in intake.notices) for words in sheet.says)
        again, _ = read_with_answers(sheet, store.records(), is_mended=bool(sheet.refused))
        assert load(store, again, sheet) == (0, ())
        assert_same_records(store.records(), sheet)


@pytest.mark.parametrize("sheet", SHEETS, ids=_names(SHEETS))
def test_whoever_takes_what_is_proposed_is_asked_three_times_at_most(sheet: Untidy) -> None:
    answers: dict[str, str] = {}
    while questions := read_files(sheet.files(), sheet.known, answers, today=TODAY).questions:
        answers |= {question.key: question.proposal for question in questions}
    assert len(answers) <= MOST_QUESTIONS, answers


def assert_refused(refusals: Sequence[Refusal], expected: Sequence[Refused]) -> None:
    """Each expected refusal stands at its place with its words, and there is no other."""
    told = [(refusal.row, refusal.header) for refusal in refusals]
    assert told == [(one.row, one.header) for one in expected], [r.sentence() for r in refusals]
    for refusal, one in zip(refusals, expected, strict=True):
        assert one.words in refusal.sentence()
        assert refusal.mend or refusal.row is None
