"""Records to CSV text: ISO days, dot decimals, the shortest exact numbers, one row per line.

A text cell that a spreadsheet program would run as a formula (it begins with = + - or @) gets an
apostrophe in front, as such programs do themselves; a cell that has apostrophes before such a sign
gets one more. Reading takes exactly one away again, so the round trip loses nothing and a note
like ``=HYPERLINK(…)`` stays a note in whatever program opens the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.declarations import Column, Table

_RUNS = re.compile(r"'*[=+\-@]")
_ESCAPED = re.compile(r"'+[=+\-@]")
_HARMLESS = re.compile(r"[+-]?[\d.,]+|-")  # a number or a dash runs nothing


def to_csv_text(frame: pd.DataFrame, table: str | Table) -> str:
    """The frame as the contract's CSV, header first, without its index.

    >>> frame = pd.DataFrame({"printer": ["P1"], "read_on": [pd.Timestamp("2026-03-01")],
    ...                       "area_m2": [12.5], "carried_m2": [None]})
    >>> print(to_csv_text(frame, "counters"), end="")
    printer,read_on,area_m2,carried_m2
    P1,2026-03-01,12.5,
    """
    table = TABLE_BY_NAME[table] if isinstance(table, str) else table
    columns = [_column_text(frame[column.name], column) for column in table.columns]
    return lines_of([table.names, *zip(*columns, strict=True)])


def harmless_csv(shown: pd.DataFrame, *, index: bool = False) -> str:
    """A table as it is shown, as CSV: no cell and no heading of it runs as a formula.

    >>> print(harmless_csv(pd.DataFrame({"=1": ["=2"], "m²": [-3.5]})), end="")
    '=1,m²
    '=2,-3.5
    """
    text = shown.map(_harmless_cell).rename(columns=_harmless_cell)
    if index:
        names = [_harmless_cell(name) for name in text.index.names]
        text = text.rename(index=_harmless_cell).rename_axis(index=names)
    return str(text.to_csv(index=index))


def _harmless_cell(cell: object) -> object:
    return harmless(cell) if isinstance(cell, str) else cell


def lines_of(rows: Iterable[Sequence[str]], separator: str = ",") -> str:
    """Rows of text cells as CSV lines; cells with a separator, quote or line break are quoted."""
    special = re.compile(f'[{re.escape(separator)}"\r\n]')

    def quoted(cell: str) -> str:
        return '"' + cell.replace('"', '""') + '"' if special.search(cell) else cell

    lines = [separator.join(map(quoted, row)) for row in rows]
    return "\n".join([*lines, ""])


def _column_text(values: pd.Series, column: Column) -> list[str]:
    if column.kind == "day":
        return _days_text(values)
    if column.kind == "moment":
        return _moments_text(values)
    if column.is_number:
        return [number_text(value) for value in values.to_numpy(dtype=float).tolist()]
    return [harmless(text) for text in values.tolist()]


def _days_text(values: pd.Series) -> list[str]:
    text = np.datetime_as_string(values.to_numpy().astype("datetime64[D]"))
    return ["" if day == "NaT" else day for day in text.tolist()]


def _moments_text(values: pd.Series) -> list[str]:
    """To the minute, finer only where it must be; midnight is the day alone.

    >>> _moments_text(pd.Series([pd.Timestamp("2026-03-01 08:30"), pd.Timestamp("2026-03-01")]))
    ['2026-03-01T08:30', '2026-03-01']
    """
    texts = []
    for text in np.datetime_as_string(values.to_numpy().astype("datetime64[ns]")).tolist():
        for ending in (".000000000", ":00", "T00:00"):
            if not text.endswith(ending):
                break
            text = text.removesuffix(ending)
        texts.append("" if text == "NaT" else text)
    return texts


def number_text(value: float) -> str:
    """The shortest text that reads back as the same number, without a needless ``.0``.

    >>> number_text(12.0), number_text(0.1), number_text(float("nan")), number_text(1e22)
    ('12', '0.1', '', '1e+22')
    """
    if value != value:
        return ""
    return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def harmless(text: str) -> str:
    """The text so that no spreadsheet program runs it as a formula.

    >>> harmless("=1+1"), harmless("-5"), harmless("'@home"), harmless("it's")
    ("'=1+1", '-5', "''@home", "it's")
    """
    return f"'{text}" if _RUNS.match(text) and not _HARMLESS.fullmatch(text) else text


def as_meant(text: str) -> str:
    """The text without the apostrophe that ``harmless`` put in front.

    >>> as_meant("'=1+1"), as_meant("''@home"), as_meant("'quoted'")
    ('=1+1', "'@home", "'quoted'")
    """
    return text[1:] if _ESCAPED.match(text) else text
