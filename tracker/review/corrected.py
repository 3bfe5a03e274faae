"""What was added, corrected or taken out after a month's review could first be made?

The database's change log says when each record was written. A review computed again from today's
records differs from the first one by exactly these changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from tracker.workshop.contract import TABLE_BY_NAME

if TYPE_CHECKING:
    from tracker.store.database import Store
    from tracker.store.late_changes import TakenBack

GRACE_DAYS = 5  # entries of the first days of the next month belong to writing the month up
_ABOUT_THE_REVIEW = ("actions", "review_notes")
_PLANS = ("routines", "experiments")  # hold from a day on
_UNDATED = ("parts", "settings", *_PLANS)


@dataclass(frozen=True)
class Corrections:
    """Net changes after ``since``: (table, "added", "corrected" or "removed") → records.

    ``of_month`` counts records dated in the ``month``, ``earlier`` those before it, ``undated``
    facts that hold for every month (prices, routines, settings). ``taken_back`` are whole files
    loaded in time and taken out since.
    """

    month: date
    since: date
    of_month: Mapping[tuple[str, str], int]
    earlier: Mapping[tuple[str, str], int]
    undated: Mapping[tuple[str, str], int]
    taken_back: tuple[TakenBack, ...]


def corrected_since(store: Store, month: date) -> Corrections:
    """Which records of that month or earlier were written after its review could first be made?

    Any day of the ``month``. Counted is what was written later than GRACE_DAYS after the month's
    end, and later than the day the database began: before it there was no review. What was taken
    back again counts for nothing.
    """
    from tracker.store.late_changes import late_changes

    first = month.replace(day=1)
    last = (pd.Timestamp(first) + pd.offsets.MonthEnd(1)).date()
    late = late_changes(store, last + timedelta(days=GRACE_DAYS))
    counts: dict[str, Counter[tuple[str, str]]] = {
        "of_month": Counter(), "earlier": Counter(), "undated": Counter()
    }  # fmt: skip
    came_with_files = late.loaded or {}
    for row in late.rows:
        ranges = came_with_files.get(row.table, ())
        if row.table in _ABOUT_THE_REVIEW or any(a <= row.row_id <= z for a, z in ranges):
            continue  # about the review itself, or counted with its file
        then, now = (_as_seen(row.table, side, last) for side in (row.before, row.after))
        if then == now:
            continue
        verb = "added" if not then else "removed" if not now else "corrected"
        counts[_where(row.table, (then, now), first)][row.table, verb] += 1
    for table, ranges in came_with_files.items():
        for belongs, number in _loaded(store, table, ranges, first, last).items():
            if number and table not in _ABOUT_THE_REVIEW:
                counts[belongs][table, "added"] += number
    return Corrections(
        first, late.since, counts["of_month"], counts["earlier"], counts["undated"], late.taken_back
    )


def _loaded(
    store: Store, table: str, ranges: Sequence[tuple[int, int]], first: date, last: date
) -> dict[str, int]:
    """Rows of whole files that are still there, by where they belong."""
    frame = store.records().table(table)
    inside = np.zeros(len(frame), dtype=bool)
    for begin, end in ranges:
        inside |= (frame.index >= begin) & (frame.index <= end)
    rows = frame[inside]
    facts = TABLE_BY_NAME[table]
    if facts.happened_on is None:
        return {"undated": len(rows)}
    after = pd.Timestamp(last) + pd.Timedelta(days=1)
    known = ~(rows[facts.happened_on] >= after)
    names = [facts.happened_on, *dict.fromkeys(known_on for _, known_on in facts.known_later)]
    days = rows[names]
    in_month = ((days >= pd.Timestamp(first)) & (days < after)).any(axis=1)
    return {"of_month": int((known & in_month).sum()), "earlier": int((known & ~in_month).sum())}


def _as_seen(table: str, row: Mapping[str, str], last: date) -> dict[str, str]:
    """The row as known on the month's last day; empty where it was not known then."""
    after = (last + timedelta(days=1)).isoformat()
    facts = TABLE_BY_NAME[table]
    happened = facts.happened_on or ("starts_on" if table in _PLANS else None)
    if not row or (happened and row.get(happened, "") >= after):
        return {}
    later = {name for name, known_on in facts.known_later if row.get(known_on, "") >= after}
    return {name: text for name, text in row.items() if text and name not in later}


def _where(table: str, rows: tuple[Mapping[str, str], ...], first: date) -> str:
    """Whether the change touches the month itself: a day of it that either state of the row has."""
    if table in _UNDATED:
        return "undated"
    facts = TABLE_BY_NAME[table]
    names = {facts.happened_on, *(known_on for _, known_on in facts.known_later)} - {None}
    days = [row[str(name)] for row in rows for name in names if row.get(str(name))]
    return "of_month" if any(day >= first.isoformat() for day in days) else "earlier"
