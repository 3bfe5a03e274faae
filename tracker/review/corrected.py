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

import pandas as pd

from tracker.decisions import wording
from tracker.records.contract import TABLE_BY_NAME

if TYPE_CHECKING:
    from tracker.records.changelog import LoggedChange

GRACE_DAYS = 5  # entries of the first days of the next month belong to writing the month up
LAST_CHANGES, ROWS_EACH = 1000, 1000  # of the log, to ask ``Store.changes`` for
_ABOUT_THE_REVIEW = ("actions", "review_notes")
_STANDING = ("parts", "routines", "settings")
_NOUNS = {
    "printers": "printer",
    "fittings": "part change",
    "maintenance": "maintenance entry",
    "counters": "counter reading",
    "nozzle_checks": "nozzle check",
    "stoppages": "stoppage",
    "stock": "stock movement",
    "orders": "order",
    "conditions": "note on conditions",
    "parts": "price or part fact",
    "routines": "routine",
    "settings": "setting",
}
_PLURALS = {
    "maintenance": "maintenance entries",
    "conditions": "notes on conditions",
    "parts": "prices or part facts",
}


@dataclass(frozen=True)
class Corrections:
    """Net changes after ``since``: (table, "added", "corrected" or "removed") → records.

    ``of_month`` counts records dated in the month, ``earlier`` those before it, ``standing`` facts
    without a date (prices, routines, settings). ``loaded`` are whole files taken in since, whose
    rows the log does not list one by one. ``sentence`` is empty where nothing changed.
    """

    since: date
    of_month: Mapping[tuple[str, str], int]
    earlier: Mapping[tuple[str, str], int]
    standing: Mapping[tuple[str, str], int]
    loaded: tuple[str, ...]
    sentence: str


def corrected_since(changes: Sequence[LoggedChange], month: date) -> Corrections:
    """Which records of that month or earlier were written after its review could first be made?

    ``changes`` from ``Store.changes``, with enough rows each; any day of the ``month``. Counted is
    what was written later than GRACE_DAYS after the month's end, and later than the day the
    database began: before it there was no review. A change that was taken back counts for nothing.
    """
    first = month.replace(day=1)
    last = (pd.Timestamp(first) + pd.offsets.MonthEnd(1)).date()
    since = last + timedelta(days=GRACE_DAYS)
    began = [change.when.date() for change in changes if change.batch == 1]
    since = max([since, *began])
    late = sorted(
        (change for change in changes if change.when.date() > since), key=lambda c: c.batch
    )
    net: dict[tuple[str, int], tuple[Mapping[str, str], Mapping[str, str]]] = {}
    for change in late:
        for row in change.rows:
            key = (row.table, row.row_id)
            before = net[key][0] if key in net else row.before
            net[key] = (before, row.after)
    counts: dict[str, Counter[tuple[str, str]]] = {
        "of_month": Counter(), "earlier": Counter(), "standing": Counter()
    }  # fmt: skip
    for (table, _), (before, after) in net.items():
        if table in _ABOUT_THE_REVIEW:
            continue
        then, now = (_as_seen(table, row, last) for row in (before, after))
        if then == now:
            continue
        verb = "added" if not then else "removed" if not now else "corrected"
        counts[_where(table, (then, now), first)][table, verb] += 1
    loaded = _loaded(late)
    return Corrections(
        since, counts["of_month"], counts["earlier"], counts["standing"], loaded,
        _sentence(first, since, counts, loaded, complete=bool(began) or len(late) < len(changes)),
    )  # fmt: skip


def _as_seen(table: str, row: Mapping[str, str], last: date) -> dict[str, str]:
    """The row as known on the month's last day; empty where it was not known then."""
    after = (last + timedelta(days=1)).isoformat()
    facts = TABLE_BY_NAME[table]
    happened = facts.happened_on or ("starts_on" if table == "routines" else None)
    if not row or (happened and row.get(happened, "") >= after):
        return {}
    later = {name for name, known_on in facts.known_later if row.get(known_on, "") >= after}
    return {name: text for name, text in row.items() if text and name not in later}


def _where(table: str, rows: tuple[Mapping[str, str], ...], first: date) -> str:
    """Whether the change touches the month itself: a day of it that either state of the row has."""
    if table in _STANDING:
        return "standing"
    facts = TABLE_BY_NAME[table]
    names = {facts.happened_on, *(known_on for _, known_on in facts.known_later)} - {None}
    days = [row[str(name)] for row in rows for name in names if row.get(str(name))]
    return "of_month" if any(day >= first.isoformat() for day in days) else "earlier"


def _loaded(late: Sequence[LoggedChange]) -> tuple[str, ...]:
    """Loads and bulk changes that still stand, in words."""
    numbers = {change.batch for change in late}
    told = []
    for change in late:
        bulk = change.row_count - len(change.rows)
        if bulk > 0 and change.in_effect and change.undoes not in numbers:
            told.append(
                f"{change.what} on {wording.day(change.when.date())} "
                f"({wording.count(bulk, 'record')} more)"
            )
    return tuple(told)


def _sentence(
    first: date,
    since: date,
    counts: Mapping[str, Mapping[tuple[str, str], int]],
    loaded: tuple[str, ...],
    *,
    complete: bool,
) -> str:
    told = []
    for name, label in (
        ("of_month", f"of {first:%B %Y}"),
        ("earlier", "of earlier months"),
        ("standing", "that hold for every month"),
    ):
        if counts[name]:
            number = sum(counts[name].values())
            listed = ", ".join(_counted(*key, count) for key, count in sorted(counts[name].items()))
            told.append(f"{wording.count(number, 'record')} {label} ({listed})")
    pieces = []
    if told:
        at_least = "" if complete else "at least "
        pieces.append(
            f"Written down or corrected after {wording.day(since)}: {at_least}{'; '.join(told)}."
        )
    if loaded:
        pieces.append(f"Taken in as a whole since then: {'; '.join(loaded)}.")
    if not pieces:
        return ""
    pieces.append(
        "So this review, computed again, can differ from the one first made; without these "
        "changes every figure would be the same."
    )
    return " ".join(pieces)


def _counted(table: str, verb: str, number: int) -> str:
    noun = _NOUNS.get(table, table)
    plural = _PLURALS.get(table, f"{noun}s")
    return f"{wording.count(number, noun, plural)} {verb}"
