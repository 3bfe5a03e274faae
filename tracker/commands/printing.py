"""Answers on standard output: one JSON object, or a sentence and a table."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, TextIO

import pandas as pd

from tracker.language import _
from tracker.say import numbers


def plain(value: Any) -> Any:
    """The value as JSON can hold it: numpy numbers as numbers, days as ISO text, NaN as null."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if hasattr(value, "tolist") and not isinstance(value, (str, bytes)):
        return plain(value.tolist())
    if hasattr(value, "to_pydatetime"):
        return None if value != value else value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    return None if value != value else str(value)


def as_json(answer: Mapping[str, Any]) -> int:
    """Print one JSON object and nothing else."""
    print(json.dumps(plain(answer), ensure_ascii=False, allow_nan=False))
    return 0


def show(sentence: str, rows: Sequence[Mapping[str, object]]) -> int:
    """Print a sentence and, under it, rows as an aligned table."""
    print(sentence)
    if rows:
        from tracker.commands.table_words import cell, heading

        names = list(rows[0])
        lines = [[heading(name) for name in names]]
        lines += [[cell(name, row.get(name)) for name in names] for row in rows]
        widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
        print()
        for line in lines:
            print("  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)))
    return 0


def progress_line(
    text: Callable[[date], str], to: TextIO | None = None
) -> Callable[[float, date], None] | None:
    """Tells on one line of standard error how far a long answer has come; None where nobody looks.

    Called with the share done and the day that has been come to.
    """
    shown = sys.stderr if to is None else to
    if not shown.isatty():
        return None

    def tell(share: float, day: date) -> None:
        shown.write(f"\r{100 * share:3.0f} %  {text(day):<40}")
        shown.flush()

    return tell


def end_line(to: TextIO | None = None) -> None:
    """Leave the line of progress empty, where there is one."""
    shown = sys.stderr if to is None else to
    if shown.isatty():
        shown.write(f"\r{'':<48}\r")
        shown.flush()


def rows_of(table: pd.DataFrame, columns: Sequence[str]) -> list[dict[str, Any]]:
    """The rows of a table as answers, these columns only."""
    return [
        {str(name): value for name, value in row.items()}
        for row in table[list(columns)].to_dict(orient="records")
    ]


def nothing_fitted(as_of: date) -> str:
    """What a question about fitted parts is told where there are none."""
    return _("No part is fitted in any printer on {as_of}.", as_of=numbers.day(as_of))
