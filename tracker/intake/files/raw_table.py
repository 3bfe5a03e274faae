"""Rows of one table as typed, under its headers, each cell still knowing its place in the sheet."""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell, DistinctCells, as_text
from tracker.intake.files.grid import Grid, is_blank
from tracker.language import _


@dataclass(frozen=True)
class CellPlace:
    """A cell as the person sees it: row and column from 1, its column's heading, what it says."""

    row: int
    column_number: int
    header: str
    text: str


@dataclass(frozen=True)
class RawTable:
    """The cells of a table as typed.

    ``header`` holds the column names, ``columns`` the cells below each, ``row_numbers``
    the number of each row as a spreadsheet program shows it. Text cells are without outer spaces.
    ``too_long`` tells the rows with more cells than the header, by position. ``from_1904`` says
    that serial dates count from 1904. ``column_numbers`` are the headers' places in the sheet (0
    for a column that is not in it).

    A table that a layout made has more records than the sheet has rows: its ``row_numbers`` only
    count, ``places`` gives per header the (row, column) of each cell, from 1, and ``headings`` the
    heading of each column of the sheet by its number.
    """

    source: str
    header: tuple[str, ...] = ()
    columns: tuple[Sequence[Cell], ...] = ()
    row_numbers: Sequence[int] = ()
    too_long: Mapping[int, int] | None = None
    separator: str = ""
    from_1904: bool = False
    notices: tuple[str, ...] = ()
    column_numbers: tuple[int, ...] = ()
    places: Mapping[str, Sequence[tuple[int, int]]] | None = field(default=None, repr=False)
    headings: Mapping[int, str] = field(default_factory=dict, repr=False)
    grid: Grid | None = field(default=None, repr=False)

    def shown(self, at: int) -> str:
        """The row at that position in a few words, with its number in the sheet."""
        cells = " | ".join(filter(None, self.row_text(at)[:4]))
        return _("row {row}: {cells}", row=self.row_of(self.row_numbers[at]), cells=cells)

    def with_column(self, header: str, cells: Sequence[Cell]) -> RawTable:
        """The table with other cells under that header."""
        at = self.header.index(header)
        return replace(self, columns=(*self.columns[:at], cells, *self.columns[at + 1 :]))

    def only(self, headers: Sequence[str]) -> RawTable:
        """The table with these of its columns alone, in their order."""
        kept = [at for at, header in enumerate(self.header) if header in headers]
        return replace(
            self,
            header=tuple(self.header[at] for at in kept),
            columns=tuple(self.columns[at] for at in kept),
            column_numbers=tuple(self.column_numbers[at] for at in kept),
        )

    def beside(self, header: str, cells: Sequence[Cell], number: int = 0) -> RawTable:
        """The table with one more column; ``number`` is its place in the sheet, 0 for none."""
        places = self.places and {**self.places, header: [(0, number)] * len(cells)}
        return replace(
            self,
            header=(*self.header, header),
            columns=(*self.columns, cells),
            column_numbers=(*self.column_numbers, number),
            places=places,
        )

    def repeated(self, header: str, cells: Sequence[Sequence[Cell]]) -> RawTable:
        """The table with each row as often as it has ``cells`` for that header, one in each."""
        old = [at for at, several in enumerate(cells) for _ in several]
        where = self.places or {
            name: [(row, number) for row in self.row_numbers]
            for name, number in zip(self.header, self.column_numbers, strict=True)
        }
        flat = [cell for several in cells for cell in several]
        too_long = self.too_long or {}
        return replace(
            self,
            columns=tuple(
                flat if name == header else [column[at] for at in old]
                for name, column in zip(self.header, self.columns, strict=True)
            ),
            row_numbers=range(2, len(old) + 2),  # row 1 is the header everywhere
            too_long={new: too_long[at] for new, at in enumerate(old) if at in too_long},
            places={name: [places[at] for at in old] for name, places in where.items()},
            headings=self.headings or dict(zip(self.column_numbers, self.header, strict=True)),
        )

    def row_text(self, at: int) -> list[str]:
        """The row at that position as text."""
        return [as_text(column[at]) for column in self.columns]

    def column(self, header: str) -> DistinctCells:
        """The cells under that header."""
        return DistinctCells.of(self.columns[self.header.index(header)])

    def at(self, label: int) -> int:
        """The position of the row with that number."""
        return bisect_left(self.row_numbers, label)

    def row_of(self, label: int) -> int:
        """The row of the sheet in which the record with that number stands, from 1."""
        if self.places is None:
            return label
        return max(places[self.at(label)][0] for places in self.places.values())

    def cell_of(self, label: int, column: str, mapping: Mapping[str, str]) -> CellPlace | None:
        """The cell that says the record's ``column``; None when no cell of the sheet does.

        ``mapping`` is header → column.
        """
        header = next((head for head, name in mapping.items() if name == column), None)
        if header is None or self.grid is None or header not in self.header:
            return None
        if self.places is None:
            number = self.column_numbers[self.header.index(header)]
            row, heading = label, header
        else:
            row, number = self.places[header][self.at(label)]
            heading = self.headings.get(number, "")
        if not number or not 0 < row <= len(self.grid.rows):
            return None
        return CellPlace(row, number, heading, as_text(self.grid.cell(row - 1, number - 1)).strip())


