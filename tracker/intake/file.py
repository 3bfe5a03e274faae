"""A file's bytes to a table of cells as typed: encoding, separator, quotes, rows as numbered.

Taken: CSV with comma, semicolon, tab or bar; UTF-8 with or without a byte order mark, UTF-16 with
one, Windows-1252; XLSX. Anything else is refused in a sentence that says how to save it instead.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.decoding import decode, refuse_other_files
from tracker.intake.questions import Answers, Question

MAX_ROWS = 2_000_000
_HEADER_WITHIN = 10  # a header may stand below a title, in the first rows that hold anything
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


@dataclass(frozen=True)
class RawTable:
    """The cells of a file as typed.

    ``header`` holds the column names, ``columns`` one list of cells per header, ``row_numbers``
    the number of each row as a spreadsheet program shows it. Text cells are without outer spaces.
    ``too_long`` tells the rows with more cells than the header, by position. ``from_1904`` says
    that serial dates count from 1904. ``question`` is what must be answered before the cells can
    be read at all (which sheet); the table then is empty.
    """

    source: str
    header: tuple[str, ...] = ()
    columns: tuple[list[Cell], ...] = ()
    row_numbers: tuple[int, ...] = ()
    too_long: Mapping[int, int] | None = None
    separator: str = ""
    from_1904: bool = False
    notices: tuple[str, ...] = ()
    question: Question | None = None

    def row_text(self, at: int) -> list[str]:
        """The row at that position as text."""
        return [as_text(column[at]) for column in self.columns]


def read_raw(
    source: str,
    data: bytes,
    *,
    answers: Answers | None = None,
    header_score: Callable[[Sequence[str]], float] | None = None,
    prefer_sheet: str = "",
) -> RawTable:
    """What cells does this file hold?

    ``source`` is the file's name, for messages. ``header_score`` says how much a row looks like a
    header (a title may stand above it); without it the first row that holds anything is the
    header. ``prefer_sheet`` is taken when a workbook has several sheets and one has that name.

    Raises RecordError when the bytes are no table that can be read.

    >>> table = read_raw("log.csv", "Drucker;m²\\nP1;1,5\\n\\nP2;2".encode("cp1252"))
    >>> table.header, table.columns[1], table.row_numbers
    (('Drucker', 'm²'), ['1,5', '2'], (2, 4))
    """
    refuse_other_files(source, data)
    notices: tuple[str, ...] = ()
    from_1904 = False
    separator = ""
    if data[:4] == b"PK\x03\x04":
        from tracker.intake.workbook import read_workbook

        sheet = read_workbook(source, data, answers, prefer_sheet)
        if sheet.question is not None:
            return RawTable(source, question=sheet.question)
        rows: list[list[Cell]] = sheet.rows
        from_1904 = sheet.from_1904
    else:
        text, notices = decode(source, data)
        rows, separator = _read_csv(source, text)
    return _to_table(source, rows, separator, from_1904, notices, header_score)


def _read_csv(source: str, text: str) -> tuple[list[list[Cell]], str]:
    if not text.strip("".join(_SEPARATORS) + ' \r\n"'):
        raise RecordError(f"{source} is empty; choose the file with the rows in it.")
    named = re.match(r"sep=(.)\r?\n", text)  # a line some spreadsheet programs put first
    if named:
        text = text[named.end() :]
    separator = named[1] if named else _sniff_separator(text)
    _refuse_open_quote(source, text, separator)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        raise RecordError(
            f"{source} cannot be read as CSV ({error}); save it again as CSV UTF-8 or XLSX."
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
        for _ in reader:
            number += 1
    except csv.Error as error:
        if "unexpected end" in str(error):
            raise RecordError(
                f"{source} row {number}: a quotation mark opens a cell and is never closed; close "
                "it, or write inch marks as in."
            ) from None


def _to_table(
    source: str,
    rows: list[list[Cell]],
    separator: str,
    from_1904: bool,
    notices: tuple[str, ...],
    header_score: Callable[[Sequence[str]], float] | None,
) -> RawTable:
    filled = [at for at, row in enumerate(rows) if not _is_blank(row)]
    if not filled:
        raise RecordError(f"{source} is empty; choose the file with the rows in it.")
    if len(filled) > MAX_ROWS:
        raise RecordError(
            f"{source} has {len(filled)} rows, more than the {MAX_ROWS} that are read at once; "
            "split it, for instance by year."
        )
    header_at = filled[0]
    if header_score is not None:
        scores = {
            at: header_score([as_text(cell).strip() for cell in rows[at]])
            for at in filled[:_HEADER_WITHIN]
        }
        header_at = max(scores, key=lambda at: (scores[at], -at))
        if header_at != filled[0]:
            notices += (f"{source}: the rows above row {header_at + 1} were taken for a title.",)
    names = [as_text(cell).strip() for cell in rows[header_at]]
    body = [at for at in filled if at > header_at]
    while (
        names
        and names[-1] == ""
        and all(len(rows[at]) < len(names) or rows[at][len(names) - 1] == "" for at in body)
    ):
        names.pop()
    width = len(names)
    header = _name_columns(source, names)
    too_long = {}
    whole = []
    for position, at in enumerate(body):
        row = rows[at]
        if len(row) > width:
            extra = len(row)
            while extra > width and _is_blank(row[extra - 1 : extra]):
                extra -= 1
            if extra > width:
                too_long[position] = extra
            row = row[:width]
        elif len(row) < width:
            row = row + [""] * (width - len(row))
        whole.append(row)
    columns = tuple(_stripped(column) for column in zip(*whole, strict=True)) if whole else ()
    return RawTable(
        source,
        header,
        columns or tuple([] for _ in header),
        tuple(at + 1 for at in body),
        too_long,
        separator,
        from_1904,
        notices,
    )


def _is_blank(row: Sequence[Cell]) -> bool:
    return not any(cell.strip() if isinstance(cell, str) else True for cell in row)


def _stripped(column: Sequence[Cell]) -> list[Cell]:
    """The cells without outer spaces, each distinct text looked at once."""
    bare = {cell: cell.strip() if isinstance(cell, str) else cell for cell in set(column)}
    return list(map(bare.__getitem__, column))


def _name_columns(source: str, names: Sequence[str]) -> tuple[str, ...]:
    """The header, each name once; a column without a name is called by its place."""
    header = [name or f"column {at}" for at, name in enumerate(names, start=1)]
    for name, often in Counter(header).items():
        if often > 1:
            raise RecordError(
                f'{source} has {often} columns called "{name}"; give each its own name.'
            )
    return tuple(header)
