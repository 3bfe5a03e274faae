"""The shelf and the orders: counted, moved, ordered, received."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from tracker.errors import RecordError
from tracker.store.acts import places
from tracker.store.database import Store
from tracker.workshop import vocabulary as words


def move_stock(
    store: Store,
    part_kind: str,
    day: date,
    quantity: int,
    reason: str,
    *,
    unit_cost: float | None = None,
    best_before: date | None = None,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down pieces put on the shelf (plus) or taken off it (minus)."""
    if quantity == 0:
        raise RecordError("0 pieces were moved; write how many, or count the shelf instead.")
    label = words.part_label(part_kind)
    with store.change(f"Shelf: {quantity:+g} × {label} ({reason})", who, now=now) as all_:
        there = places.on_hand(all_.records, part_kind, day)
        if quantity < 0 and there + quantity < 0:
            raise RecordError(
                f"The shelf has {there} × {label.lower()} on {day:%Y-%m-%d}, so {-quantity} cannot "
                "be taken off it; count the shelf first."
            )
        all_.add(
            "stock",
            {"part_kind": part_kind, "moved_on": day, "quantity": quantity, "reason": reason,
             "unit_cost": unit_cost, "best_before": best_before},
        )  # fmt: skip
    return all_.number


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
    with store.change(f"Counted {pieces} × {label} on the shelf", who, now=now) as all_:
        difference = pieces - places.on_hand(all_.records, part_kind, day)
        values = {"part_kind": part_kind, "moved_on": day, "quantity": difference}
        all_.add("stock", {**values, "reason": "counted"})
    return all_.number


def place_order(
    store: Store,
    part_kind: str,
    quantity: int,
    day: date,
    *,
    expected_on: date | None = None,
    supplier: str = "",
    unit_cost: float | None = None,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down an order; without ``expected_on`` no promise was made."""
    what = f"Ordered {quantity:g} × {words.part_label(part_kind)}"
    with store.change(what, who, now=now) as all_:
        all_.add(
            "orders",
            {"part_kind": part_kind, "quantity": quantity, "ordered_on": day,
             "expected_on": expected_on, "supplier": supplier, "unit_cost": unit_cost},
        )  # fmt: skip
    return all_.number


def receive_order(
    store: Store,
    row_id: int,
    day: date,
    *,
    quantity: int | None = None,
    best_before: date | None = None,
    unit_cost: float | None = None,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down that an order arrived, and puts it on the shelf.

    ``quantity`` is what arrived when it is not all of it: fewer pieces leave the rest on order.
    ``best_before`` follows from the shelf life of the catalogue (else the trade's guess) unless it
    is given. Raises RecordError when it arrived already.
    """
    with store.change(who=who, now=now) as all_:
        order = all_.values("orders", row_id)
        label = words.part_label(order["part_kind"])
        ordered = int(order["quantity"])
        if order["received_on"] is not None:
            raise RecordError(
                f"This order of {ordered} × {label.lower()} arrived on "
                f"{order['received_on']:%Y-%m-%d} already; correct the record if that is wrong."
            )
        arrived = ordered if quantity is None else quantity
        if arrived < 1:
            raise RecordError(f"{arrived} pieces cannot arrive; write how many came.")
        all_.what = f"Received {arrived} × {label}"
        paid = order["unit_cost"] if unit_cost is None else unit_cost
        came = {"received_on": day, "quantity": arrived, "unit_cost": paid}
        all_.correct("orders", row_id, came)
        if arrived < ordered:
            rest = {"quantity": ordered - arrived, "received_on": None}
            all_.add("orders", {**order, **rest})
            all_.what += f", {ordered - arrived} still to come"
        if best_before is None:
            keeps = all_.records.part_facts(order["part_kind"]).shelf_life_days
            best_before = day + timedelta(days=round(keeps))
        all_.add(
            "stock",
            {"part_kind": order["part_kind"], "moved_on": day, "quantity": arrived,
             "reason": "received", "unit_cost": paid, "best_before": best_before},
        )  # fmt: skip
    return all_.number