def raw_table(
    grid: Grid, header_row: int, body: Sequence[int] | np.ndarray, *, columns: range | None = None
) -> RawTable:
    """The rows of a sheet below a header, empty ones left out.

    ``header_row`` and ``body`` are positions in ``grid.rows`` (-1: the table has no header),
    ``columns`` the sheet's columns that belong to the table, all of them when None.

    Raises RecordError when two columns have one name.
    """
    rows = np.asarray(body, dtype=np.int64)
    rows = rows[grid.filled[rows]]
    first = columns.start if columns is not None else 0
    cells = grid.columns(rows, columns)
    if header_row < 0:
        names = [""] * len(cells)
    else:
        head = grid.rows[header_row]
        names = [
            as_text(cell).strip()
            for cell in (head if columns is None else head[first : columns.stop])
        ]
    while names and names[-1] == "" and all(map(_is_empty, cells[len(names) - 1 : len(names)])):
        names.pop()
    width = len(names)
    header = name_columns(grid.name, names, first)
    too_long: dict[int, int] = {}
    for number, beyond in enumerate(cells[width:], start=width + 1):
        holds = np.array([not is_blank([cell]) for cell in beyond.cells], dtype=bool)
        too_long |= dict.fromkeys(np.flatnonzero(holds[beyond.codes]).tolist(), number)
    none = DistinctCells.repeated("", len(rows))
    return RawTable(
        grid.name,
        header,
        tuple(column.each(_stripped) for column in (*cells, *[none] * width)[:width]),
        _numbers_of(rows),
        dict(sorted(too_long.items())),
        grid.separator,
        grid.from_1904,
        grid.notices,
        tuple(range(first + 1, first + width + 1)),
        grid=grid,
    )


def _is_empty(column: DistinctCells) -> bool:
    return all(cell == "" for cell in column.cells)


def _stripped(cell: Cell) -> Cell:
    return cell.strip() if isinstance(cell, str) else cell


def _numbers_of(rows: np.ndarray) -> Sequence[int]:
    """The rows' numbers from 1, which mostly follow one another and then take no room."""
    if not len(rows) or int(rows[-1]) - int(rows[0]) + 1 == len(rows):
        return range(int(rows[0]) + 1, int(rows[-1]) + 2) if len(rows) else ()
    return array("q", (rows + 1).tobytes())


def name_columns(source: str, names: Sequence[str], first: int = 0) -> tuple[str, ...]:
    """The header, each name once; a column without a name is called by its place.

    Raises RecordError when two columns have one name.
    """
    header = [name or _("column {at}", at=at) for at, name in enumerate(names, start=first + 1)]
    for name, often in Counter(header).items():
        if often > 1:
            raise RecordError(
                _(
                    '{source} has {often} columns called "{name}"; give each its own name.',
                    source=source,
                    often=often,
                    name=name,
                )
            )
    return tuple(header)
