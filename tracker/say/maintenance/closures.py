"""Closed days and gaps of the log, in words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

import pandas as pd

from tracker.decisions.due_days.closed_again import ClosedAgain
from tracker.language import _, unmarked
from tracker.say import numbers
from tracker.say.phrases import day_span, listed


def gap_question(first: date, last: date) -> str:
    """What is asked about days on which nothing was written down."""
    return _("Nothing was written down {span}: were you closed?", span=day_span(first, last))


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
        span=day_span(one.last_began_on, one.last_ended_on),
        whom=listed([_closed_whom(site, supplier) for site, supplier in one.whom]),
        again=day_span(one.began_on, one.ended_on),
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
        span=day_span(first, last),
        days=days,
        where=row.printer or _closed_whom(row.site, row.supplier),
    )
    return f"{closed}: {unmarked(note)}" if note else closed
