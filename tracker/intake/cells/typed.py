"""A column of cells as typed, and what came of reading it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, overload

import numpy as np
import pandas as pd

from tracker.intake.questions import Question
from tracker.language import _
from tracker.workshop.columns.coded import Coded, smallest
from tracker.workshop.refusal import written

# A cell as it came: text, or a number or a day where the file itself says it is one.
Cell = str | float | datetime

_CELLS_AT_ONCE = 4096

# Written where there is nothing to write; in text columns they stay what they are.
NOTHING = frozenset({"", "-", "–", "—", "--", "n/a", "na", "n.a.", "none", "null", "nan", "k.a."})
# What spreadsheet programs show instead of a value.
SHEET_ERRORS = (
    "#REF!",
    "#N/A",
    "#NV",
    "#VALUE!",
    "#WERT!",
    "#DIV/0!",
    "#NAME?",
    "#BEZUG!",
    "#NUM!",
)


@dataclass(frozen=True)
class Problem:
    """Why one cell cannot be read, and how to mend it."""

    problem: str
    mend: str


@dataclass(frozen=True)
class CellReading:
    """What a column of cells reads as.

    ``values`` has the typed values in row order, missing where a cell was empty or cannot be
    read; ``problems`` tells for each row position that cannot be read why; ``question`` is what
    must be answered first (the values then are missing where it matters). ``words`` are the values
    of a column of words, coded.
    """

    values: np.ndarray
    problems: dict[int, Problem]
    question: Question | None = None
    notices: tuple[str, ...] = ()
    read_as: tuple[Cell, str] | None = None
    words: Coded | None = None

    @classmethod
    def of_words(cls, texts: DistinctCells) -> CellReading:
        """The reading of a column of texts, which are taken as they are."""
        words = np.empty(len(texts.cells), dtype=object)
        words[:] = texts.cells
        coded = Coded(texts.codes, words)
        return cls(coded.decoded(), {}, words=coded)


def as_text(cell: Cell) -> str:
    """The cell as a person would see it: numbers without a needless ``.0``, days as ISO.

    >>> as_text(12.0), as_text(datetime(2026, 3, 1)), as_text("  as typed ")
    ('12', '2026-03-01', '  as typed ')
    """
    if isinstance(cell, str):
        return cell
    return written(pd.Timestamp(cell) if isinstance(cell, datetime) else cell)


def noted(note: str, heading: str, text: str) -> str:
    """The note with what stood under a heading of the person's own sheet behind it.

    >>> noted("", "Reason", "leaks"), noted("seal", "Reason", "leaks")
    ('Reason: leaks', 'seal; Reason: leaks')
    """
    told = f"{heading}: {text}"
    return f"{note}; {told}" if note else told


@dataclass(frozen=True, eq=False)
class DistinctCells(Sequence[Cell]):
    """A column of cells: each distinct one, and row by row the place of its own among them.

    So each is read once, and a long column takes little more room than what it says. ``cells`` all
    occur, in the order in which they first do.
    """

    cells: list[Cell]
    codes: np.ndarray

    @classmethod
    def of(cls, column: Iterable[Cell]) -> DistinctCells:
        """The same column so."""
        if isinstance(column, DistinctCells):
            return column
        column = list(column)
        position = {cell: at for at, cell in enumerate(dict.fromkeys(column))}
        codes = np.array(list(map(position.__getitem__, column)), dtype=smallest(len(position)))
        return cls(list(position), codes)

    @classmethod
    def repeated(cls, cell: Cell, count: int) -> DistinctCells:
        """One cell in that many rows."""
        return cls([cell] if count else [], np.broadcast_to(np.int8(0), count))

    def __len__(self) -> int:
        return len(self.codes)

    @overload
    def __getitem__(self, at: int) -> Cell: ...
    @overload
    def __getitem__(self, at: slice) -> list[Cell]: ...
    def __getitem__(self, at: int | slice) -> Cell | list[Cell]:
        if isinstance(at, slice):
            return list(map(self.cells.__getitem__, self.codes[at].tolist()))
        return self.cells[self.codes[at]]

    def __iter__(self) -> Iterator[Cell]:
        for first in range(0, len(self.codes), _CELLS_AT_ONCE):
            yield from self[first : first + _CELLS_AT_ONCE]

    def __contains__(self, cell: object) -> bool:
        return cell in self.cells

    def index(self, cell: Any, start: int = 0, stop: int | None = None) -> int:
        """The first row with that cell; ValueError where there is none."""
        found = self.codes[start:stop] == self.cells.index(cell)
        if not found.any():
            raise ValueError(cell)
        return start + int(found.argmax())

    def count(self, cell: Any) -> int:
        """How many rows hold that cell."""
        return self.counts().get(cell, 0)

    def counts(self) -> dict[Cell, int]:
        """How many rows hold each cell."""
        often = np.bincount(self.codes, minlength=len(self.cells)).tolist()
        return dict(zip(self.cells, often, strict=True))

    def each(self, other: Callable[[Cell], Cell]) -> DistinctCells:
        """The column with another cell for each."""
        cells = list(map(other, self.cells))
        position = {cell: at for at, cell in enumerate(dict.fromkeys(cells))}
        if len(position) == len(cells):
            return DistinctCells(cells, self.codes)
        places = np.array([position[cell] for cell in cells], dtype=smallest(len(position)))
        return DistinctCells(list(position), places[self.codes])

    def take(self, rows: np.ndarray) -> DistinctCells:
        """Those rows, by their rising positions."""
        if len(rows) == len(self.codes):
            return self
        codes = self.codes[rows]
        there = np.bincount(codes, minlength=len(self.cells)) > 0
        left = np.ones(len(self.codes), dtype=bool)
        left[rows] = False
        order = np.flatnonzero(there)
        if len(order) < 2:
            return DistinctCells.repeated(self.cells[order[0]] if len(order) else "", len(codes))
        if there[self.codes[left]].any():  # a row that is left out may have been the first
            first = np.zeros(len(self.cells), dtype=np.int64)
            first[codes[::-1]] = np.arange(len(codes))[::-1]
            order = order[np.argsort(first[order])]
        places = np.zeros(len(self.cells), dtype=smallest(len(order)))
        places[order] = np.arange(len(order))
        return DistinctCells([self.cells[at] for at in order.tolist()], places[codes])

    def spread(
        self,
        values: np.ndarray,
        problems: dict[int, Problem],
        question: Question | None = None,
        notices: tuple[str, ...] = (),
        read_as: tuple[Cell, str] | None = None,
    ) -> CellReading:
        """The reading of the whole column from that of its distinct cells."""
        by_row: dict[int, Problem] = {}
        if problems:
            bad = np.isin(self.codes, list(problems))
            by_row = {int(at): problems[int(self.codes[at])] for at in np.flatnonzero(bad)}
        return CellReading(values[self.codes], by_row, question, notices, read_as)


def is_nothing(cell: Cell) -> bool:
    """True for an empty cell and for the marks people write into one."""
    return isinstance(cell, str) and cell.casefold() in NOTHING


def sheet_error(cell: Cell) -> Problem | None:
    """The problem when a cell holds a spreadsheet program's error mark."""
    if not isinstance(cell, str) or not cell.startswith("#"):
        return None
    if set(cell) == {"#"}:
        return Problem(
            _("is what a too narrow column shows"),
            _("widen the column in the spreadsheet program and save again"),
        )
    if cell.upper() in SHEET_ERRORS:
        return Problem(_("is a formula's error"), _("mend the formula, or write the value itself"))
    return None
