"""However a sheet is written, the same records come of it; twice adds nothing, refused neither."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.hands import by
from tests.intake.sheets import TODAY, in_table, taken, workshop_of
from tests.intake.untidy.writing import (
    DAYS,
    ENCODINGS,
    MONTHS,
    NUMBERS,
    TASKS,
    Change,
    Style,
    calendars,
    long_changes,
    task_calendar,
    wide_changes,
    written,
)
from tracker.errors import LoadRefused
from tracker.intake.pieces import Intake
from tracker.intake.questions import ROLES
from tracker.intake.reading import File, read_files
from tracker.store.database import Store, open_store
from tracker.workshop.records import Records

NOW = datetime.combine(TODAY, time(12))
KNOWN = workshop_of("Left", "Right")
MANY = settings(max_examples=40)
FEW = settings(max_examples=15)
FIRST = date(2025, 1, 1)
PARTS = ("Wiper", "Cap", "Pump", "Head", "Damper W1")
FITTED = ("printer", "part_kind", "position", "fitted_on", "removed_on", "removal_reason")

styles = st.builds(
    Style,
    st.sampled_from((",", ";", "\t", "|")),
    st.sampled_from(tuple(DAYS)),
    st.sampled_from(tuple(NUMBERS)),
    st.sampled_from(ENCODINGS),
)
days = st.integers(0, 600).map(lambda after: FIRST + timedelta(after))
calendar_days = days.filter(lambda day: day.day <= 28)
changes = st.lists(
    st.builds(Change, st.sampled_from(("Left", "Right")), st.sampled_from(PARTS), calendar_days),
    min_size=1,
    max_size=8,
    unique=True,
)
# Weeks of counter readings of two printers: the day, and the area printed since the last.
readings = st.lists(st.tuples(st.integers(1, 40), st.integers(1, 90_000)), min_size=1, max_size=6)
COUNTERS = ("Date", "Printer", "Total m2", "Note")


def counters(weeks: Sequence[tuple[int, int]]) -> list[tuple[object, ...]]:
    """Rows of readings whose days and areas rise."""
    rows: list[tuple[object, ...]] = []
    day, hundredths = FIRST, 0
    for after, more in weeks:
        day, hundredths = day + timedelta(after), hundredths + more
        rows.append((day, "Left", hundredths / 100, "read at noon"))
        rows.append((day, "Right", hundredths / 50, ""))
    return rows


def expected_counters(rows: Sequence[tuple[object, ...]]) -> list[tuple[str, ...]]:
    return sorted((str(row[1]), str(row[0]), f"{row[2]:g}") for row in rows)


def read(files: Sequence[tuple[str, bytes]], style: Style, known: Records = KNOWN) -> Intake:
    """The files read, part changes named in calendars being what they are proposed as."""
    answers = dict(style.answers)
    own = [File(*file) for file in files]
    while True:
        intake = read_files(own, known, answers, today=TODAY)
        proposed = {q.key: q.proposal for q in intake.questions if q.topic == ROLES}
        if not proposed:
            return intake
        answers |= proposed


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database in which the printers are written down."""
    file = tmp_path_factory.mktemp("untidy") / "own.sqlite"
    with open_store(f"sqlite:///{file}") as store:
        by(store, now=NOW).load(KNOWN, "what is known")
    return file


@contextmanager
def copy_of(prepared: Path) -> Iterator[Store]:
    with tempfile.TemporaryDirectory() as folder:
        file = shutil.copy(prepared, folder)
        with open_store(f"sqlite:///{file}") as store:
            yield store


def load(store: Store, intake: Intake) -> int:
    assert intake.records is not None, intake.questions or intake.refusals
    report = by(store, now=NOW).load(intake.records, "sheets")
    return sum(report.added.values()) + sum(report.completed.values())


def spread(told: Sequence[tuple[Change, str]], style: Style) -> list[tuple[str, bytes]]:
    """The changes as files, each in the form that is named beside it."""
    by_form = {form: [c for c, said in told if said == form] for form in ("long", "wide", "days")}
    files = []
    if by_form["long"]:
        files.append(("long.csv", long_changes(by_form["long"], style)))
    if by_form["wide"]:
        files.append(("wide.csv", wide_changes(by_form["wide"], style)))
    sheets = calendars(by_form["days"], style)
    files += [(f"calendar {at}.csv", sheet) for at, sheet in enumerate(sheets)]
    return files


@MANY
@given(readings, styles, st.permutations(range(4)))
def test_order_of_columns_separator_days_and_numbers_do_not_change_the_records(
    weeks: list[tuple[int, int]], style: Style, order: list[int]
) -> None:
    rows = counters(weeks)
    header = [COUNTERS[at] for at in order]
    data = written(header, [[row[at] for at in order] for row in rows], style)
    found = taken(read([("log.csv", data)], style), "counters", "printer", "read_on", "area_m2")
    assert found == expected_counters(rows)


