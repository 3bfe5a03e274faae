"""The rows of a text, kept column by column: in little more room than what the text says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import overload

import numpy as np

from tracker.intake.cells.typed import Cell, DistinctCells
from tracker.workshop.columns.coded import smallest

_ROWS_AT_ONCE = 1024  # made into lists together, for who asks for one asks for the next
_LISTS_KEPT = 4


class ColumnRows(Sequence[list[Cell]]):
    """Rows of cells, each made into a list when it is asked for.

    ``lengths`` says how many of the columns each row has; ``beyond`` has by row the further cells
    of those that are longer than all columns.
    """

    def __init__(
        self,
        columns: Sequence[DistinctCells],
        lengths: np.ndarray,
        beyond: Mapping[int, list[Cell]],
    ) -> None:
        self.columns, self.beyond = tuple(columns), beyond
        self._lengths = lengths
        self._lists: dict[int, list[list[Cell]]] = {}

    def __len__(self) -> int:
        return len(self._lengths)

    @overload
    def __getitem__(self, at: int) -> list[Cell]: ...
    @overload
    def __getitem__(self, at: slice) -> list[list[Cell]]: ...
    def __getitem__(self, at: int | slice) -> list[Cell] | list[list[Cell]]:
        if isinstance(at, slice):
            return [self[row] for row in range(*at.indices(len(self)))]
        part, row = divmod(range(len(self))[at], _ROWS_AT_ONCE)
        rows = self._lists.get(part)
        if rows is None:
            if len(self._lists) >= _LISTS_KEPT:
                self._lists.pop(next(iter(self._lists)))
            rows = self._lists[part] = self._rows(part * _ROWS_AT_ONCE)
        return rows[row]

    def _rows(self, first: int) -> list[list[Cell]]:
        here = slice(first, first + _ROWS_AT_ONCE)
        lengths = self._lengths[here].tolist()
        cells = [column[here] for column in self.columns]
        rows = [list(row) for row in zip(*cells, strict=True)] if cells else [[] for _ in lengths]
        for at, (row, length) in enumerate(zip(rows, lengths, strict=True)):
            if length < len(row):
                del row[length:]
            elif first + at in self.beyond:
                row += self.beyond[first + at]
        return rows

    def filled(self) -> np.ndarray:
        """True for each row that holds anything."""
        found = np.zeros(len(self), dtype=bool)
        for column in self.columns:
            holds = np.array([_holds_any(cell) for cell in column.cells], dtype=bool)
            if holds.any():
                found |= holds[column.codes]
        for at, cells in self.beyond.items():
            found[at] |= any(map(_holds_any, cells))
        return found


def _holds_any(cell: Cell) -> bool:
    return not isinstance(cell, str) or bool(cell.strip())


class _Places(dict[str, int]):
    """Each text's place, given out as they come; how many characters the ``longest`` has."""

    longest = 0

    def __missing__(self, text: str) -> int:
        self[text] = at = len(self)
        if len(text) > self.longest:
            self.longest = len(text)
        return at


class RowsComing:
    """Rows of text becoming columns, some at a time.

    The first rows that come with anything settle how many columns there are; what stands beyond
    those later is kept by its row, so that one stray cell makes no column of all rows.
    """

    def __init__(self) -> None:
        self._places: list[_Places] = []
        self._pieces: list[list[np.ndarray]] = []
        self._lengths: list[np.ndarray] = []
        self._beyond: dict[int, list[Cell]] = {}
        self.count = 0
        self._texts_beyond = self._longest_beyond = 0
        self.room = 0  # bytes taken by where each stands

    def add(self, rows: list[list[str]]) -> None:
        """Further rows, at least one."""
        lengths = np.fromiter(map(len, rows), dtype=np.int32, count=len(rows))
        if not self._places and lengths.max():
            self._places = [_Places({"": 0} if self.count else {}) for _ in range(lengths.max())]
            self._pieces = [[np.broadcast_to(np.int8(0), self.count)] for _ in self._places]
        width = len(self._places)
        if lengths.min() < width or lengths.max() > width:
            for at in np.flatnonzero(lengths > width).tolist():
                self._beyond[self.count + at] = list(rows[at][width:])
                self._texts_beyond += len(rows[at]) - width
                longest = max(map(len, rows[at][width:]))
                self._longest_beyond = max(self._longest_beyond, longest)
            rows = [row[:width] + [""] * (width - len(row)) for row in rows]
        columns = zip(*rows, strict=True)
        for places, pieces, cells in zip(self._places, self._pieces, columns, strict=True):
            codes = np.fromiter(map(places.__getitem__, cells), dtype=np.int32, count=len(cells))
            if len(places) > 1:
                pieces.append(codes.astype(smallest(len(places))))
                self.room += pieces[-1].nbytes
            else:  # one text in every row takes the room of one cell
                pieces.append(np.broadcast_to(np.int8(0), len(cells)))
        lengths = np.minimum(lengths, width).astype(smallest(width))
        self.room += lengths.nbytes
        self._lengths.append(lengths)
        self.count += len(rows)

    @property
    def texts(self) -> int:
        """How many distinct texts there are, column by column."""
        return sum(map(len, self._places)) + self._texts_beyond

    @property
    def longest(self) -> int:
        """The characters of the longest text."""
        return max([self._longest_beyond, *(places.longest for places in self._places)])

    def rows(self) -> ColumnRows:
        """All of them, once none come any more."""
        columns = [
            _column(places, pieces, self.count)
            for places, pieces in zip(self._places, self._pieces, strict=True)
        ]
        lengths = np.concatenate(self._lengths) if self._lengths else np.array([], dtype=np.int8)
        self._pieces.clear()
        return ColumnRows(columns, lengths, self._beyond)


def _column(places: _Places, pieces: list[np.ndarray], count: int) -> DistinctCells:
    if len(places) == 1:
        return DistinctCells.repeated(next(iter(places)), count)
    codes = np.concatenate(pieces)
    pieces.clear()
    return DistinctCells(list(places), codes)
