"""How much a file may hold: looked at before it is read, and again while it is.

A small packed file can unpack to any size, and one cell can be larger than all logs together: a
workbook has fixed budgets, far above any workshop's log (common practice, no source). Plain text
is as large on the disk as it is: of that as much is read as the memory of this computer takes.
"""

from __future__ import annotations

from tracker.errors import RecordError
from tracker.intake.files.column_rows import RowsComing
from tracker.intake.files.memory import memory_bytes
from tracker.language import _
from tracker.workshop.limits import LONGEST_TEXT

WORKBOOK = b"PK\x03\x04"  # how one begins: it is packed
MAX_BYTES = 100_000_000  # of a workbook
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
# A load of plain text may take half of the computer's memory. Measured on the log of a fleet, from
# the text to the last row written: under 5 bytes for one of the file, under 200 for a row.
TEXT_MEMORY = memory_bytes() // 2
MAX_TEXT_BYTES = max(MAX_BYTES, TEXT_MEMORY // 5)  # of all files of a load
MAX_TEXT_ROWS = max(MAX_ROWS, TEXT_MEMORY // 200)
MAX_TEXT_CELLS = max(500_000_000, TEXT_MEMORY // 3)  # bytes that they take in memory
_BYTES_A_TEXT = 200  # of a short text and its place among the distinct ones
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
            raise too_long_a_cell(self.source, characters, row)


def too_long_a_cell(source: str, characters: int, row: int) -> RecordError:
    """What is said of a cell longer than any."""
    return RecordError(
        _(
            "{source} row {row}: a cell of {count} characters; a cell holds {most} at "
            "most. Shorten it, or split the file.",
            source=source,
            row=row,
            count=characters,
            most=LONGEST_TEXT,
        )
    )


def refuse_size(source: str, count: int, begins: bytes, *, before: int = 0) -> None:
    """Raises RecordError for a file of more bytes than are read at once.

    ``begins`` are its first bytes, ``before`` counts those of the files read with it.
    """
    if begins.startswith(WORKBOOK):
        if count > MAX_BYTES:
            raise RecordError(
                _(
                    "{source} has {count} MB, more than the {max_bytes} MB of a workbook that are "
                    "read; save the one sheet as CSV, or split it, for instance by year.",
                    source=source,
                    count=_megabytes(count),
                    max_bytes=_megabytes(MAX_BYTES),
                )
            )
    elif count > MAX_TEXT_BYTES:
        raise RecordError(
            _(
                "{source} has {count} MB, more than the {most} MB of text that the memory of this "
                "computer takes at once; split it, for instance by year, and load the parts one "
                "after the other, or load it on a computer with more memory.",
                source=source,
                count=_megabytes(count),
                most=_megabytes(MAX_TEXT_BYTES),
            )
        )
    elif count + before > MAX_TEXT_BYTES:
        raise RecordError(
            _(
                "{source} has {count} MB, {together} MB with the files before it, more than the "
                "{most} MB of text that the memory of this computer takes at once; load the files "
                "one after the other.",
                source=source,
                count=_megabytes(count),
                together=_megabytes(count + before),
                most=_megabytes(MAX_TEXT_BYTES),
            )
        )


def refuse_text(source: str, coming: RowsComing) -> None:
    """Raises RecordError once the rows of a text take more memory than they may."""
    room = coming.room + _BYTES_A_TEXT * coming.texts
    if coming.count > MAX_TEXT_ROWS or room > MAX_TEXT_CELLS:
        raise RecordError(
            _(
                "{source} holds more than the memory of this computer takes at once, from row "
                "{row} on; split it there, or by year, and load the parts one after the other, or "
                "load it on a computer with more memory.",
                source=source,
                row=coming.count,
            )
        )


def _megabytes(count: int) -> str:
    return f"{count / 1e6:.0f}"