forms = st.sampled_from(("long", "wide", "days"))


def fittings_of(all_changes: Sequence[Change]) -> list[tuple[str, ...]]:
    """The parts from day to day, worked out here: each change ends the part before it."""
    places = {"Head": ("head", "H1"), "Damper W1": ("damper", "W1")}
    found = []
    for change in all_changes:
        kind, place = places.get(change.part, (change.part.lower(),) * 2)
        after = [
            other.day.isoformat()
            for other in all_changes
            if (other.printer, other.part) == (change.printer, change.part)
            and other.day > change.day
        ]
        ended = (min(after), "unknown") if after else ("", "")
        found.append((change.printer, kind, place, change.day.isoformat(), *ended))
    return sorted(found)


@MANY
@given(changes.flatmap(lambda some: st.tuples(*(st.tuples(st.just(c), forms) for c in some))),
       styles, st.randoms(use_true_random=False))  # fmt: skip
def test_any_mix_of_long_wide_and_calendar_gives_the_same_records(
    told: tuple[tuple[Change, str], ...], style: Style, random: Random
) -> None:
    files = spread(told, style)
    random.shuffle(files)
    assert taken(read(files, style), "fittings", *FITTED) == fittings_of([c for c, _ in told])


@FEW
@given(changes.flatmap(lambda some: st.tuples(*(st.tuples(st.just(c), forms) for c in some))),
       styles, st.randoms(use_true_random=False))  # fmt: skip
def test_sheet_after_sheet_in_any_order_gives_the_same_and_twice_adds_nothing(
    prepared: Path, told: tuple[tuple[Change, str], ...], style: Style, random: Random
) -> None:
    files = spread(told, style)
    random.shuffle(files)
    with copy_of(prepared) as store:
        for file in files:
            assert load(store, read([file], style, store.records())) > 0
        expected = fittings_of([c for c, _ in told])
        assert in_table(store.records(), "fittings", *FITTED) == expected
        for file in files:
            assert load(store, read([file], style, store.records())) == 0
        assert in_table(store.records(), "fittings", *FITTED) == expected


@FEW
@given(readings, styles)
def test_counters_loaded_twice_in_two_styles_add_nothing(
    prepared: Path, weeks: list[tuple[int, int]], style: Style
) -> None:
    rows = counters(weeks)
    with copy_of(prepared) as store:
        for at, own in enumerate((style, Style(), style)):
            intake = read([("log.csv", written(COUNTERS, rows, own))], own, store.records())
            assert load(store, intake) == (0 if at else len(rows))


@FEW
@given(
    readings,
    styles,
    st.data(),
    st.sampled_from(("31.02.2026", "2027-01-05", "soon", "about 12", "-5", "#REF!")),
)
def test_whatever_is_refused_is_told_at_its_row_and_changes_nothing(
    prepared: Path, weeks: list[tuple[int, int]], style: Style, data: st.DataObject, spoilt: str
) -> None:
    rows = [list(row) for row in counters(weeks)]
    bad_row = data.draw(st.integers(0, len(rows) - 1))
    rows[bad_row][data.draw(st.sampled_from((0, 2)))] = spoilt
    with copy_of(prepared) as store:
        before = store.version
        intake = read([("log.csv", written(COUNTERS, rows, style))], style, store.records())
        refusals = intake.refusals
        if intake.records is not None:
            try:
                by(store, now=NOW).load(intake.records, "log.csv")
            except LoadRefused as refused:
                refusals = intake.placed(refused.refusals)
        assert bad_row + 2 in {refusal.row for refusal in refusals}
        assert store.version == before
        assert store.records().counters.empty


marks = st.dictionaries(
    st.tuples(st.integers(1, 28), st.sampled_from(tuple(TASKS))),
    st.sampled_from(("x", "X", "✓", "ok", "AB")),
    min_size=1,
    max_size=12,
)


@MANY
@given(marks, st.sampled_from(tuple(MONTHS)), st.integers(1, 10), styles, st.booleans())
def test_a_calendar_in_any_language_days_down_or_across_gives_its_tasks(
    told: dict[tuple[int, str], str], language: str, month: int, style: Style, is_across: bool
) -> None:
    style = replace(style, encoding="utf-8")  # a tick is no character of the narrower one
    data = task_calendar(told, 2026, month, "Right", language, style, is_across=is_across)
    answers = {**style.answers, "plan.csv|why": "planned"}
    intake = read_files([File("plan.csv", data)], KNOWN, answers, today=TODAY)
    columns = ("printer", "task", "done_on", "done_by", "why")
    assert taken(intake, "maintenance", *columns) == sorted(
        ("Right", task, f"2026-{month:02d}-{day:02d}", "AB" if mark == "AB" else "", "planned")
        for (day, task), mark in told.items()
    )
