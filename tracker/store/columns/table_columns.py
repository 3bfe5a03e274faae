"""One table column by column, in little more room than it says: words and days as small numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from tracker.store import packing
from tracker.store.packing import Packed, Row
from tracker.workshop.columns.coded import NO_DAY, Coded, CodedTable, days_of, smallest
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import empty_frame


class TableColumns:
    """A table becoming a frame: its rows come some hundred at a time, or all columns at once.

    Whole columns of Python's own numbers and words take ten times the memory of what they say.
    Words are held as the places of ``words``, days as ``coded.day_numbers``, all else as in the
    frame. Columns that are not named hold nothing.
    """

    def __init__(self, table: Table, names: Sequence[str]) -> None:
        self.table = table
        self._ids: list[np.ndarray] = []  # until the index is there
        self._index: pd.Index | None = None
        self._pieces: dict[str, list[np.ndarray]] = {name: [] for name in names}
        self._words = {name: _Words() for name in names if _is_words(table.column(name))}

    def add(self, ids: Sequence[int], columns: Sequence[Sequence[Packed]]) -> None:
        """Further rows: their ids and their packed columns."""
        self._ids.append(np.array(ids, dtype=np.int64))
        for (name, pieces), values in zip(self._pieces.items(), columns, strict=True):
            pieces.append(self._piece(name, values))

    @classmethod
    def of(
        cls, table: Table, index: pd.Index, columns: Mapping[str, np.ndarray | Coded]
    ) -> TableColumns:
        """Of rows with these ids whose columns are at hand in the form in which they are held."""
        whole = cls(table, list(columns))
        whole._index = index
        for name, held in columns.items():
            if isinstance(held, Coded):
                whole._words[name] = _Words({word: at for at, word in enumerate(held.words)})
                held = held.codes
            whole._pieces[name] = [held]
        return whole

    def put(self, rows: Mapping[int, Row | None]) -> None:
        """Makes these rows what they are now, by their ids; None takes one out."""
        ids = self._take_index().to_numpy()
        changed = np.array(sorted(rows), dtype=np.int64)
        places = np.searchsorted(ids, changed)
        there = np.zeros(len(changed), dtype=bool)
        there[places < len(ids)] = ids[places[places < len(ids)]] == changed[places < len(ids)]
        stays = np.array([rows[at] is not None for at in changed.tolist()], dtype=bool)
        written = [rows[at] for at in changed[there & stays].tolist()]
        new = [rows[at] for at in changed[~there & stays].tolist()]
        gone = places[there & ~stays]
        # Where the new ones go once others have gone.
        between = places[~there & stays] - np.searchsorted(gone, places[~there & stays])
        for name in self.table.names:
            filled = [row[name] for row in (*written, *new) if row is not None]
            if name not in self._pieces:
                if all(value in packing.EMPTY for value in filled):
                    continue
                self._begin_empty(name, len(ids))
            values = self._piece(name, filled)
            whole = _joined(self._pieces[name])
            if len(values) and not np.can_cast(values.dtype, whole.dtype):
                whole = whole.astype(values.dtype)
            if written:
                whole = whole.copy()  # it may be shared
                whole[places[there & stays]] = values[: len(written)]
            left = np.delete(whole, gone) if len(gone) else whole
            self._pieces[name] = [np.insert(left, between, values[len(written) :])]
        self._index = _index(np.insert(np.delete(ids, gone), between, changed[~there & stays]))

    def coded(self) -> CodedTable:
        """The frame of all rows, with exactly the dtypes of ``Records.of``, its words and days
        coded; the index is the rows' ids. What was held is given away with it."""
        index = self._take_index()
        count = len(index)
        if not count:
            return CodedTable(_no_rows(self.table))
        data: dict[str, np.ndarray] = {}
        words, days = {}, {}
        for column in self.table.columns:
            name = column.name
            if name not in self._pieces:
                data[name] = np.broadcast_to(_blank_cell(column), count)
                continue
            whole = _joined(self._pieces.pop(name))
            if _is_words(column):
                words[name] = Coded(whole, self._words[name].in_order())
                whole = words[name].decoded()
            elif column.kind == "day":
                days[name] = whole
                whole = days_of(whole)
            data[name] = whole
        frame = pd.DataFrame(data, index=index, copy=False)
        return CodedTable(frame, words=words, days=days)

    def _take_index(self) -> pd.Index:
        """The ids of all rows, once none come any more."""
        if self._index is None:
            self._index = _index(_joined(self._ids))
            self._ids.clear()
        return self._index

    def _begin_empty(self, name: str, count: int) -> None:
        """A column that held nothing so far."""
        column = self.table.column(name)
        if _is_words(column):
            self._words[name] = _Words()
        self._pieces[name] = [np.repeat(self._piece(name, [packing.blank(column)]), count)]

    def _piece(self, name: str, values: Sequence[Packed]) -> np.ndarray:
        column = self.table.column(name)
        if _is_words(column):
            words = self._words[name]
            places = [words[value] for value in values]
            return np.array(places, dtype=smallest(len(words)))
        if column.kind == "day":
            days = [NO_DAY if value is None else value for value in values]
            return np.array(days, dtype=np.int32)
        return packing.unpack_cells(column, values)


class _Words(dict[Any, int]):
    """Each word's place, given out as they come."""

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
    return rows.coded().frame


def with_changed(name: str, coded: CodedTable, rows: Mapping[int, Row | None]) -> CodedTable:
    """The table once these rows are what they are now (None: taken out), by their ids.

    Few rows of many: the others need not be read or coded again.
    """
    columns = TableColumns.of(TABLE_BY_NAME[name], coded.frame.index, held_columns(name, coded))
    columns.put(rows)
    return columns.coded()


def held_columns(name: str, coded: CodedTable) -> dict[str, np.ndarray | Coded]:
    """The columns of a table that hold anything, as ``TableColumns.of`` takes them."""
    held: dict[str, np.ndarray | Coded] = {}
    for column in TABLE_BY_NAME[name].columns:
        cells = coded.frame[column.name].to_numpy()
        if not len(cells) or cells.strides == (0,):  # one blank cell that stands in every row
            continue
        if _is_words(column):
            held[column.name] = coded.codes(column.name)
        elif column.kind == "day":
            held[column.name] = coded.day_numbers(column.name)
        else:
            held[column.name] = cells
    return held


def _is_words(column: Column) -> bool:
    return column.kind in ("text", "choice")


def _joined(pieces: list[np.ndarray]) -> np.ndarray:
    """The pieces as one array; of many, each is let go once the whole is there."""
    if len(pieces) == 1:
        return pieces[0]
    return np.concatenate(pieces) if pieces else np.array([], dtype=np.int64)


def _index(ids: np.ndarray) -> pd.Index:
    """Ids one after the other, as a load gives them out, need no room."""
    if len(ids) and ids[-1] - ids[0] + 1 == len(ids) and bool((np.diff(ids) == 1).all()):
        return pd.RangeIndex(int(ids[0]), int(ids[-1]) + 1)
    return pd.Index(ids)


@cache
def _no_rows(table: Table) -> pd.DataFrame:
    return empty_frame(table).set_index(pd.Index(np.array([], dtype=np.int64)))


def _blank_cell(column: Column) -> np.ndarray:
    """What stands in every row of a column that nobody uses, and takes the room of one."""
    if _is_words(column):
        return np.array("", dtype=object)
    if column.kind in ("day", "moment"):
        return np.array("NaT", dtype="datetime64[ns]")
    return np.array(math.nan)
