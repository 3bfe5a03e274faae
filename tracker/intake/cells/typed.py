"""A column of cells as typed, and what came of reading it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import pandas as pd

from tracker.intake.questions import Question
from tracker.language import _
from tracker.workshop.refusal import written

# A cell as it came: text, or a number or a day where the file itself says it is one.
Cell = str | float | datetime

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
    must be answered first (the values then are missing where it matters).
    """

    values: np.ndarray
    problems: dict[int, Problem]
    question: Question | None = None
    notices: tuple[str, ...] = ()
    read_as: tuple[Cell, str] | None = None


def as_text(cell: Cell) -> str:
    """The cell as a person would see it: numbers without a needless ``.0``, days as ISO.

    >>> as_text(12.0), as_text(datetime(2026, 3, 1)), as_text("  as typed ")
    ('12', '2026-03-01', '  as typed ')
    """
    if isinstance(cell, str):
        return cell
    return written(pd.Timestamp(cell) if isinstance(cell, datetime) else cell)


@dataclass(frozen=True)
class DistinctCells:
    """The distinct cells of a column and where each stands, so that each is read once."""

    cells: list[Cell]
    codes: np.ndarray

    @classmethod
    def of(cls, column: Sequence[Cell]) -> DistinctCells:
        """The distinct cells in order of first appearance."""
        cells = list(dict.fromkeys(column))
        position = {cell: at for at, cell in enumerate(cells)}
        return cls(cells, np.array(list(map(position.__getitem__, column)), dtype=np.int64))

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
