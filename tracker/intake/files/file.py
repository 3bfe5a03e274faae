"""A file's bytes to the cells of its sheets: encoding, separator, quotes, workbooks.

Taken: CSV with comma, semicolon, tab or bar; UTF-8 with or without a byte order mark, UTF-16 with
one, Windows-1252; XLSX; all within the budgets (`budgets`). Anything else is refused in a sentence
that says how to save it instead.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from itertools import chain, islice
from typing import cast

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell
from tracker.intake.files.budgets import (
    MAX_COLUMNS,
    MAX_LINE,
    SMALL_BYTES,
    SMALL_UNPACKED_BYTES,
    Spent,
)
from tracker.intake.files.decoding import decode, refuse_other_files
from tracker.intake.files.grid import Grid
from tracker.language import _
from tracker.workshop.limits import LONGEST_TEXT

_ROWS_AT_ONCE = 1000  # between two looks at what was spent
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


def read_grids(source: str, data: bytes) -> tuple[Grid, ...]:
    """What cells does this file hold, sheet by sheet?

    ``source`` is the file's name, for messages. A workbook gives one grid for each visible sheet
    that holds anything.

    Raises RecordError when the bytes are no table that can be read.

    >>> (grid,) = read_grids("log.csv", "Drucker;m²\\nP1;1,5\\n\\nP2;2".encode("cp1252"))
    >>> grid.rows, grid.separator
    ([['Drucker', 'm²'], ['P1', '1,5'], [], ['P2', '2']], ';')
    """
    refuse_other_files(source, data)
    if data[:4] == b"PK\x03\x04":
        grids = _read_workbook(source, data)
    else:
        text, notices = decode(source, data)
        rows, separator = _read_csv(source, text)
        grids = (Grid(source, rows, separator=separator, notices=notices),)
    return grids


def _read_workbook(source: str, data: bytes) -> tuple[Grid, ...]:
    """A small workbook here, any other in a process of its own."""
    from tracker.intake.files.apart import read_apart
    from tracker.intake.files.workbook import read_workbook, unpacked_bytes

    if len(data) <= SMALL_BYTES and unpacked_bytes(source, data) <= SMALL_UNPACKED_BYTES:
        return read_workbook(source, data)
    return read_apart(source, data)


def _read_csv(source: str, text: str) -> tuple[list[list[Cell]], str]:
    if not text.strip("".join(_SEPARATORS) + ' \r\n"'):
        raise RecordError(
            _("{source} is empty; choose the file with the rows in it.", source=source)
        )
    named = re.match(r"sep=(.)\r?\n", text)  # a line some spreadsheet programs put first
    if named:
        text = text[named.end() :]
    separator = named[1] if named else _sniff_separator(text)
    _refuse_endless_line(source, text)
    _refuse_open_quote(source, text, separator)
    spent = Spent(source)
    rows: list[list[Cell]] = []
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        while some := list(islice(reader, _ROWS_AT_ONCE)):
            spent.more(len(some), sum(map(len, some)))
            longest = max(map(len, chain.from_iterable(some)), default=0)
            if longest > LONGEST_TEXT or max(map(len, some)) > MAX_COLUMNS:
                _refuse_beyond_budget(source, some, len(rows) + 1, spent)
            rows += cast("list[list[Cell]]", some)
    except csv.Error as error:
        raise RecordError(
            _(
                "{source} cannot be read as CSV ({error}); save it again as CSV UTF-8 or XLSX.",
                source=source,
                error=error,
            )
        ) from None
    return rows, separator


def _refuse_beyond_budget(
    source: str, rows: Sequence[Sequence[str]], first: int, spent: Spent
) -> None:
    """Tells of a row that is too wide, or holds too long a cell; the first is row ``first``."""
    for number, row in enumerate(rows, start=first):
        if len(row) > MAX_COLUMNS and any(cell.strip() for cell in row[MAX_COLUMNS:]):
            raise _too_wide(source, number)
        for cell in row:
            if len(cell) > LONGEST_TEXT:
                spent.text(len(cell), number)


def _refuse_endless_line(source: str, text: str) -> None:
    """A line without an end would be held several times over."""
    begins = 0
    while len(text) - begins > MAX_LINE:  # from end of line to end of line, as far as one may be
        ends = max(text.rfind(mark, begins, begins + MAX_LINE) for mark in "\n\r")
        if ends < 0:
            number = 1 + sum(1 for _line in io.StringIO(text[:begins], newline=""))
            raise RecordError(
                _(
                    "{source} line {number} has {count} million characters, so it is no table; "
                    "save it again as CSV UTF-8 or XLSX.",
                    source=source,
                    number=number,
                    count=f"{_length_of_line(text, begins) / 1e6:.0f}",
                )
            )
        begins = ends + 1


def _length_of_line(text: str, begins: int) -> int:
    ends = [at for mark in "\n\r" if (at := text.find(mark, begins)) >= 0]
    return min(ends, default=len(text)) - begins


def _too_wide(source: str, row: int) -> RecordError:
    return RecordError(
        _(
            "{source} row {row}: something stands beyond column {most}, far from any table; "
            "delete it.",
            source=source,
            row=row,
            most=MAX_COLUMNS,
        )
    )


def _sniff_separator(text: str) -> str:
    """The separator that cuts the first rows into the same number of cells most often."""
    sample = text[:40_000]
    best, best_score = ",", 0.0
    for separator in _SEPARATORS:
        rows = []
        try:
            for row in csv.reader(io.StringIO(sample, newline=""), delimiter=separator):
                if any(cell.strip() for cell in row):
                    rows.append(row)
                if len(rows) == 60:
                    break
        except csv.Error:
            continue
        if not rows:
            continue
        widths = Counter(len(row) for row in rows)
        width, often = max(widths.items(), key=lambda item: (item[1], item[0]))
        if width < 2:
            continue
        score = often / len(rows) * (width - 1) ** 0.25 + (len(rows[0]) == width)
        if score > best_score:
            best, best_score = separator, score
    return best


def _refuse_open_quote(source: str, text: str, separator: str) -> None:
    """A quotation mark that opens a cell and is never closed would swallow all that follows."""
    if text.count('"') % 2 == 0:
        return
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 1
    try:
        for _row in reader:
            number += 1
    except csv.Error as error:
        if "unexpected end" in str(error):
            raise RecordError(
                _(
                    "{source} row {number}: a quotation mark opens a cell and is never "
                    "closed; close it, or write inch marks as in.",
                    source=source,
                    number=number,
                )
            ) from None
