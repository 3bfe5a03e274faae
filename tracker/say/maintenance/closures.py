"""Closed days and gaps of the log, in words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

import pandas as pd

from tracker.decisions.due_days.closed_again import ClosedAgain
from tracker.language import _, unmarked
from tracker.say import numbers
from tracker.say.phrases import listed


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


def again_question(one: ClosedAgain) -> str:
    """What is asked about days that were closed a year ago."""
    return _(
        "Closed a year ago {span}: {whom}. Again {again}?",
        span=closed_span(one.last_began_on, one.last_ended_on),
        whom=listed([_closed_whom(site, supplier) for site, supplier in one.whom]),
        again=closed_span(one.began_on, one.ended_on),
    )


def again_notices(found: Iterable[ClosedAgain]) -> list[str]:
    """The same for the command line, with what to write."""
    return [
        _(
            "{question} If so, write it in closures (began_on {began_on}, ended_on {ended_on}, or "
            "other days); if not, write {began_on}/{ended_on} in the setting open_again.",
            question=again_question(one),
            began_on=one.began_on,
            ended_on=one.ended_on,
        )
        for one in found
    ]


def _closed_whom(site: str, supplier: str) -> str:
    if supplier:
        return _("supplier {supplier}", supplier=supplier)
    return _("site {site}", site=site) if site else _("the whole workshop")


def closure_line(row: Any) -> str:
    """One closure of the list; ``row`` of ``closures``."""
    first, last, note = row.began_on.date(), row.ended_on.date(), row.note
    days = numbers.days((last - first).days + 1)
    closed = _(
        "**Closed {span}** ({days}), {where}",
        span=closed_span(first, last),
        days=days,
        where=row.printer or _closed_whom(row.site, row.supplier),
    )
    return f"{closed}: {unmarked(note)}" if note else closed
