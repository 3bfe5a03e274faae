"""How much a file may hold: looked at before it is read, and again while it is.

A small packed file can unpack to any size, and one cell can be larger than all logs together. A
workshop's whole log stays far below every one of these; they are common practice, no source.
"""

from __future__ import annotations

from tracker.errors import RecordError
from tracker.language import _
from tracker.workshop.limits import LONGEST_TEXT

MAX_BYTES = 100_000_000  # of a file
MAX_UNPACKED_BYTES = 500_000_000  # of a workbook, as its own list of contents says
MAX_ENTRIES = 5_000  # files packed in a workbook
MAX_ROWS = 2_000_000
MAX_CELLS = 20_000_000
MAX_CHARACTERS = 400_000_000  # of all cells together
MAX_COLUMNS = 2_000  # beyond it nobody looks; a spreadsheet program has 16 384
MAX_BLANK_ROWS = 10_000  # between two rows of one table
MAX_LINE = 10_000_000  # characters of one line of text
SECONDS = 180.0  # for a workbook read in a process of its own
MEMORY_BYTES = 3_000_000_000  # of that process
# Below both a workbook is read at once, for a process of its own takes a second to begin.
SMALL_BYTES, SMALL_UNPACKED_BYTES = 1_000_000, 10_000_000


class Spent:
    """What was read of a file so far; RecordError once it is more than any log holds."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.rows = self.cells = self.characters = 0

    def more(self, rows: int, cells: int) -> None:
        """Further rows, with so many cells in all."""
        self.rows += rows
        self.cells += cells
        if self.rows > MAX_ROWS:
            raise RecordError(
                _(
                    "{source} has more than the {max_rows} rows that are read at once; split it, "
                    "for instance by year.",
                    source=self.source,
                    max_rows=MAX_ROWS,
                )
            )
        if self.cells > MAX_CELLS:
            raise RecordError(
                _(
                    "{source} has more than the {max_cells} cells that are read at once; take "
                    "out the empty columns, or split it, for instance by year.",
                    source=self.source,
                    max_cells=MAX_CELLS,
                )
            )

    def text(self, characters: int, row: int) -> None:
        """One cell of text more."""
        self.characters += characters
        if characters > LONGEST_TEXT or self.characters > MAX_CHARACTERS:
            raise RecordError(
                _(
                    "{source} row {row}: a cell of {count} characters; a cell holds {most} at "
                    "most. Shorten it, or split the file.",
                    source=self.source,
                    row=row,
                    count=characters,
                    most=LONGEST_TEXT,
                )
            )


def refuse_size(source: str, count: int) -> None:
    """Raises RecordError for a file of more bytes than are read at once."""
    if count > MAX_BYTES:
        raise RecordError(
            _(
                "{source} has {count} MB, more than the {max_bytes} MB that are read at "
                "once; split it, for instance by year.",
                source=source,
                count=f"{count / 1000000.0:.0f}",
                max_bytes=f"{MAX_BYTES / 1000000.0:.0f}",
            )
        )
