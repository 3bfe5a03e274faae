"""One table column by column, in little more room than it says: words and days as small numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.store import packing
from tracker.store.columns.row_numbers import RowNumbers
from tracker.store.packing import Packed
from tracker.workshop.columns.coded import Coded, CodedTable, Held, Rows, Sum, smallest
from tracker.workshop.columns.day_numbers import NO_DAY, day_numbers, days_of
from tracker.workshop.columns.frames import empty_frame
from tracker.workshop.declarations import Column, Table


class HeldTable(CodedTable):
    """A table whose columns are held one by one, and made a frame of when that is asked for.

    The frame has exactly the dtypes of ``Records.of``; its index is the rows' ids.
    """

    def __init__(self, table: Table, count: int) -> None:
        super().__init__(None)
        self.table = table
        self._count = count
        self._cells: dict[str, NDArray[Any]] = {}

    def __len__(self) -> int:
        return self._count

    @property
    def numbers(self) -> RowNumbers:
        """The ids of the rows."""
        raise NotImplementedError

    @property
    def index(self) -> pd.Index:
        return self.numbers.index() if self._frame is None else self._frame.index

    def fetch(self, column: str) -> Held | None:
        """A column as it is held; None where it holds nothing. Nothing of it is kept here."""
        raise NotImplementedError

    def held(self, column: str, *, keep: bool) -> Held | None:
        """The same, from what is here already where it is; kept for the next one who asks, or not.

        Words are held as the places of ``Coded.words``, days as ``day_numbers``, all else as in a
        frame.
        """
        with self._lock:
            of = self.table.column(column)
            known = self._words if of.is_text else self._days if of.kind == "day" else self._cells
            if column in known:
                held: Held = known[column]
                cells = held.codes if isinstance(held, Coded) else held
                return None if is_blank(cells) else held
            found = self.fetch(column)
            if keep and found is not None:
                known[column] = found  # type: ignore[assignment, index]
            return found

    def cut(self, rows: Rows) -> CodedTable:
        if isinstance(rows, slice) or rows.dtype == bool or self._frame is not None:
            return super().cut(rows)
        return _FewRows(self, rows)

    def rows_named(self, labels: pd.Index) -> CodedTable:
        places, there = self.numbers.places(np.sort(labels.to_numpy().astype(np.int64)))
        return self.cut(places[there])

    def has(self, column: str) -> bool:
        return column in self.table.names

    def is_coded(self, column: str) -> bool:
        return self.table.column(column).is_text

    def cells(self, column: str) -> NDArray[Any]:
        with self._lock:
            if self._frame is not None:
                return super().cells(column)
            of = self.table.column(column)
            held = self.held(column, keep=True)
            if held is None:
                return np.broadcast_to(_blank_cell(of), self._count)
            if isinstance(held, Coded):
                return held.decoded()
            return days_of(held) if of.kind == "day" else held

    def _code(self, column: str) -> Coded:
        held = self.fetch(column)
        if isinstance(held, Coded):
            return held
        blank = np.broadcast_to(np.zeros((), dtype=np.int8), self._count)
        return Coded(blank, np.array([""] if self._count else [], dtype=object))

    def _number(self, column: str) -> NDArray[np.int32]:
        if self.table.column(column).kind != "day":
            return day_numbers(pd.Series(self.cells(column)))
        held = self.fetch(column)
        if held is None or isinstance(held, Coded):
            return np.broadcast_to(np.array(NO_DAY, dtype=np.int32), self._count)
        return held

    def _make_frame(self) -> pd.DataFrame:
        if not self._count:
            return _no_rows(self.table)
        data = {name: self.cells(name) for name in self.table.names}
        self._cells.clear()  # the frame has them
        return pd.DataFrame(data, index=self.numbers.index(), copy=False)


class _FewRows(HeldTable):
    """Some rows of a long table, whose frame is not made for them."""

    def __init__(self, whole: HeldTable, rows: NDArray[Any]) -> None:
        super().__init__(whole.table, len(rows))
        self._whole, self._rows = whole, rows

    @property
    def numbers(self) -> RowNumbers:
        return RowNumbers.of(self._whole.numbers.at(self._rows))

    def fetch(self, column: str) -> Held | None:
        held = self._whole.held(column, keep=True)
        if held is None:
            return None
        return held.take(self._rows) if isinstance(held, Coded) else held[self._rows]


class TableAtHand(HeldTable):
    """A table of rows with these ids whose columns are at hand, in the form in which they are held,
    and maybe sums of them; columns not named hold nothing."""

    def __init__(
        self,
        table: Table,
        numbers: RowNumbers,
        columns: Mapping[str, Held],
        sums: Mapping[Sum[Any], Any] | None = None,
    ) -> None:
        super().__init__(table, len(numbers))
        self._numbers, self._named = numbers, frozenset(columns)
        self._sums.update(sums or {})
        for name, held in columns.items():
            if isinstance(held, Coded):
                self._words[name] = held
            elif table.column(name).kind == "day":
                self._days[name] = held
            else:
                self._cells[name] = held

    @property
    def numbers(self) -> RowNumbers:
        return self._numbers

    def fetch(self, column: str) -> Held | None:
        if column not in self._named or self._frame is None:
            return None
        return np.asarray(self._frame[column].to_numpy())  # numbers, which the frame took over


class TableColumns:
    """A table becoming columns: its rows come some hundred at a time.

    Whole columns of Python's own numbers and words take ten times the memory of what they say.
    """

    def __init__(self, table: Table, names: Sequence[str]) -> None:
        self.table = table
        self._ids: list[np.ndarray] = []
        self._pieces: dict[str, list[np.ndarray]] = {name: [] for name in names}
        self._words = {name: Words() for name in names if table.column(name).is_text}

    def add(self, ids: Sequence[int], columns: Sequence[Sequence[Packed]]) -> None:
        """Further rows: their ids and their packed columns."""
        self._ids.append(np.array(ids, dtype=np.int64))
        for (name, pieces), values in zip(self._pieces.items(), columns, strict=True):
            pieces.append(packed_cells(self.table.column(name), values, self._words.get(name)))

    def table_at_hand(self) -> TableAtHand:
        """All rows, once none come any more. What was gathered is given away with them."""
        columns: dict[str, Held] = {}
        for name in list(self._pieces):
            cells = _joined(self._pieces.pop(name))
            words = self._words.get(name)
            columns[name] = cells if words is None else Coded(cells, words.in_order())
        return TableAtHand(self.table, RowNumbers.of(_joined(self._ids)), columns)


def packed_cells(column: Column, values: Sequence[Packed], words: Words | None) -> NDArray[Any]:
    """Packed cells in the form in which they are held: of words the places among ``words``."""
    if words is not None:
        places = [words[value] for value in values]
        return np.array(places, dtype=smallest(len(words)))
    if column.kind == "day":
        days = [NO_DAY if value is None else value for value in values]
        return np.array(days, dtype=np.int32)
    return packing.unpack_cells(column, values)


class Words(dict[Any, int]):
    """Each word's place, given out as they come."""

    @classmethod
    def of(cls, held: Coded) -> Words:
        """Those of a column."""
        return cls({word: at for at, word in enumerate(held.words)})

    def __missing__(self, word: Packed) -> int:
        self[word] = at = len(self)
        return at

    def in_order(self) -> np.ndarray:
        """The words by their places."""
        words = np.empty(len(self), dtype=object)
        words[:] = list(self)
        return words


