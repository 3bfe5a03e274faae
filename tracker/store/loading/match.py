"""Which rows of a file are new, which complete a record, which say something else.

A file is a bag of rows: the same rows twice add nothing. First every row that the database holds
exactly so is set aside (as often as it is there). What remains is matched by the table's key: the
n-th row with a key to the n-th record left with it, where one that fits goes before one that does
not. A row fits when it fills empty cells only; an empty cell in the file takes nothing away.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np
import pandas as pd

from tracker.errors import UsageError
from tracker.store import packing
from tracker.store.batch import Batch
from tracker.store.log_start import begin_log_after_load
from tracker.store.packing import Row
from tracker.workshop.contract import TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal, written

OnConflict = Literal["refuse", "file_wins"]
_EMPTY = (None, "")


@dataclass(frozen=True)
class LoadReport:
    """What a load did, rows by table; ``batch`` is the change to undo, None when nothing was new.

    >>> report = LoadReport("march", 3, {"fittings": 12}, {"fittings": 2}, {"fittings": 40})
    >>> print(report.sentence())
    march: 12 rows added, 2 completed, 40 already there.
    """

    source: str
    batch: int | None
    added: Mapping[str, int]
    completed: Mapping[str, int]
    unchanged: Mapping[str, int]

    def sentence(self) -> str:
        """The report in one sentence."""
        added, completed = sum(self.added.values()), sum(self.completed.values())
        there = sum(self.unchanged.values())
        if not added and not completed:
            return f"{self.source}: nothing new, all {there} rows are already there."
        rows = "1 row" if added == 1 else f"{added} rows"
        return f"{self.source}: {rows} added, {completed} completed, {there} already there."


@dataclass(frozen=True)
class TablePlan:
    """What to do with the rows of one table of a file.

    ``new`` are positions in the file's rows; ``completes`` gives for a position the record's id and
    the packed values to write into it; ``conflicts`` are told by the row of the file.
    """

    new: np.ndarray
    completes: dict[int, tuple[int, Row]]
    unchanged: int
    conflicts: list[Refusal]


def plan_load(
    batch: Batch,
    records: Records,
    source: str,
    on_conflict: OnConflict,
    *,
    now: datetime | None = None,
) -> LoadReport:
    """Puts into the batch what a file's rows change; returns what that will be.

    Printers without any history begin the log on the day of ``now``, where that is given.
    """
    if on_conflict not in ("refuse", "file_wins"):
        raise UsageError(f"on_conflict is {on_conflict!r}; choose refuse or file_wins.")
    added: dict[str, int] = {}
    completed: dict[str, int] = {}
    unchanged: dict[str, int] = {}
    batch.is_load = True
    kept = packing.keepable(records)
    for table in TABLES:
        name = table.name
        rows = kept[name]
        if rows.empty:
            continue
        plan = plan_table(table, batch.records.table(name), rows, on_conflict=on_conflict)
        batch.conflicts += plan.conflicts
        if len(plan.new):
            batch.add_rows(name, rows.iloc[plan.new])
        for at, (row_id, values) in plan.completes.items():
            batch.put(name, row_id, batch.row(name, row_id) | values)
            batch.file_rows[name, row_id] = rows.index[at]
        added[name] = len(plan.new)
        completed[name] = len(plan.completes)
        unchanged[name] = plan.unchanged
    if now is not None:
        begin_log_after_load(batch, now.date())
    return LoadReport(source, None, added, completed, unchanged)


def plan_table(
    table: Table,
    stored: pd.DataFrame,
    rows: pd.DataFrame,
    *,
    on_conflict: OnConflict = "refuse",
) -> TablePlan:
    """What a file's rows are to the records there; both frames as ``packing.normalise`` gives them.

    ``on_conflict="file_wins"`` writes the file's value over a different one instead of refusing.
    """
    if stored.empty or rows.empty:
        return TablePlan(np.arange(len(rows)), {}, 0, [])
    left, left_stored = _without_the_same(table.names, stored, rows)
    unchanged = len(rows) - len(left)
    keys, stored_keys = _codes(table.key, stored.iloc[left_stored], rows.iloc[left])
    candidates: dict[int, list[int]] = {}
    wanted = set(keys.tolist())
    for at, key in zip(left_stored.tolist(), stored_keys.tolist(), strict=True):
        if key in wanted:
            candidates.setdefault(key, []).append(at)
    met = np.array([key in candidates for key in keys.tolist()], dtype=bool)
    new = list(left[~met])
    records = _packed_rows(table, stored, [at for found in candidates.values() for at in found])
    file_rows = _packed_rows(table, rows, left[met].tolist())
    completes: dict[int, tuple[int, Row]] = {}
    conflicts: list[Refusal] = []
    waiting: list[tuple[int, int]] = []
    for at, key in zip(left[met].tolist(), keys[met].tolist(), strict=True):
        row = file_rows[at]
        fit = next((found for found in candidates[key] if not _differs(records[found], row)), None)
        if fit is None:
            waiting.append((at, key))
            continue
        candidates[key].remove(fit)
        if filled := _fills(records[fit], row):
            completes[at] = (int(stored.index[fit]), filled)
        else:
            unchanged += 1
    for at, key in waiting:
        if not candidates[key]:
            new.append(at)
            continue
        other = candidates[key].pop(0)
        different = _differs(records[other], file_rows[at])
        if on_conflict == "file_wins":
            filled = _fills(records[other], file_rows[at])
            completes[at] = (int(stored.index[other]), filled | different)
        else:
            conflicts += [
                _conflict(table, stored.iloc[[other]], rows.iloc[[at]], name) for name in different
            ]
    return TablePlan(np.array(sorted(new), dtype=np.int64), completes, unchanged, conflicts)


def _conflict(table: Table, record: pd.DataFrame, row: pd.DataFrame, name: str) -> Refusal:
    label = row.index[0]
    return Refusal(
        table.name,
        int(label) if isinstance(label, (int, np.integer)) else None,
        name,
        written(row[name].iloc[0]),
        f"differs from the record of the same {', '.join(table.key)}, which says "
        f'"{written(record[name].iloc[0])}" (record {record.index[0]})',
        "correct the one that is wrong, or load again and let the file win",
    )


def _packed_rows(table: Table, frame: pd.DataFrame, positions: list[int]) -> dict[int, Row]:
    """The rows at those positions, packed."""
    columns = packing.pack_frame(table, frame.iloc[positions])
    rows = zip(*columns.values(), strict=True)
    return {
        at: dict(zip(columns, row, strict=True)) for at, row in zip(positions, rows, strict=True)
    }


def _differs(record: Row, row: Row) -> Row:
    """The file's values that contradict the record's."""
    return {
        name: value
        for name, value in row.items()
        if value not in _EMPTY and record[name] not in _EMPTY and value != record[name]
    }


def _fills(record: Row, row: Row) -> Row:
    """The file's values for cells that the record leaves empty."""
    return {
        name: value for name, value in row.items() if value not in _EMPTY and record[name] in _EMPTY
    }


