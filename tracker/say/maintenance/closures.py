"""Closed days and gaps of the log, in words."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.say import numbers


def closed_span(first: date, last: date) -> str:
    """From a day to a day, the month and the year said once where they are the same.

    >>> closed_span(date(2026, 8, 3), date(2026, 8, 14))
    'from 3 to 14 Aug 2026'
    >>> closed_span(date(2026, 12, 24), date(2027, 1, 2)), closed_span(*2 * [date(2026, 5, 1)])
    ('from 24 Dec 2026 to 2 Jan 2027', 'on 1 May 2026')
    """
    if first == last:
        return f"on {numbers.day(first)}"
    same_month = (first.year, first.month) == (last.year, last.month)
    begins = f"{first.day}" if same_month else numbers.day(first, year=first.year != last.year)
    return f"from {begins} to {numbers.day(last)}"


def gap_question(first: date, last: date) -> str:
    """What is asked about days on which nothing was written down."""
    return f"Nothing was written down {closed_span(first, last)}: were you closed?"


def gap_notices(gaps: pd.DataFrame) -> list[str]:
    """The same for the command line, with what to write; ``gaps``: see ``quiet_gaps``."""
    return [
        f"{gap_question(row.began_on.date(), row.ended_on.date())} If so, write it in closures "
        f"(began_on {row.began_on:%Y-%m-%d}, ended_on {row.ended_on:%Y-%m-%d}); if not, write "
        f"{row.began_on:%Y-%m-%d}/{row.ended_on:%Y-%m-%d} in the setting worked_through."
        for row in gaps.itertuples()
    ]


def closure_line(first: date, last: date, site: str, printer: str, note: str) -> str:
    """One closure of the list."""
    days = numbers.days((last - first).days + 1)
    where = printer or (f"site {site}" if site else "the whole workshop")
    return f"**Closed {closed_span(first, last)}** ({days}), {where}{f': {note}' if note else ''}"