def unpack_columns(
    table: Table, index: Sequence[int], columns: Mapping[str, Sequence[Packed]]
) -> pd.DataFrame:
    """The frame of packed columns, with exactly the dtypes of ``Records.of``.

    Columns not given are empty.
    """
    names = [name for name in table.names if name in columns]
    rows = TableColumns(table, names)
    rows.add(index, [columns[name] for name in names])
    return rows.table_at_hand().frame


def held_column(coded: CodedTable, column: Column, *, keep: bool = False) -> Held | None:
    """A column of any table in the form in which it is held; None where it holds nothing."""
    if isinstance(coded, HeldTable):
        return coded.held(column.name, keep=keep)
    cells = coded.cells(column.name)
    if not len(cells) or is_blank(cells):
        return None
    if column.is_text:
        return coded.codes(column.name)
    return coded.day_numbers(column.name) if column.kind == "day" else cells


def is_blank(cells: NDArray[Any]) -> bool:
    """Is it one blank cell that stands in every row?"""
    return cells.strides == (0,)


def _joined(pieces: list[np.ndarray]) -> np.ndarray:
    """The pieces as one array; of many, each is let go once the whole is there."""
    if len(pieces) == 1:
        return pieces[0]
    return np.concatenate(pieces) if pieces else np.array([], dtype=np.int64)


@cache
def _no_rows(table: Table) -> pd.DataFrame:
    return empty_frame(table).set_index(pd.Index(np.array([], dtype=np.int64)))


def _blank_cell(column: Column) -> np.ndarray:
    """What stands in every row of a column that nobody uses, and takes the room of one."""
    if column.is_text:
        return np.array("", dtype=object)
    if column.is_time:
        return np.array("NaT", dtype="datetime64[ns]")
    return np.array(math.nan)
