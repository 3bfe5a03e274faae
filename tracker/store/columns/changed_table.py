"""A table of which few rows changed: the others need not be read, coded or summed again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.store import packing
from tracker.store.columns.row_numbers import RowNumbers
from tracker.store.columns.table_columns import (
    HeldTable,
    TableAtHand,
    Words,
    held_column,
    packed_cells,
    unpack_columns,
)
from tracker.store.packing import Row
from tracker.workshop.columns.coded import Coded, CodedTable, Held, Sum
from tracker.workshop.columns.sums import sums_kept
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column, Table

_MOST_ROWS = 1000  # beside another table; with more, the columns are put together once


def with_changed(name: str, coded: CodedTable, rows: Mapping[int, Row | None]) -> CodedTable:
    """The table once these rows are what they are now (None: taken out), by their ids."""
    table = TABLE_BY_NAME[name]
    if isinstance(coded, ChangedTable):  # two changes are one
        changed = ChangedTable(table, coded.base, {**coded.rows, **rows})
    else:
        changed = ChangedTable(table, coded, rows)
    return changed if len(changed.rows) <= _MOST_ROWS else changed.put_together()


class ChangedTable(HeldTable):
    """The rows of ``base``, of which those in ``rows`` are now what stands there; each column is
    put together when it is asked for."""

    def __init__(self, table: Table, base: CodedTable, rows: Mapping[int, Row | None]) -> None:
        self.base, self.rows = base, rows
        before = base.numbers if isinstance(base, HeldTable) else RowNumbers.of_index(base.index)
        ids = np.array(sorted(rows), dtype=np.int64)
        places, there = before.places(ids)
        stays = np.array([rows[at] is not None for at in ids.tolist()], dtype=bool)
        written, new = ids[there & stays], ids[~there & stays]
        self._touched = places[there]
        self._written = places[there & stays]
        self._gone = places[there & ~stays]
        # Where the new ones go once others have gone.
        between = places[~there & stays]
        self._between = between - np.searchsorted(self._gone, between)
        filled = np.concatenate((written, new)).tolist()
        self._filled = {at: row for at in filled if (row := rows[at]) is not None}
        self._numbers = before.changed(self._gone, new)
        super().__init__(table, len(self._numbers))

    @property
    def numbers(self) -> RowNumbers:
        return self._numbers

    def rows_named(self, labels: pd.Index) -> CodedTable:
        asked = sorted(map(int, labels))
        if not all(at in self._filled for at in asked):
            return super().rows_named(labels)
        return CodedTable(self._unpacked({at: self._filled[at] for at in asked}))  # no column read

    def of_day(self, column: str, day: int) -> list[CodedTable]:
        found = CodedTable(self._unpacked(self._filled)).of_day(column, day)
        for part in self.base.of_day(column, day):  # which needs no column put together
            stays = [at not in self.rows for at in part.index.tolist()]
            found.append(part.cut(np.flatnonzero(stays)))
        return found

    def fetch(self, column: str) -> Held | None:
        of = self.table.column(column)
        held = held_column(self.base, of, keep=True)
        values = [row[column] for row in self._filled.values()]
        if held is None:
            if all(value in packing.EMPTY for value in values):
                return None
            held = _nothing(of, len(self.base))
        words = Words.of(held) if isinstance(held, Coded) else None
        whole = held.codes if isinstance(held, Coded) else held
        cells = packed_cells(of, values, words)
        if len(cells) and not np.can_cast(cells.dtype, whole.dtype):
            whole = whole.astype(cells.dtype)
        whole = self._put(whole, cells)
        return whole if words is None else Coded(whole, words.in_order())

    def _put(self, whole: NDArray[Any], cells: NDArray[Any]) -> NDArray[Any]:
        """The column of the base with the changed cells in it."""
        if len(self._written):
            whole = whole.copy()  # it is shared
            whole[self._written] = cells[: len(self._written)]
        new = cells[len(self._written) :]
        if len(self._gone):
            whole = np.delete(whole, self._gone)
        if not len(new):
            return whole
        if (self._between == len(whole)).all():  # at the end, five times as quick as between
            return np.concatenate((whole, new))
        return np.insert(whole, self._between, new)

    def put_together(self) -> TableAtHand:
        """The same, with nothing of the base behind it."""
        found = {column.name: self.held(column.name, keep=False) for column in self.table.columns}
        columns = {name: held for name, held in found.items() if held is not None}
        sums = {asked: self.sum_of(asked) for asked in sums_kept(self.table)}
        return TableAtHand(self.table, self.numbers, columns, sums)

    def _sum(self, asked: Sum[Any]) -> Any:
        come = CodedTable(self._unpacked(self._filled))
        # An empty cut would have the columns of the base read.
        gone = self.base.cut(self._touched) if len(self._touched) else come.cut(slice(0))
        return asked.moved(self.base.sum_of(asked), gone, come, self)

    def _unpacked(self, rows: Mapping[int, Row]) -> pd.DataFrame:
        columns = {name: [row[name] for row in rows.values()] for name in self.table.names}
        return unpack_columns(self.table, list(rows), columns)


def _nothing(column: Column, count: int) -> Held:
    """A column that held nothing so far."""
    words = Words() if column.is_text else None
    cells = np.repeat(packed_cells(column, [packing.blank(column)], words), count)
    return cells if words is None else Coded(cells, words.in_order())
