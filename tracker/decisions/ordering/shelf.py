"""What lies on the shelf on a given day, and what of it can still be used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.stock_moves import stock_moves
from tracker.workshop.variants import PartType, spare_variants


@dataclass(frozen=True)
class OnHand:
    """Pieces on the shelf: ``usable``, ``expired`` (past their best-before day), and ``missing``,
    how many more were taken than ever came in (the log then lacks a delivery or a count).

    ``counted_on`` is the day of the last count; None: never counted, and taken to hold no more
    than what was written down as put on it.
    """

    usable: int = 0
    expired: int = 0
    missing: int = 0
    counted_on: date | None = None


def on_hand(known: Records, as_of: date) -> dict[PartType, OnHand]:
    """How many pieces of each type lie on the shelf?

    Pieces that do not say which of several types in use they are stand under the variant "": no
    printer can count on them.

    Pieces leave in the order they came (first in, first out); what is left of a
    delivery past its best-before day counts as expired. ``known``: records as known on that day.
    """
    moves = stock_moves(known)
    if moves.empty:
        return {}
    moves = moves[moves["quantity"].notna()].sort_values("moved_on", kind="stable")
    today = pd.Timestamp(as_of)
    by_type = moves.groupby([moves["part_kind"], spare_variants(known, moves)])
    return {PartType(*map(str, part)): _left(rows, today) for part, rows in by_type}


def shelf_now(records: Records, as_of: date) -> dict[PartType, OnHand]:
    """The same of all records, as known on that day."""
    return on_hand(records.known_at(as_of), as_of)


def _left(moves: pd.DataFrame, today: pd.Timestamp) -> OnHand:
    came = moves[moves["quantity"] > 0]
    gone = -float(moves.loc[moves["quantity"] < 0, "quantity"].sum())
    usable = expired = 0
    for quantity, best_before in zip(came["quantity"], came["best_before"], strict=True):
        left = max(0.0, quantity - gone)
        gone = max(0.0, gone - quantity)
        if not pd.isna(best_before) and best_before <= today:
            expired += int(left)
        else:
            usable += int(left)
    counted = moves.loc[moves["reason"] == "counted", "moved_on"]
    counted_on = None if counted.empty else counted.max().date()
    return OnHand(usable, expired, int(gone), counted_on)
