"""All cells of one sheet as typed, each at its row and column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from tracker.intake.cells.typed import Cell


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet; ``rows[0]`` is the row a spreadsheet program calls 1.

    ``sheet`` is "" where the file is no workbook, or one of a single sheet. ``separator`` is that
    of a CSV file. ``from_1904`` says that serial dates count from 1904. Rows may differ in length.
    ``problem`` says why the sheet cannot be read, "" where it can.
    """

    source: str
    rows: list[list[Cell]]
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
    def filled(self) -> list[bool]:
        """For each row: does it hold anything?"""
        return [not is_blank(row) for row in self.rows]

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


def is_blank(row: Sequence[Cell]) -> bool:
    """True for a row without anything in it."""
    for cell in row:  # noqa: SIM110 - asked of every row of a log, and any() takes five times this
        if not isinstance(cell, str) or cell.strip():
            return False
    return True
