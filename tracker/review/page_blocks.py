"""The pieces a printed page is made of: tables, pictures with captions, shortened lists."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from typing import Any

import pandas as pd

COMPARED_HEADS = ("This month", "Month before", "Usual")


def table(heads: Sequence[str], rows: Sequence[Sequence[Any]], numeric: Sequence[int] = ()) -> str:
    """An HTML table; the columns of these places are numbers."""

    def cells(values: Sequence[Any], tag: str) -> str:
        return "".join(
            f"<{tag}{' class=' + chr(34) + 'n' + chr(34) if place in numeric else ''}>"
            f"{escape(str(value))}</{tag}>"
            for place, value in enumerate(values)
        )

    body = "".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    short = ' class="keep"' if len(rows) <= 12 else ""
    head = f"<thead><tr>{cells(heads, 'th')}</tr></thead>"
    return f"<table{short}>{head}<tbody>{body}</tbody></table>"


def compared(
    title: str,
    rows: pd.DataFrame,
    label: Callable[[str], str],
    say: Callable[[float], str] | None = None,
    *,
    most: int | None = None,
) -> str:
    """A table of this month, the month before and the yearly mean.

    With more than ``most`` rows those of the largest figures stand, the others are added up.
    """
    if rows.empty:
        return ""
    say = say or plain_number
    rows, rest = shortened(rows, most)
    if len(rest):
        rows = pd.concat([rows, pd.DataFrame([rest.sum(min_count=1)], index=[""])])
    known = not rows["month_before"].isna().all()
    heads = (title, *COMPARED_HEADS[: 3 if known else 1])
    names = ["this_month", "month_before", "mean_before"][: len(heads) - 1]
    lines = [
        (label(str(key)) if key != "" else f"{len(rest)} others together",
         *(say(row[name]) for name in names))
        for key, row in rows.iterrows()
    ]  # fmt: skip
    return table(heads, lines, numeric=(1, 2, 3))


def shortened(rows: pd.DataFrame, most: int | None) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The ``most`` rows with the largest figures, in the order given, and the others."""
    if most is None or len(rows) <= most + 1:
        return rows, rows.iloc[:0]
    order = rows.sort_values(["this_month", "mean_before"], ascending=False, kind="stable")
    kept = rows.index.isin(order.index[:most])
    return rows[kept], rows[~kept]


def more_in_the_tables(left_out: int) -> str:
    """What to read where a list was cut."""
    if left_out <= 0:
        return ""
    return f'<p class="small">And {left_out} more; all of them are in the CSV tables.</p>'


def figure(svg: str, caption: str) -> str:
    """A picture and the sentence that says what it shows."""
    return f"<figure>{svg}<figcaption>{escape(caption)}</figcaption></figure>"


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph of plain words; nothing where there are none."""
    start = f'<p class="{kind}">' if kind else "<p>"
    return f"{start}{escape(text)}</p>" if text else ""


def plain_number(value: float) -> str:
    """One decimal where there is one.

    >>> plain_number(3.0), plain_number(0.25)
    ('3', '0.2')
    """
    return f"{value:.1f}".removesuffix(".0")


def first_up(text: str) -> str:
    """The sentence with a capital first letter."""
    return text[:1].upper() + text[1:]
