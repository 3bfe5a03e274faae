"""The shelf and the orders: counted, moved, ordered, received."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.once import once, told_already
from tracker.store.acts.positions import PartPosition
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.shelf import pieces_there, stock_moves
from tracker.workshop.variants import PartType, pooled_variants, spare_variants, variants_in_use


@dataclass(frozen=True)
class Movement:
    """Pieces put on the shelf (plus) or taken off it (minus); ``unit_cost`` in currency units.

    ``counted``: how many lay there, where that is what tells the ``quantity``.
    """

    part_kind: str
    moved_on: date
    quantity: int
    reason: str
    unit_cost: float | None = None
    best_before: date | None = None
    variant: str = ""
    counted: int | None = None


@dataclass(frozen=True)
class Order:
    """Pieces ordered; without ``expected_on`` no promise was made. ``unit_cost`` is of a piece."""

    part_kind: str
    quantity: int
    ordered_on: date
    expected_on: date | None = None
    supplier: str = ""
    unit_cost: float | None = None
    variant: str = ""


@dataclass(frozen=True)
class Delivery:
    """How an order arrived on a day.

    ``best_before`` follows from the shelf life of the catalogue (else the trade's guess) unless it
    is given, ``unit_cost`` is the order's unless another was paid.
    """

    day: date
    best_before: date | None = None
    unit_cost: float | None = None


def on_hand(
    records: Records, part_kind: str, day: date | None = None, *, variant: str | None = None
) -> int:
    """How many pieces of the kind lie on the shelf at the end of that day (None: after all)?

    ``variant``: of that type only (None: of every type).
    """
    rows = _moves(records, part_kind, day, variant)
    if rows.empty:
        return 0
    by_type = rows.groupby(spare_variants(records, rows))
    return sum(pieces_there(own, own["moved_on"].max()) for _variant, own in by_type)


def _moves(records: Records, part_kind: str, day: date | None, variant: str | None) -> pd.DataFrame:
    """The rows of the shelf of a kind (and type) up to that day."""
    moves = stock_moves(records)
    rows = moves[moves["part_kind"] == part_kind]
    if variant is not None:
        rows = rows[spare_variants(records, rows) == variant]
    if day is not None:
        rows = rows[rows["moved_on"] <= pd.Timestamp(day)]
    return rows


def take_off_shelf(change: Batch, positions: Sequence[PartPosition], day: date) -> None:
    """Takes a piece for each position, of the type that fits it, as far as the shelf has it.

    Where none of that type lies there, one that does not say its type must have been it.
    """
    records, after = change.records, change.candidate()
    wanted = Counter(_type_in(after, position) for position in positions)
    unnamed: Counter[str] = Counter()
    for part, number in wanted.items():
        kind, variant = part
        taken = min(number, max(0, on_hand(records, kind, day, variant=variant)))
        if taken > 0:
            change.add("stock", vars(Movement(kind, day, -taken, "used", variant=variant)))
        if variant and taken < number:
            unnamed[kind] += number - taken
    for kind, number in unnamed.items():
        taken = min(number, max(0, on_hand(records, kind, day, variant="")))
        if taken > 0:
            change.add("stock", vars(Movement(kind, day, -taken, "used")))


def _type_in(records: Records, position: PartPosition) -> PartType:
    """The type of the newest part in that position."""
    fittings = records.fittings
    rows = (
        (fittings["printer"] == position.printer)
        & (fittings["part_kind"] == position.part_kind)
        & (fittings["position"] == position.position)
    )
    own = pooled_variants(records)[rows & fittings["removed_on"].isna()]
    return PartType(position.part_kind, str(own.iloc[-1]) if len(own) else "")


def _of_one_type(records: Records, part_kind: str, variant: str) -> str:
    """The type as it is to be written down: said, else the one in use where there is but one.

    Written down, it stays that type when the workshop gets a second one.
    """
    used = variants_in_use(records, part_kind)
    return variant or (used[0] if len(used) == 1 else "")


def move_stock(store: Store, movement: Movement, *, again: bool = False) -> int | None:
    """Writes down pieces put on the shelf or taken off it.

    LoggedAlready where as many went the same way that day, unless they did ``again``.
    """
    quantity, day = movement.quantity, movement.moved_on
    if quantity == 0:
        raise RecordError(_("0 pieces were moved; write how many, or count the shelf instead."))
    with once(store, among=("stock",), again=again) as change:
        variant = _of_one_type(change.records, movement.part_kind, movement.variant)
        label = _named(movement.part_kind, variant)
        change.what = _(
            "Shelf: {quantity} × {label} ({reason})",
            quantity=f"{quantity:+g}",
            label=label,
            reason=_(movement.reason),
        )
        there = on_hand(change.records, movement.part_kind, day, variant=variant)
        if quantity < 0 and there + quantity < 0:
            raise RecordError(
                _(
                    "The shelf has {there} × {label} on {day}, so {quantity} cannot be taken "
                    "off it; count the shelf first.",
                    there=there,
                    label=label[0].lower() + label[1:],
                    day=f"{day:%Y-%m-%d}",
                    quantity=-quantity,
                )
            )
        change.add("stock", vars(replace(movement, variant=variant)))
    return change.number


def count_stock(store: Store, counts: Mapping[PartType, int], day: date) -> int | None:
    """Sets the shelf to what was counted at the end of that day; the differences are kept.

    What is written down or corrected later for a day before leaves the shelf as it was counted.
    One change for the whole count sheet. A count that agrees is kept as a difference of 0: that it
    was counted is worth knowing. Types that are not in ``counts`` stay as they are.
    """
    if not counts:
        raise RecordError(_("Nothing was counted; write a number beside at least one part."))
    for part, pieces in counts.items():
        if pieces < 0:
            raise RecordError(
                _(
                    "{named}: {pieces} pieces cannot lie on the shelf; write 0 or more.",
                    named=_named(*part),
                    pieces=pieces,
                )
            )
    said = [f"{pieces} × {_named(*part)}" for part, pieces in counts.items()]
    told = (
        said[0]
        if len(said) == 1
        else _(
            "{types} types of part, pieces in all: {pieces}",
            types=len(said),
            pieces=sum(counts.values()),
        )
    )
    with store.change(_("Counted on the shelf: {told}", told=told)) as change:
        for (kind, asked), pieces in counts.items():
            variant = _of_one_type(change.records, kind, asked)
            # A count's row is the difference to the sum of all before it, whatever was missing.
            before = _moves(change.records, kind, day, variant)["quantity"].sum()
            found = Movement(
                kind, day, pieces - round(before), "counted", variant=variant, counted=pieces
            )
            change.add("stock", vars(found))
    return change.number


def name_type(store: Store, part: PartType) -> int | None:
    """Writes down that the pieces of a kind that did not say their type are of this one.

    On the shelf and on order. Raises RecordError where every piece says its type.
    """
    with store.change(_("Named the type: {named}", named=_named(*part))) as change:
        found = 0
        for table in ("stock", "orders"):
            rows = change.records.table(table)
            rows = rows[rows["part_kind"] == part.part_kind]
            untold = rows.index[spare_variants(change.records, rows) == ""]
            change.correct_rows(table, untold, {"variant": part.variant})
            found += len(untold)
        if not found:
            kind = words.part_label(part.part_kind).lower()
            raise RecordError(_("Every {kind} on the shelf says its type already.", kind=kind))
    return change.number


def place_order(store: Store, order: Order, *, again: bool = False) -> int | None:
    """Writes down an order.

    LoggedAlready where the same part was ordered that day, unless it was ordered ``again``.
    """
    with once(store, among=("orders",), again=again) as change:
        variant = _of_one_type(change.records, order.part_kind, order.variant)
        change.what = _(
            "Ordered {quantity} × {part_kind}",
            quantity=f"{order.quantity:g}",
            part_kind=_named(order.part_kind, variant),
        )
        change.add("orders", vars(replace(order, variant=variant)))
    return change.number


def receive_order(
    store: Store, row_id: int, delivery: Delivery, *, quantity: int | None = None
) -> int | None:
    """Writes down that an order arrived, and puts it on the shelf.

    ``quantity`` is what arrived where it is not all of it (None): of fewer pieces the rest stays
    on order, as a row of its own with the same days.

    Raises LoggedAlready when it arrived already.
    """
    with store.change() as change:
        order = change.values("orders", row_id)
        kind, ordered = str(order["part_kind"]), int(order["quantity"])
        variant = _of_one_type(change.records, kind, str(order["variant"]))
        label = _named(kind, variant)
        if order["received_on"] is not None:
            told = _(
                "This order of {ordered} × {label} arrived on {received_on} already; correct the "
                "record if that is wrong.",
                ordered=ordered,
                label=label[0].lower() + label[1:],
                received_on=f"{order['received_on']:%Y-%m-%d}",
            )
            raise told_already(change, "orders", row_id, told)
        arrived = ordered if quantity is None else quantity
        if arrived < 1:
            raise RecordError(
                _("{arrived} pieces cannot arrive; write how many came.", arrived=arrived)
            )
        change.what = _("Received {arrived} × {label}", arrived=arrived, label=label)
        paid = order["unit_cost"] if delivery.unit_cost is None else delivery.unit_cost
        came = {"received_on": delivery.day, "quantity": arrived, "unit_cost": paid}
        change.correct("orders", row_id, came)
        if arrived < ordered:
            change.add("orders", {**order, "quantity": ordered - arrived})
            change.what = _(
                "Received {arrived} of {ordered} × {label}, {ordered_2} still to come",
                arrived=arrived,
                ordered=ordered,
                label=label,
                ordered_2=ordered - arrived,
            )
        keeps = timedelta(days=round(change.records.part_facts(kind, variant).shelf_life_days))
        best_before = delivery.best_before or delivery.day + keeps
        shelved = Movement(
            kind, delivery.day, arrived, "received", paid, best_before, variant=variant
        )
        change.add("stock", vars(shelved))
    return change.number


def _named(part_kind: str, variant: str) -> str:
    """A type in the change log's words."""
    kind = words.part_label(part_kind)
    return f"{kind}, {words.said(variant)}" if variant else kind
