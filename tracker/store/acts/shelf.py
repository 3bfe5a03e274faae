"""The shelf and the orders: counted, moved, ordered, received."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import pandas as pd

from tracker.errors import RecordError
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records


@dataclass(frozen=True)
class Movement:
    """Pieces put on the shelf (plus) or taken off it (minus); ``unit_cost`` in currency units."""

    part_kind: str
    moved_on: date
    quantity: int
    reason: str
    unit_cost: float | None = None
    best_before: date | None = None


@dataclass(frozen=True)
class Order:
    """Pieces ordered; without ``expected_on`` no promise was made. ``unit_cost`` is of a piece."""

    part_kind: str
    quantity: int
    ordered_on: date
    expected_on: date | None = None
    supplier: str = ""
    unit_cost: float | None = None


@dataclass(frozen=True)
class Delivery:
    """What came of an order on a day.

    ``quantity`` is what arrived when it is not all of it: fewer pieces leave the rest on order.
    ``best_before`` follows from the shelf life of the catalogue (else the trade's guess) unless it
    is given, ``unit_cost`` is the order's unless another was paid.
    """

    day: date
    quantity: int | None = None
    best_before: date | None = None
    unit_cost: float | None = None


def on_hand(records: Records, part_kind: str, day: date | None = None) -> int:
    """How many pieces of the kind lie on the shelf at the end of that day (None: after all)."""
    rows = records.stock[records.stock["part_kind"] == part_kind]
    if day is not None:
        rows = rows[rows["moved_on"] <= pd.Timestamp(day)]
    return round(rows["quantity"].sum())


def take_off_shelf(change: Batch, kinds: list[str], day: date) -> None:
    """Takes a piece of each kind, as often as it is named and as far as the shelf has it."""
    for kind in dict.fromkeys(kinds):
        taken = min(kinds.count(kind), on_hand(change.records, kind, day))
        if taken > 0:
            change.add("stock", vars(Movement(kind, day, -taken, "used")))


def move_stock(
    store: Store, movement: Movement, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down pieces put on the shelf or taken off it."""
    quantity, day = movement.quantity, movement.moved_on
    if quantity == 0:
        raise RecordError("0 pieces were moved; write how many, or count the shelf instead.")
    label = words.part_label(movement.part_kind)
    what = f"Shelf: {quantity:+g} × {label} ({movement.reason})"
    with store.change(what, who, now=now) as change:
        there = on_hand(change.records, movement.part_kind, day)
        if quantity < 0 and there + quantity < 0:
            raise RecordError(
                f"The shelf has {there} × {label.lower()} on {day:%Y-%m-%d}, so {-quantity} cannot "
                "be taken off it; count the shelf first."
            )
        change.add("stock", vars(movement))
    return change.number


def count_stock(
    store: Store,
    part_kind: str,
    day: date,
    pieces: int,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Sets the shelf to what was counted at the end of that day; the difference is kept.

    A count that agrees is kept as a difference of 0: that it was counted is worth knowing.
    """
    if pieces < 0:
        raise RecordError(f"{pieces} pieces cannot lie on the shelf; write 0 or more.")
    label = words.part_label(part_kind)
    with store.change(f"Counted {pieces} × {label} on the shelf", who, now=now) as change:
        difference = pieces - on_hand(change.records, part_kind, day)
        change.add("stock", vars(Movement(part_kind, day, difference, "counted")))
    return change.number


def place_order(
    store: Store, order: Order, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down an order."""
    what = f"Ordered {order.quantity:g} × {words.part_label(order.part_kind)}"
    with store.change(what, who, now=now) as change:
        change.add("orders", vars(order))
    return change.number


def receive_order(
    store: Store, row_id: int, delivery: Delivery, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down that an order arrived, and puts it on the shelf.

    Raises RecordError when it arrived already.
    """
    with store.change(who=who, now=now) as change:
        order = change.values("orders", row_id)
        kind, ordered = str(order["part_kind"]), int(order["quantity"])
        label = words.part_label(kind)
        if order["received_on"] is not None:
            raise RecordError(
                f"This order of {ordered} × {label.lower()} arrived on "
                f"{order['received_on']:%Y-%m-%d} already; correct the record if that is wrong."
            )
        arrived = ordered if delivery.quantity is None else delivery.quantity
        if arrived < 1:
            raise RecordError(f"{arrived} pieces cannot arrive; write how many came.")
        change.what = f"Received {arrived} × {label}"
        paid = order["unit_cost"] if delivery.unit_cost is None else delivery.unit_cost
        came = {"received_on": delivery.day, "quantity": arrived, "unit_cost": paid}
        change.correct("orders", row_id, came)
        if arrived < ordered:
            change.add("orders", {**order, "quantity": ordered - arrived})
            change.what += f", {ordered - arrived} still to come"
        keeps = timedelta(days=round(change.records.part_facts(kind).shelf_life_days))
        best_before = delivery.best_before or delivery.day + keeps
        shelved = Movement(kind, delivery.day, arrived, "received", paid, best_before)
        change.add("stock", vars(shelved))
    return change.number
