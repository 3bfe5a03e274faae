"""A file's bytes to the cells of its sheets: encoding, separator, quotes, workbooks.

Taken: CSV with comma, semicolon, tab or bar; UTF-8 with or without a byte order mark, UTF-16 with
one, Windows-1252; XLSX. Anything else is refused in a sentence that says how to save it instead.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell
from tracker.intake.files.decoding import decode, refuse_other_files
from tracker.intake.files.grid import Grid
from tracker.language import _

MAX_ROWS = 2_000_000
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
        from tracker.intake.files.workbook import read_workbook

        grids = read_workbook(source, data)
    else:
        text, notices = decode(source, data)
        rows, separator = _read_csv(source, text)
        grids = (Grid(source, rows, separator=separator, notices=notices),)
    count = sum(len(grid.rows) for grid in grids)
    if count > MAX_ROWS:
        raise RecordError(
            _(
                "{source} has {count} rows, more than the {max_rows} that are read at once; "
                "split it, for instance by year.",
                source=source,
                count=count,
                max_rows=MAX_ROWS,
            )
        )
    return grids


def _read_csv(source: str, text: str) -> tuple[list[list[Cell]], str]:
    if not text.strip("".join(_SEPARATORS) + ' \r\n"'):
        raise RecordError(
            _("{source} is empty; choose the file with the rows in it.", source=source)
        )
    named = re.match(r"sep=(.)\r?\n", text)  # a line some spreadsheet programs put first
    if named:
        text = text[named.end() :]
    separator = named[1] if named else _sniff_separator(text)
    _refuse_open_quote(source, text, separator)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        raise RecordError(
            _(
                "{source} cannot be read as CSV ({error}); save it again as CSV UTF-8 or XLSX.",
                source=source,
                error=error,
            )
        ) from None
    return rows, separator  # type: ignore[return-value]


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
