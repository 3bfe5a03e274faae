"""The pieces a printed page is made of: words, tables, pictures with captions, shortened lists."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import pandas as pd

from tracker.say import numbers
from tracker.say.review_tables import Listing

KEPT_WHOLE = 12  # rows up to which a table is not spread over two pages


def shown(text: str) -> str:
    """Plain words for the page: nothing in them is markup, and no number loses its unit."""
    return escape(numbers.unbroken(text))


def table(listing: Listing, most: int | None = None) -> str:
    """An HTML table of at most so many rows; nothing where there are none."""
    if not listing.rows:
        return ""

    def cells(values: Sequence[str], tag: str) -> str:
        number = f'<{tag} class="n">'
        return "".join(
            f"{number if place in listing.numeric else f'<{tag}>'}{shown(value)}</{tag}>"
            for place, value in enumerate(values)
        )

    rows = listing.rows[:most]
    body = "".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    short = ' class="keep"' if len(rows) <= KEPT_WHOLE else ""
    head = f"<thead><tr>{cells(listing.heads, 'th')}</tr></thead>"
    drawn = f"<table{short}>{head}<tbody>{body}</tbody></table>"
    return drawn + more_in_the_tables(len(listing) - len(rows))


def shortened(rows: pd.DataFrame, most: int) -> pd.DataFrame:
    """The ``most`` rows with the largest figures, in the order given; the others added up."""
    if len(rows) <= most + 1:
        return rows
    order = rows.sort_values(["this_month", "mean_before"], ascending=False, kind="stable")
    kept = rows.index.isin(order.index[:most])
    rest = pd.DataFrame(
        [rows[~kept].sum(min_count=1)], index=[f"{len(rows) - most} others together"]
    )
    return pd.concat([rows[kept], rest])


def more_in_the_tables(left_out: int) -> str:
    """What to read where a list was cut."""
    if left_out <= 0:
        return ""
    return f'<p class="small">And {left_out} more; all of them are in the CSV tables.</p>'


def figure(svg: str, caption: str) -> str:
    """A picture and the sentence that says what it shows."""
    return f"<figure>{svg}<figcaption>{shown(caption)}</figcaption></figure>"


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph of plain words; nothing where there are none."""
    start = f'<p class="{kind}">' if kind else "<p>"
    return f"{start}{shown(text)}</p>" if text else ""
