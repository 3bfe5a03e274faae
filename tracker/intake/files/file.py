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
from itertools import islice

from tracker.errors import RecordError
from tracker.intake.files.budgets import (
    MAX_COLUMNS,
    MAX_LINE,
    SMALL_BYTES,
    SMALL_UNPACKED_BYTES,
    WORKBOOK,
    refuse_text,
    too_long_a_cell,
)
from tracker.intake.files.column_rows import ColumnRows, RowsComing
from tracker.intake.files.decoding import encoding_of, refuse_other_files
from tracker.intake.files.grid import Grid
from tracker.language import _
from tracker.workshop.limits import LONGEST_TEXT

_ROWS_AT_ONCE = 2000  # between two looks at what was spent
_CHARACTERS_AT_ONCE = 1 << 20
_SAMPLE = 40_000  # characters by which the separator is told
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_BLANK = "".join(_SEPARATORS) + ' \r\n"'


def read_grids(source: str, data: bytes) -> tuple[Grid, ...]:
    """What cells does this file hold, sheet by sheet?

    ``source`` is the file's name, for messages. A workbook gives one grid for each visible sheet
    that holds anything.

    Raises RecordError when the bytes are no table that can be read.

    >>> (grid,) = read_grids("log.csv", "Drucker;m²\\nP1;1,5\\n\\nP2;2".encode("cp1252"))
    >>> list(grid.rows), grid.separator
    ([['Drucker', 'm²'], ['P1', '1,5'], [], ['P2', '2']], ';')
    """
    refuse_other_files(source, data)
    if data.startswith(WORKBOOK):
        grids = _read_workbook(source, data)
    else:
        encoding, notices = encoding_of(source, data)
        rows, separator = _read_csv(source, data, encoding)
        grids = (Grid(source, rows, separator=separator, notices=notices),)
    return grids


def _read_workbook(source: str, data: bytes) -> tuple[Grid, ...]:
    """A small workbook here, any other in a process of its own."""
    from tracker.intake.files.apart import read_apart
    from tracker.intake.files.workbook import read_workbook, unpacked_bytes

    if len(data) <= SMALL_BYTES and unpacked_bytes(source, data) <= SMALL_UNPACKED_BYTES:
        return read_workbook(source, data)
    return read_apart(source, data)


def _read_csv(source: str, data: bytes, encoding: str) -> tuple[ColumnRows, str]:
    text = io.TextIOWrapper(io.BytesIO(data), encoding, newline="")
    quotes = _look_over(source, text)
    sample = text.read(_SAMPLE)
    named = re.match(r"sep=(.)\r?\n", sample)  # a line some spreadsheet programs put first
    separator = named[1] if named else _sniff_separator(sample)

    def from_the_first_row() -> io.TextIOWrapper:
        text.seek(0)
        text.read(named.end() if named else 0)
        return text

    if quotes % 2:
        _refuse_open_quote(source, from_the_first_row(), separator)
    coming = RowsComing()
    try:
        reader = csv.reader(from_the_first_row(), delimiter=separator)
        while some := list(islice(reader, _ROWS_AT_ONCE)):
            if max(map(len, some)) > MAX_COLUMNS:
                some = _within_the_widest(source, some, coming.count + 1)
            coming.add(some)
            if coming.longest > LONGEST_TEXT:
                _refuse_long_cell(source, some, coming.count - len(some) + 1)
            refuse_text(source, coming)
    except csv.Error as error:
        raise RecordError(
            _(
                "{source} cannot be read as CSV ({error}); save it again as CSV UTF-8 or XLSX.",
                source=source,
                error=error,
            )
        ) from None
    return coming.rows(), separator


def _within_the_widest(source: str, rows: Sequence[list[str]], first: int) -> list[list[str]]:
    """The rows, the first of which is row ``first``, without empty cells far to the right.

    Raises RecordError for one that holds something there.
    """
    for number, row in enumerate(rows, start=first):
        if any(cell.strip() for cell in row[MAX_COLUMNS:]):
            raise RecordError(
                _(
                    "{source} row {row}: something stands beyond column {most}, far from any "
                    "table; delete it.",
                    source=source,
                    row=number,
                    most=MAX_COLUMNS,
                )
            )
    return [row[:MAX_COLUMNS] for row in rows]


def _refuse_long_cell(source: str, rows: Sequence[Sequence[str]], first: int) -> None:
    for number, row in enumerate(rows, start=first):
        for cell in row:
            if len(cell) > LONGEST_TEXT:
                raise too_long_a_cell(source, len(cell), number)


def _look_over(source: str, text: io.TextIOWrapper) -> int:
    """How many quotation marks does a text hold? It is looked at piece by piece from its begin.

    Raises RecordError for one without anything in it, and for a line without an end, which would
    be held several times over.
    """
    quotes, holds_any = 0, False
    begins = read = 0  # where the line begins that is being read, and how far all is read
    while piece := text.read(_CHARACTERS_AT_ONCE):
        quotes += piece.count('"')
        holds_any = holds_any or bool(piece.strip(_BLANK))
        ends = [at for mark in "\n\r" if (at := piece.find(mark)) >= 0]
        if read + min(ends, default=len(piece)) - begins > MAX_LINE:
            raise _endless_line(source, text, begins)
        if ends:
            begins = read + 1 + max(piece.rfind(mark) for mark in "\n\r")
        read += len(piece)
    if not holds_any:
        raise RecordError(
            _("{source} is empty; choose the file with the rows in it.", source=source)
        )
    text.seek(0)
    return quotes


def _endless_line(source: str, text: io.TextIOWrapper, begins: int) -> RecordError:
    text.seek(0)
    lines = io.StringIO(text.read(begins), newline="")
    number = 1 + sum(1 for _line in lines)
    count = 0
    while piece := text.readline(MAX_LINE):
        count += len(piece)
        if piece.endswith(("\n", "\r")):
            break
    return RecordError(
        _(
            "{source} line {number} has {count} million characters, so it is no table; "
            "save it again as CSV UTF-8 or XLSX.",
            source=source,
            number=number,
            count=f"{count / 1e6:.0f}",
        )
    )


def _sniff_separator(sample: str) -> str:
    """The separator that cuts the first rows into the same number of cells most often."""
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


def _refuse_open_quote(source: str, text: io.TextIOWrapper, separator: str) -> None:
    """A quotation mark that opens a cell and is never closed would swallow all that follows."""
    reader = csv.reader(text, delimiter=separator, strict=True)
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
