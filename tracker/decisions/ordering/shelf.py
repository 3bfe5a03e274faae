"""What lies on the shelf on a given day, and what of it can still be used."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracker.workshop.records import Records


@dataclass(frozen=True)
class OnHand:
    """Pieces on the shelf: ``usable``, ``expired`` (past their best-before day), and ``missing``,
    how many more were taken than ever came in (the log then lacks a delivery or a count)."""

    usable: int = 0
    expired: int = 0
    missing: int = 0


def on_hand(known: Records, as_of: date) -> dict[str, OnHand]:
    """How many pieces of each kind lie on the shelf?

    Quantities are signed: every row adds, also ``counted`` rows, which carry the difference that
    a count found. Pieces leave in the order they came (first in, first out); what is left of a
    delivery past its best-before day counts as expired. ``known``: records as known on that day.
    """
    moves = known.stock
    moves = moves[moves["quantity"].notna()].sort_values("moved_on", kind="stable")
    today = pd.Timestamp(as_of)
    return {str(kind): _left(rows, today) for kind, rows in moves.groupby("part_kind")}


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
    return OnHand(usable, expired, int(gone))