def _without_the_same(
    names: tuple[str, ...], stored: pd.DataFrame, rows: pd.DataFrame
) -> tuple[np.ndarray, np.ndarray]:
    """The positions left on both sides when equal rows have been paired off, one by one."""
    codes, stored_codes = _codes(names, stored, rows)
    size = int(max(codes.max(), stored_codes.max())) + 1
    count, stored_count = (
        np.bincount(codes, minlength=size),
        np.bincount(stored_codes, minlength=size),
    )
    left = np.flatnonzero(_occurrence(codes) >= stored_count[codes])
    left_stored = np.flatnonzero(_occurrence(stored_codes) >= count[stored_codes])
    return left, left_stored


def _occurrence(codes: np.ndarray) -> np.ndarray:
    """How many equal codes stand before each."""
    return np.asarray(pd.Series(codes).groupby(codes).cumcount())


def _codes(
    names: tuple[str, ...], stored: pd.DataFrame, rows: pd.DataFrame
) -> tuple[np.ndarray, np.ndarray]:
    """A number for each row of either side: equal where the named columns are equal."""
    codes = np.zeros(len(rows) + len(stored), dtype=np.int64)
    for name in names:
        both = np.concatenate([rows[name].to_numpy(), stored[name].to_numpy()])
        column, kinds = pd.factorize(both, use_na_sentinel=False)
        codes, _ = pd.factorize(codes * (len(kinds) + 1) + column)
    return codes[: len(rows)], codes[len(rows) :]
