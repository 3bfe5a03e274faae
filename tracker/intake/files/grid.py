"""All cells of one sheet as typed, each at its row and column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tracker.intake.cells.typed import Cell, DistinctCells
from tracker.intake.files.column_rows import ColumnRows


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet; ``rows[0]`` is the row a spreadsheet program calls 1.

    ``sheet`` is "" where the file is no workbook, or one of a single sheet. ``separator`` is that
    of a CSV file. ``from_1904`` says that serial dates count from 1904. Rows may differ in length.
    ``problem`` says why the sheet cannot be read, "" where it can.
    """

    source: str
    rows: Sequence[list[Cell]]
    sheet: str = ""
    separator: str = ""
    from_1904: bool = False
    notices: tuple[str, ...] = ()
    problem: str = ""

    @property
    def name(self) -> str:
        """File and sheet, for messages and as what questions are filed under."""
        return f"{self.source}, {self.sheet}" if self.sheet else self.source

    @cached_property
    def filled(self) -> np.ndarray:
        """For each row: does it hold anything?"""
        if isinstance(self.rows, ColumnRows):
            return self.rows.filled()
        return np.array([not is_blank(row) for row in self.rows], dtype=bool)

    def columns(self, rows: np.ndarray, within: range | None = None) -> list[DistinctCells]:
        """The cells of those rows, column by column; ``within`` some of the sheet's columns."""
        if not isinstance(self.rows, ColumnRows):
            chosen = list(map(self.rows.__getitem__, rows.tolist()))
            width = max(map(len, chosen), default=0)
            return [
                DistinctCells.of([row[at] if at < len(row) else "" for row in chosen])
                for at in _within(width, within)
            ]
        found = self.rows.columns
        longest = max((len(self.rows[at]) for at in self.rows.beyond), default=len(found))
        columns = []
        for at in _within(longest, within):
            if at < len(found):
                columns.append(found[at].take(rows))
                continue
            cells: list[Cell] = [""] * len(rows)
            for row in self.rows.beyond:
                place = int(np.searchsorted(rows, row))
                if place < len(rows) and rows[place] == row:
                    cells[place] = self.cell(row, at)
            columns.append(DistinctCells.of(cells))
        return columns

    def cell(self, row: int, column: int) -> Cell:
        """The cell at that row and column, both from 0; "" beyond the end of a row."""
        cells = self.rows[row]
        return cells[column] if column < len(cells) else ""

    def mended(self, cells: Mapping[tuple[str, str, int, int], str]) -> Grid:
        """The sheet with the cells a person mended, by (source, sheet, row, column) from 1."""
        own = {
            (row - 1, column - 1): text
            for (source, sheet, row, column), text in cells.items()
            if (source, sheet) == (self.source, self.sheet) and 0 < row <= len(self.rows)
        }
        if not own:
            return self
        rows = list(self.rows)
        for (row, column), text in own.items():
            filled = list(rows[row]) + [""] * (column + 1 - len(rows[row]))
            filled[column] = text.strip()
            rows[row] = filled
        return replace(self, rows=rows)


def _within(width: int, within: range | None) -> range:
    return range(width) if within is None else range(within.start, min(within.stop, width))


def is_blank(row: Sequence[Cell]) -> bool:
    """True for a row without anything in it."""
    for cell in row:  # noqa: SIM110 - asked of every row of a log, and any() takes five times this
        if not isinstance(cell, str) or cell.strip():
            return False
    return True
