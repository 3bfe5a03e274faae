"""Closed days and gaps of the log, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from tracker.language import _, unmarked
from tracker.say import numbers


def closed_span(first: date, last: date) -> str:
    """From a day to a day, the month and the year said once where they are the same.

    >>> closed_span(date(2026, 8, 3), date(2026, 8, 14))
    'from 3 to 14 Aug 2026'
    >>> closed_span(date(2026, 12, 24), date(2027, 1, 2)), closed_span(*2 * [date(2026, 5, 1)])
    ('from 24 Dec 2026 to 2 Jan 2027', 'on 1 May 2026')
    """
    if first == last:
        return _("on {day}", day=numbers.day(first))
    same_month = (first.year, first.month) == (last.year, last.month)
    begins = f"{first.day}" if same_month else numbers.day(first, year=first.year != last.year)
    return _("from {begins} to {last}", begins=begins, last=numbers.day(last))


def gap_question(first: date, last: date) -> str:
    """What is asked about days on which nothing was written down."""
    return _("Nothing was written down {span}: were you closed?", span=closed_span(first, last))


def gap_notices(gaps: pd.DataFrame) -> list[str]:
    """The same for the command line, with what to write; ``gaps``: see ``quiet_gaps``."""
    return [
        _(
            "{question} If so, write it in closures (began_on {began_on}, ended_on "
            "{ended_on}); if not, write {began_on}/{ended_on} in the setting "
            "worked_through.",
            question=gap_question(row.began_on.date(), row.ended_on.date()),
            began_on=f"{row.began_on:%Y-%m-%d}",
            ended_on=f"{row.ended_on:%Y-%m-%d}",
        )
        for row in gaps.itertuples()
    ]


def closure_line(row: Any) -> str:
    """One closure of the list; ``row`` of ``closures``."""
    first, last, note = row.began_on.date(), row.ended_on.date(), row.note
    days = numbers.days((last - first).days + 1)
    where = row.printer or _("the whole workshop")
    if row.site:
        where = _("site {site}", site=row.site)
    if row.supplier:
        where = _("supplier {supplier}", supplier=row.supplier)
    closed = _(
        "**Closed {span}** ({days}), {where}",
        span=closed_span(first, last),
        days=days,
        where=where,
    )
    return f"{closed}: {unmarked(note)}" if note else closed
