"""Properties: whatever the layout and whatever was corrected since, loading again adds nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pandas.testing import assert_frame_equal

from tests.copied import Copies
from tests.hands import by
from tracker.errors import RecordError
from tracker.intake.pieces import File
from tracker.intake.reading import read_files
from tracker.store.acts import NewPrinter, UsualParts, add_printer
from tracker.store.database import LoadReport, Store
from tracker.workshop.contract import TABLES

NOW = datetime(2026, 11, 2, 9)
PRINTERS = ("Left", "Right")
TASKS = {"shake_dampers": "Shake dampers", "stir_ink": "Stir white ink"}
# Where a part sits → how a sheet heads the column of its changes.
PARTS = {("head", "H1"): "Head changed", ("wiper", "wiper"): "Wiper changed",
         ("cap", "cap"): "Cap changed"}  # fmt: skip
SLOW = settings(
    max_examples=8,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@dataclass(frozen=True)
class History:
    """Days on which a part was put in, by (printer, kind, position); tasks as (printer, task, day).

    All days lie in the three months before the workshop was set up.
    """

    changes: dict[tuple[str, str, str], list[date]]
    tasks: set[tuple[str, str, date]]


days = st.dates(date(2026, 8, 1), date(2026, 10, 31))
histories = st.builds(
    History,
    st.dictionaries(
        st.sampled_from([(printer, *part) for printer in PRINTERS for part in PARTS]),
        st.lists(days, min_size=1, max_size=3, unique=True).map(sorted),
        min_size=1,
    ),
    st.sets(st.tuples(st.sampled_from(PRINTERS), st.sampled_from(sorted(TASKS)), days),
            min_size=1, max_size=8),
)  # fmt: skip


def contract(history: History) -> list[File]:
    """The contract's own tables: every part from day to day."""
    rows = ["printer,part_kind,position,fitted_on,removed_on,removal_reason"]
    for (printer, kind, position), changed in history.changes.items():
        for day, end in zip(changed, [*changed[1:], None], strict=True):
            out = f"{end},unknown" if end else ","
            rows.append(f"{printer},{kind},{position},{day},{out}")
    done = ["printer,task,done_on,why"]
    done += [f"{printer},{task},{day},planned" for printer, task, day in sorted(history.tasks)]
    return [file("fittings.csv", rows), file("maintenance.csv", done)]


def one_list(history: History) -> list[File]:
    """One list of everything that happened, as it came, without positions."""
    rows = [
        (day, printer, f"{kind} changed")
        for (printer, kind, _), changed in history.changes.items()
        for day in changed
    ]
    rows += [(day, printer, TASKS[task]) for printer, task, day in history.tasks]
    return [file("log.csv", ["Date;Printer;What", *(f"{d:%d.%m.%Y};{p};{w}" for d, p, w in
                                                    sorted(rows))])]  # fmt: skip


def wide(history: History) -> list[File]:
    """A row for each printer and turn, a column for each part; the tasks as a list."""
    used = [part for part in PARTS if any((p, *part) in history.changes for p in PRINTERS)]
    rows = [",".join(["Printer", *(PARTS[part] for part in used)])]
    for printer in PRINTERS:
        mine = [history.changes.get((printer, *part), []) for part in used]
        for turn in range(max(map(len, mine))):
            cells = [str(changed[turn]) if turn < len(changed) else "" for changed in mine]
            rows.append(",".join([printer, *cells]))
    return [file("parts.csv", rows), *contract(history)[1:]]


def calendar(history: History) -> list[File]:
    """A sheet for each printer and month, days down, marks under tasks and parts."""
    marks: dict[tuple[str, date], dict[tuple[int, str], str]] = {}
    for (printer, kind, position), changed in history.changes.items():
        for day in changed:
            sheet = marks.setdefault((printer, day.replace(day=1)), {})
            sheet[day.day, PARTS[kind, position]] = "x"
    for printer, task, day in history.tasks:
        marks.setdefault((printer, day.replace(day=1)), {})[day.day, TASKS[task]] = "X"
    files = []
    for (printer, month), sheet in sorted(marks.items()):
        heads = [*TASKS.values(), *PARTS.values()]
        rows = [f"{month:%B %Y} – {printer}", "", ",".join(["Day", *heads])]
        rows += [
            ",".join([str(day), *(sheet.get((day, head), "") for head in heads)])
            for day in range(1, 29 if month.month == 2 else 31 + (month.month in (8, 10)))
        ]
        files.append(file(f"{printer} {month:%Y-%m}.csv", rows))
    return files


def file(name: str, rows: list[str]) -> File:
    return File(name, "\n".join([*rows, ""]).encode())


LAYOUTS: dict[str, Callable[[History], list[File]]] = {
    "contract": contract, "list": one_list, "wide": wide, "calendar": calendar,
}  # fmt: skip


