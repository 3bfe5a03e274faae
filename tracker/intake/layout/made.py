"""Records that a layout makes of cells: long raw tables whose cells know where they stood."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracker.intake.cells.typed import Cell
from tracker.intake.files.grid import Grid
from tracker.intake.files.raw_table import RawTable

At = tuple[int, int]  # row and column of the grid, from 0


@dataclass
class Made:
    """Rows of one table of the contract, filled one by one."""

    grid: Grid
    headings: Mapping[int, str]
    cells: dict[str, list[Cell]] = field(default_factory=dict)
    places: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    count: int = 0

    def add(self, main: At, **said: tuple[Cell, At]) -> None:
        """One record: per column of the contract what its cell says and where it stands.

        ``main`` is the cell that makes it a record, where a column without a cell is looked for.
        """
        for name in said:
            if name not in self.cells:
                self.cells[name] = [""] * self.count
                self.places[name] = [(0, 0)] * self.count
        for name, cells in self.cells.items():
            cell, (row, column) = said.get(name, ("", main))
            cells.append(cell)
            self.places[name].append((row + 1, column + 1))
        self.count += 1

    def raw(self, name: str) -> RawTable:
        """The rows as a raw table whose headers are the contract's columns."""
        return RawTable(
            name,
            tuple(self.cells),
            tuple(self.cells.values()),
            tuple(range(2, self.count + 2)),  # row 1 is the header everywhere
            from_1904=self.grid.from_1904,
            notices=self.grid.notices,
            column_numbers=tuple(0 for _ in self.cells),
            places=self.places,
            headings=self.headings,
            grid=self.grid,
        )
