"""What lies on the shelf on a given day, and what of it can still be used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from math import isnan

import numpy as np
import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, spare_variants


@dataclass(frozen=True)
class OnHand:
    """Pieces on the shelf: ``usable``, ``expired`` (past their best-before day), and ``missing``,
    how many more were taken than lay there since the last count (the log then lacks a delivery).

    ``counted_on`` is the day of the last count; None: never counted, and taken to hold no more
    than what was written down as put on it. ``keeps``: of the usable ones, how many keep until
    which day, the first to expire first; those that say no day are not in it.
    """

    usable: int = 0
    expired: int = 0
    missing: int = 0
    counted_on: date | None = None
    keeps: tuple[tuple[date, int], ...] = ()


def on_hand(known: Records, as_of: date) -> Mapping[PartType, OnHand]:
    """How many pieces of each type lie on the shelf?

    Pieces that do not say which of several types in use they are stand under the variant "": no
    printer can count on them.

    Pieces leave in the order they came (first in, first out), those used from what has not expired;
    what is left of a delivery past its best-before day counts as expired. More than lies there
    cannot leave: it is missing, and no later delivery makes up for it. ``known``: records as known
    on that day.
    """
    return known.once(_on_hand, as_of)


def _on_hand(known: Records, as_of: date) -> Mapping[PartType, OnHand]:
    moves = stock_moves(known)
    if moves.empty:
        return {}
    moves = moves[moves["quantity"].notna()]
    today = pd.Timestamp(as_of)
    by_type = moves.groupby([moves["part_kind"], spare_variants(known, moves)])
    return {PartType(*map(str, part)): _left(rows, today) for part, rows in by_type}


def shelf_now(records: Records, as_of: date) -> Mapping[PartType, OnHand]:
    """The same of all records, as known on that day."""
    return on_hand(records.known_at(as_of), as_of)


def pieces_there(moves: pd.DataFrame, day: pd.Timestamp) -> int:
    """How many pieces lie there after these moves of one type, those too old among them."""
    left = _left(moves[moves["quantity"].notna()], day)
    return left.usable + left.expired


def _left(moves: pd.DataFrame, today: pd.Timestamp) -> OnHand:
    """What is left after all moves of one type, as they happened."""
    lots: list[_Lot] = []
    missing = 0.0
    for run in _runs(moves):
        more = run.quantity
        if run.counted:
            more = max(run.sum_of_all, 0.0) - sum(lot.left for lot in lots)
            missing = max(-run.sum_of_all, 0.0)
        if more > 0:
            lots.append(_Lot(more, run.best_before))
        else:
            missing += _taken(lots, -more, run.day if run.used else None)
        lots = [lot for lot in lots if lot.left > 0]
    keeps: dict[date, int] = {}
    usable = expired = 0
    for lot in lots:
        if lot.expired(today):
            expired += int(lot.left)
            continue
        usable += int(lot.left)
        if not pd.isna(lot.best_before):
            day = lot.best_before.date()
            keeps[day] = keeps.get(day, 0) + int(lot.left)
    counted = moves.loc[moves["reason"] == "counted", "moved_on"]
    counted_on = None if counted.empty else counted.max().date()
    return OnHand(usable, expired, int(missing), counted_on, tuple(sorted(keeps.items())))


@dataclass
class _Lot:
    """What is left of one delivery."""

    left: float
    best_before: pd.Timestamp  # NaT: it keeps

    def expired(self, day: pd.Timestamp) -> bool:
        return bool(self.best_before <= day)


def _taken(lots: list[_Lot], pieces: float, used_on: pd.Timestamp | None) -> float:
    """Takes pieces from the lots, the oldest first; those used from what was good on that day as
    far as it reaches. How many were not there?
    """
    if used_on is not None:
        lots = sorted(lots, key=lambda lot: lot.expired(used_on))
    for lot in lots:
        taken = min(lot.left, pieces)
        lot.left -= taken
        pieces -= taken
    return pieces


@dataclass(frozen=True)
class _Run:
    """Moves in turn of one kind, with nothing coming or expiring between them; ``sum_of_all`` up
    to the last of them.
    """

    quantity: float
    sum_of_all: float
    day: pd.Timestamp
    best_before: pd.Timestamp
    used: bool
    counted: bool


def _runs(moves: pd.DataFrame) -> Iterator[_Run]:
    """The moves day by day: what came first, what left then, what was counted last."""
    counted, came = moves["reason"] == "counted", moves["quantity"] > 0
    moves = moves.assign(alone=counted | came, used=moves["reason"] == "used", counted=counted)
    moves = moves.iloc[np.lexsort((~came, counted, moves["moved_on"]))]
    ends = np.sort(moves["best_before"].dropna().unique())
    expired = np.searchsorted(ends, moves["moved_on"].to_numpy(), side="right")
    alone, used = moves["alone"].to_numpy(), moves["used"].to_numpy()
    begins = np.ones(len(moves), dtype=bool)
    begins[1:] = alone[1:] | alone[:-1] | (np.diff(expired) > 0) | (used[1:] != used[:-1])
    first = np.flatnonzero(begins)
    quantity = moves["quantity"].to_numpy(dtype=float)
    pieces, so_far = np.add.reduceat(quantity, first), np.cumsum(quantity)
    sums = so_far[np.append(first[1:], len(moves)) - 1]
    rows = moves.iloc[first].itertuples()
    for row, own, sum_of_all in zip(rows, pieces, sums, strict=True):
        yield _Run(own, sum_of_all, row.moved_on, row.best_before, row.used, row.counted)


def stock_moves(records: Records) -> pd.DataFrame:
    """The rows of the stock, ``quantity`` as each changed what lay there.

    A row that tells how many were ``counted`` brings the shelf to that number, whatever was
    written down later for days before it; the difference that stands beside the count is the one
    found when it was made. Rows of one day count in the order in which they were written down.
    """
    return records.once(_stock_moves)


def _stock_moves(records: Records) -> pd.DataFrame:
    stock = records.stock
    if not stock["counted"].notna().any():
        return stock
    order = np.argsort(stock["moved_on"].to_numpy(), kind="stable")
    part = stock["part_kind"].str.cat(spare_variants(records, stock), sep="\x1f")
    type_of, names = pd.factorize(part)
    there = [0.0] * len(names)
    quantity, counted = (stock[name].astype(float).tolist() for name in ("quantity", "counted"))
    for row in order.tolist():
        own = int(type_of[row])
        if not isnan(counted[row]):
            quantity[row] = counted[row] - there[own]
        if not isnan(quantity[row]):
            there[own] += quantity[row]
    return stock.assign(quantity=quantity)