def load(store: Store, files: list[File]) -> LoadReport:
    """Reads and loads files as the app does, every question answered as proposed."""
    answers: dict[str, str] = {}
    while True:
        intake = read_files(
            files, store.records(), answers,
            remembered=store.remembered_answers(), today=NOW.date(),
        )  # fmt: skip
        if not intake.questions:
            break
        answers |= {q.key: q.suggested or q.choices[0] for q in intake.questions}
    assert intake.records is not None, [refusal.sentence() for refusal in intake.refusals]
    report = by(store, now=NOW).load(intake.records, "files")
    store.remember_answers(intake.to_remember)
    return report


@cache
def two_printers(parts: UsualParts) -> Callable[[Store], None]:
    """What sets up a workshop of two printers."""

    def fill(store: Store) -> None:
        for printer in PRINTERS:
            new = NewPrinter(printer, date(2026, 1, 5), channels="C W1 W2", usual_parts=parts)
            add_printer(by(store, now=NOW), new)

    return fill


@pytest.fixture
def workshop(fresh_url: Callable[[], str], copies: Copies) -> Callable[[UsualParts], Store]:
    """Gives a new workshop of two printers in an engine's database."""
    return lambda parts: copies.opened(fresh_url(), two_printers(parts))


@pytest.mark.slow
@SLOW
@given(
    history=histories,
    layouts=st.permutations(sorted(LAYOUTS)),
    parts=st.sampled_from(["none", "unknown"]),
)
def test_the_same_history_in_any_other_layout_adds_nothing(
    workshop: Callable[[UsualParts], Store],
    history: History,
    layouts: list[str],
    parts: UsualParts,
) -> None:
    with workshop(parts) as store:
        first = load(store, LAYOUTS[layouts[0]](history))
        assert sum(first.added.values()) > 0
        for layout in layouts:
            report = load(store, LAYOUTS[layout](history))
            assert report.batch is None, (layout, report)


corrections = st.lists(
    st.tuples(st.sampled_from(["day", "note", "out"]), st.integers(0, 999), st.integers(-9, 9)),
    min_size=1,
    max_size=5,
)


@pytest.mark.slow
@SLOW
@given(
    history=histories,
    layout=st.sampled_from(sorted(LAYOUTS)),
    parts=st.sampled_from(["none", "unknown"]),
    corrected=corrections,
)
def test_corrections_on_the_screen_outlive_the_same_file(
    workshop: Callable[[UsualParts], Store],
    history: History,
    layout: str,
    parts: UsualParts,
    corrected: list[tuple[str, int, int]],
) -> None:
    with workshop(parts) as store:
        load(store, LAYOUTS[layout](history))
        for what, number, shift in corrected:
            correct(store, what, number, shift)
        before = store.records()
        report = load(store, LAYOUTS[layout](history))
        assert report.batch is None, report
        for table in TABLES:
            assert_frame_equal(store.records().table(table.name), before.table(table.name))


@pytest.mark.parametrize(
    ("layout", "moved"),
    [
        *((layout, date(2026, 8, 13)) for layout in sorted(LAYOUTS)),
        *((layout, date(2026, 9, 7)) for layout in sorted(LAYOUTS)),
        *((layout, date(2026, 9, 14)) for layout in sorted(LAYOUTS)),
    ],
)
def test_a_corrected_day_of_change_is_not_taken_for_another_change(
    workshop: Callable[[UsualParts], Store], layout: str, moved: date
) -> None:
    """A sheet of days of change lets a part end with the next: here with the corrected day."""
    changed = [date(2026, 8, 10), date(2026, 9, 10)]
    history = History({("Left", "wiper", "wiper"): changed}, {("Left", "stir_ink", changed[0])})
    with workshop("none") as store:
        load(store, LAYOUTS[layout](history))
        fitted = store.records().fittings["fitted_on"]
        old = changed[0] if moved < date(2026, 9, 1) else changed[1]
        row_id = int(fitted.index[fitted.dt.date == old][0])
        ends = store.records().fittings["removed_on"]
        with by(store, now=NOW).change("corrected") as change:
            change.correct("fittings", row_id, {"fitted_on": moved})
            for other in ends.index[ends.dt.date == old]:
                change.correct("fittings", int(other), {"removed_on": moved})
        before = store.records().fittings
        assert load(store, LAYOUTS[layout](history)).batch is None
        assert_frame_equal(store.records().fittings, before)


def correct(store: Store, what: str, number: int, shift: int) -> None:
    """Moves a record by days, notes something or takes it out; what cannot be is not done."""
    records = store.records()
    rows = [("maintenance", "done_on", at) for at in records.maintenance.index]
    dated = records.fittings[records.fittings["fitted_on"].notna()]
    rows += [("fittings", "fitted_on", at) for at in dated.index]
    if not rows:
        return
    table, column, row_id = rows[number % len(rows)]
    day = records.table(table).loc[row_id, column]
    try:
        if what == "out":
            by(store, now=NOW).remove(table, row_id)
        elif what == "note":
            by(store, now=NOW).correct(table, row_id, {"note": f"seen again {shift}"})
        else:
            moved = day + timedelta(days=shift)
            by(store, now=NOW).correct(table, row_id, {column: moved})
    except RecordError:
        pass
