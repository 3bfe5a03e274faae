"""Where did the spare come from that is next taken off the shelf?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracker.workshop.records import Records
from tracker.workshop.shelf import stock_moves
from tracker.workshop.variants import spare_variants


@dataclass(frozen=True)
class SpareOrigin:
    """The delivery that a spare came with; "" and None where it is not written down."""

    supplier: str = ""
    batch: str = ""
    unit_cost: float | None = None


def spare_origin(
    records: Records, part_kind: str, variant: str, day: date, *, taken_before: int = 0
) -> SpareOrigin:
    """The delivery of the oldest piece of that type on the shelf: the one to be used first.

    ``taken_before``: so many older pieces are used before this one, for a set that goes in at once.
    The shelf holds the last pieces delivered. A delivery has no batch of its own: it is the one
    written down with the last part that was fitted from it.
    """
    until, moves = pd.Timestamp(day), stock_moves(records)
    stock, orders = (_of(records, frame, part_kind, variant) for frame in (
        moves[moves["moved_on"] <= until],
        records.orders[records.orders["received_on"] <= until],
    ))  # fmt: skip
    on_hand = float(stock["quantity"].sum()) - taken_before
    if on_hand <= 0 or orders.empty:
        return SpareOrigin()
    newest_first = orders.sort_values("received_on", ascending=False, kind="stable")
    reached = newest_first["quantity"].cumsum() >= on_hand
    if not reached.any():  # some pieces are older than any delivery written down
        return SpareOrigin()
    order = newest_first[reached].iloc[0]
    return SpareOrigin(
        str(order["supplier"]),
        _batch_since(records, part_kind, order),
        None if pd.isna(order["unit_cost"]) else float(order["unit_cost"]),
    )


def _of(records: Records, rows: pd.DataFrame, part_kind: str, variant: str) -> pd.DataFrame:
    rows = rows[rows["part_kind"] == part_kind]
    return rows[spare_variants(records, rows) == variant] if variant else rows


def _batch_since(records: Records, part_kind: str, order: pd.Series) -> str:
    fitted = records.fittings
    fitted = fitted[
        (fitted["part_kind"] == part_kind)
        & (fitted["supplier"] == order["supplier"])
        & (fitted["batch"] != "")
        & (fitted["fitted_on"] >= order["received_on"])
    ].sort_values("fitted_on", kind="stable")
    return str(fitted["batch"].iloc[-1]) if len(fitted) else ""
