"""Which rows of a file are new, which complete a record, which say something else.

A file is a bag of rows: the same rows twice add nothing. First every row that the database holds
exactly so is set aside (as often as it is there), then every row that a record said before it was
corrected here. What remains is matched by the table's key: the n-th row with a key to the n-th
record left with it, where one that fits goes before one that does not. A row fits when it fills
empty cells only; an empty cell in the file takes nothing away.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import pandas as pd

from tracker.language import _
from tracker.store import packing
from tracker.store.loading.earlier_versions import EarlierVersions
from tracker.store.loading.positions import Positions
from tracker.store.packing import EMPTY, Row
from tracker.workshop.columns.coded import CodedTable, alike, occurrence
from tracker.workshop.declarations import Table
from tracker.workshop.refusal import Refusal, written

OnConflict = Literal["refuse", "file_wins"]
_ROWS_AT_ONCE = 50_000
_NOT_KNOWN = {"removal_reason": "unknown"}  # a word that contradicts none and gives way to any


@dataclass(frozen=True)
class TablePlan:
    """What to do with the rows of one table of a file.

    ``new`` are positions in the file's rows; ``completes`` gives for a position the record's id and
    the packed values to write into it, ``along`` the same for records that change because that row
    is new. ``corrected`` counts rows that say what a record said before it was corrected or taken
    out here; ``conflicts`` are told by the row of the file.
    """

    new: np.ndarray
    completes: dict[int, tuple[int, Row]]
    unchanged: int
    conflicts: list[Refusal]
    corrected: int = 0
    along: list[tuple[int, int, Row]] = field(default_factory=list)


def plan_table(
    table: Table,
    stored: CodedTable,
    rows: CodedTable,
    *,
    on_conflict: OnConflict = "refuse",
    versions: Callable[[], EarlierVersions] | None = None,
    by_place: Callable[[Matching], None] | None = None,
) -> TablePlan:
    """What a file's rows are to the records there; both as ``packing.normalised`` gives them.

    ``on_conflict="file_wins"`` writes the file's value over a different one instead of refusing,
    and brings back what was corrected or taken out here. ``versions`` gives earlier versions of the
    records and is called only where some row is not simply known; ``by_place`` may then pair rows
    with records before the key does.
    """
    matching = Matching(table, stored, rows, on_conflict)
    if matching.left and versions is not None:
        matching.versions = versions()
    matching.said_before(exactly=True)
    if by_place is not None and matching.left:
        by_place(matching)
    matching.by_key()
    return matching.plan()


class Matching:
    """The rows and records of one table that no step has paired yet: ``left`` and ``free``.

    Both hold positions; ``left`` is ordered.
    """

    def __init__(
        self, table: Table, stored: CodedTable, rows: CodedTable, on_conflict: OnConflict
    ) -> None:
        self.table = table
        self.stored = stored.frame
        self.rows = rows.frame
        self._both = [rows, stored]
        self.on_conflict = on_conflict
        self.versions = EarlierVersions.of(table.name, ())
        self.completes: dict[int, tuple[int, Row]] = {}
        self.along: list[tuple[int, int, Row]] = []
        self.conflicts: list[Refusal] = []
        self.new: list[int] = []
        self.corrected = 0
        self._gone: set[int] = set()  # records no longer there that a row was found to be
        left, free, self._contents = self._without_the_same()
        self.left, self.free = Positions(left), Positions(free & left.any())
        self.unchanged = len(self.rows) - len(self.left)

    def plan(self) -> TablePlan:
        """What the steps found; what is left is new."""
        new = np.sort(np.concatenate([np.array(self.new, dtype=np.int64), self.left.array()]))
        return TablePlan(
            new, self.completes, self.unchanged, self.conflicts, self.corrected, self.along
        )

    def file_rows(self, positions: Iterable[int]) -> dict[int, Row]:
        """Those rows of the file, packed."""
        return _packed_rows(self.table, self.rows, positions)

    def records(self, positions: Iterable[int]) -> dict[int, Row]:
        """Those records, packed."""
        return _packed_rows(self.table, self.stored, positions)

    def pair(
        self, at: int, found: int, values: Row, different: Row, record: str = "record"
    ) -> None:
        """The row is that record: its empty cells are filled, what is different is refused.

        Where the file wins it is written; ``record`` is what to call the record in a refusal.
        """
        self.left.discard(at)
        self.free.discard(found)
        if different and self.on_conflict == "refuse":
            self.conflicts += [self._conflict(found, at, name, record) for name in different]
        elif values or different:
            self.completes[at] = (int(self.stored.index[found]), values | different)
        else:
            self.unchanged += 1

    def set_aside(self, at: int) -> None:
        """The row says what was corrected here since, and stays out."""
        self.left.discard(at)
        self.corrected += 1

    # -- the steps

    def said_before(self, *, exactly: bool) -> None:
        """Rows that a record said before it was corrected or taken out here."""
        if not self.versions.by_key:
            return
        left = self.left.array()
        there: list[int] = []
        for first in range(0, len(left), _ROWS_AT_ONCE):
            some = left[first : first + _ROWS_AT_ONCE]
            keys = packing.pack_frame(self.table, self.rows.iloc[some], self.table.key)
            told = zip(some.tolist(), zip(*keys.values(), strict=True), strict=True)
            there += [at for at, key in told if key in self.versions.by_key]
        for at, row in self.file_rows(there).items():
            for row_id in self.versions.saying(row, exactly=exactly):
                if self._was(at, row, row_id):
                    break

    def _was(self, at: int, row: Row, row_id: int) -> bool:
        """The row as what that record said; False when it stands for another row already."""
        wins = self.on_conflict == "file_wins"
        if row_id not in self.stored.index:
            if row_id in self._gone:
                return False
            self._gone.add(row_id)
            if wins:
                self.left.discard(at)
                self.new.append(at)
            else:
                self.set_aside(at)
            return True
        found = self._free_as(self.stored.index.get_loc(row_id))
        if found is None:
            return False
        record = self.records([found])[found]
        changed = {
            name: value
            for name, value in row.items()
            if value not in EMPTY and value != record[name] and not _is_silent(name, value)
        }
        if changed and not wins:
            self.free.discard(found)
            self.set_aside(at)
        else:
            self.pair(at, found, changed, {})
        return True

    def _free_as(self, found: int) -> int | None:
        """That record, or one that says the same, when none of the file's rows is it yet."""
        if found in self.free:
            return found
        same = np.flatnonzero(self._contents == self._contents[found]).tolist()
        return next((other for other in same if other in self.free), None)

    def by_key(self) -> None:
        """Rows with a record's key: one that fits completes it, one that does not contradicts."""
        if not self.left:
            return
        if not self.free:
            self.said_before(exactly=False)
            return
        left, free = self.left.array(), self.free.array()
        keys, stored_keys = self._numbered(self.table.key)
        keys, stored_keys = keys[left], stored_keys[free]
        of_left = np.zeros(int(max(keys.max(), stored_keys.max())) + 1, dtype=bool)
        of_free = of_left.copy()
        of_left[keys], of_free[stored_keys] = True, True
        candidates: dict[int, list[int]] = {}
        wanted = of_left[stored_keys]
        for found, key in zip(free[wanted].tolist(), stored_keys[wanted].tolist(), strict=True):
            candidates.setdefault(key, []).append(found)
        is_met = of_free[keys]
        keyed = dict(zip(left[is_met].tolist(), keys[is_met].tolist(), strict=True))
        met = list(keyed)
        records = self.records(found for those in candidates.values() for found in those)
        rows = self.file_rows(met)
        for at in met:
            there, row = candidates[keyed[at]], rows[at]
            fits = (f for f in there if f in self.free and not differs(records[f], row))
            fit = next(fits, None)
            if fit is None:
                continue
            there.remove(fit)
            filled = fills(records[fit], row)
            if filled and int(self.stored.index[fit]) in self.versions.saying(row):
                self._was(at, row, int(self.stored.index[fit]))  # those cells were emptied here
            else:
                self.pair(at, fit, filled, {})
        self.said_before(exactly=False)
        for at in [at for at in met if at in self.left]:
            there = [found for found in candidates[keyed[at]] if found in self.free]
            if there:
                record = records[there[0]]
                self.pair(at, there[0], fills(record, rows[at]), differs(record, rows[at]))

    def _numbered(self, names: tuple[str, ...]) -> tuple[np.ndarray, np.ndarray]:
        """A number for each row of the file and each record: equal where these columns are."""
        numbers = alike(self._both, names)
        return numbers[: len(self.rows)], numbers[len(self.rows) :]

    def _without_the_same(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Which are left on both sides when equal rows have been paired off, one by one.

        With them a number for each record, equal where all of it is equal.
        """
        if self.stored.empty or self.rows.empty:
            left, free = np.ones(len(self.rows), dtype=bool), np.ones(len(self.stored), dtype=bool)
            return left, free, np.zeros(len(self.stored), dtype=np.int64)
        numbers, stored = self._numbered(self.table.names)
        size = int(max(numbers.max(), stored.max())) + 1
        often, stored_often = (np.bincount(of, minlength=size) for of in (numbers, stored))
        left = occurrence(numbers) >= stored_often[numbers]
        return left, occurrence(stored) >= often[stored], stored

    def _conflict(self, found: int, at: int, name: str, record: str) -> Refusal:
        label, now = self.rows.index[at], self.stored.iloc[found]
        of = (
            _("record of the same {key}", key=", ".join(self.table.key))
            if record == "record"
            else _(record)
        )
        return Refusal(
            self.table.name,
            int(label) if isinstance(label, (int, np.integer)) else None,
            name,
            written(self.rows[name].iloc[at]),
            _(
                'differs from the {of}, which says "{now}" (record {index})',
                of=of,
                now=written(now[name]),
                index=self.stored.index[found],
            ),
            _("correct the one that is wrong, or load again and let the file win"),
        )


def differs(record: Row, row: Row) -> Row:
    """The file's values that contradict the record's."""
    return {
        name: value
        for name, value in row.items()
        if value not in EMPTY
        and record[name] not in EMPTY
        and value != record[name]
        and not _is_silent(name, value)
        and not _is_silent(name, record[name])
    }


def fills(record: Row, row: Row) -> Row:
    """The file's values for cells that the record leaves empty or says are not known."""
    return {
        name: value
        for name, value in row.items()
        if value not in EMPTY
        and value != record[name]
        and (record[name] in EMPTY or _is_silent(name, record[name]))
    }


def _is_silent(name: str, value: object) -> bool:
    return name in _NOT_KNOWN and value == _NOT_KNOWN[name]


def _packed_rows(table: Table, frame: pd.DataFrame, positions: Iterable[int]) -> dict[int, Row]:
    """The rows at those positions, packed."""
    chosen = list(positions)
    columns = packing.pack_frame(table, frame.iloc[chosen])
    rows = zip(*columns.values(), strict=True)
    return {at: dict(zip(columns, row, strict=True)) for at, row in zip(chosen, rows, strict=True)}
