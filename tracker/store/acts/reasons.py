"""Why something was done, put right after somebody was asked about it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracker.language import _, counted
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.contract import MAINTENANCE
from tracker.workshop.vocabulary import CONFIRMED_PLANNED, UNTOLD


def call_symptom(store: Store, entries: Sequence[int]) -> int | None:
    """These planned entries of maintenance were because of a symptom, as one change.

    Where the same work is written down as that already, the planned entry goes.
    """
    what = _("Because of a symptom, not planned: {entries}", entries=_entries(entries))
    with store.change(what) as change:
        for entry in entries:
            if _is_written(change, int(entry)):
                change.remove("maintenance", int(entry))
            else:
                change.correct("maintenance", int(entry), {"why": "symptom"})
    return change.number


def confirm_planned(store: Store, entries: Sequence[int]) -> int | None:
    """These entries were planned indeed: remembered in their notes, so that nobody asks again."""
    with store.change(_("Planned, confirmed: {entries}", entries=_entries(entries))) as change:
        for entry in entries:
            note = str(change.values("maintenance", int(entry))["note"] or "")
            if CONFIRMED_PLANNED not in note:
                note = f"{note}; {CONFIRMED_PLANNED}" if note else CONFIRMED_PLANNED
                change.correct("maintenance", int(entry), {"note": note})
    return change.number


def say_why(store: Store, fittings: Sequence[int], reason: str) -> int | None:
    """These parts came out for that reason, as one change; whichever has one by now keeps it.

    Raises RecordError where a fitting is gone, or the reason is none.
    """
    parts = counted(len(fittings), "part", "parts")
    what = _("Why {parts} came out: {reason}", parts=parts, reason=_(reason))
    with store.change(what) as change:
        there = change.records.fittings
        for gone in set(fittings) - set(there.index):
            change.row("fittings", gone)  # tells who took it out
        asked = there.loc[list(fittings), "removal_reason"]
        change.correct_rows("fittings", asked.index[asked.isin(UNTOLD)], {"removal_reason": reason})
    return change.number


def _is_written(change: Batch, entry: int) -> bool:
    """Is the same work there already, because of a symptom?"""
    row = {**change.values("maintenance", entry), "why": "symptom"}
    day = day_number(row["done_on"].date())
    return any(
        np.logical_and.reduce([rows.cells(name) == row[name] for name in MAINTENANCE.key]).any()
        for rows in change.records.coded_table("maintenance").of_day("done_on", day)
    )


def _entries(entries: Sequence[int]) -> str:
    return counted(len(entries), "entry of maintenance", "entries of maintenance")
