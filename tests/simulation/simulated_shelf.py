"""The shelf of a simulated workshop: lots, orders with random delivery times, movements."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Container
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from tests.simulation.workshop_plan import BadBatch, PartPlan, WorkshopPlan

Key = tuple[str, str]  # part kind and variant


def waited_out(shut: Container[int], ordered: int, takes: int) -> int:
    """The day on which is here what is ordered on a day and takes so many on which its supplier is
    not shut, walked day by day.
    """
    day = ordered
    while takes > 0 or day in shut:
        takes -= day not in shut
        day += 1
    return day


@dataclass
class Lot:
    """Pieces of one delivery; ``life_factor`` multiplies the life of each of them.

    ``received`` is its day, None for what was there from the start.
    """

    supplier: str = ""
    batch: str = ""
    life_factor: float = 1.0
    unit_cost: float = np.nan
    pieces: int = 0
    bad: bool = False
    received: int | None = None


@dataclass
class Order:
    """One order; days count from the simulation's first day."""

    part: PartPlan
    ordered: int
    expected: int
    received: int
    lot: Lot
    quantity: int
    reserved: int = 0


@dataclass
class Shelf:
    """What lies on the shelf and what is on its way, by kind and variant.

    The habit of the workshop: order ``order_quantity`` when shelf and open orders fall to
    ``reorder_at``; when nothing is left and nothing free is on its way, order at once.
    Deliveries come on working days.
    """

    plan: WorkshopPlan
    origin: date
    rng: np.random.Generator
    orders: list[Order] = field(default_factory=list)
    open_orders: dict[Key, list[Order]] = field(default_factory=dict)
    moves: list[tuple[str, str, int, int, str, float]] = field(default_factory=list)
    new_orders: list[Order] = field(default_factory=list)
    _bad_to_come: list[BadBatch] = field(default_factory=list)
    _lots: dict[Key, deque[Lot]] = field(default_factory=dict)
    _counts: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        self._bad_to_come = list(self.plan.bad_batches)
        for part in self.plan.parts:
            self.open_orders[part.key] = []
            first = self._lot(part)
            first.pieces = part.first_stock
            self._lots[part.key] = deque([first])
            self.moves.append((*part.key, 0, part.first_stock, "counted", first.unit_cost))

    def on_hand(self, part: PartPlan) -> int:
        """Pieces of that kind and variant on the shelf."""
        return sum(lot.pieces for lot in self._lots[part.key])

    def take(self, part: PartPlan, day: int) -> Lot | None:
        """One piece from the oldest lot, or None when the shelf is empty."""
        lots = self._lots[part.key]
        while lots and lots[0].pieces == 0:
            lots.popleft()
        if not lots:
            return None
        lot = lots[0]
        lot.pieces -= 1
        self.moves.append((*part.key, day, -1, "used", np.nan))
        self._top_up(part, day)
        return lot

    def wait_for(self, part: PartPlan, day: int) -> int:
        """The day on which a piece for a part that is missing today will be there."""
        for order in self.open_orders[part.key]:
            if order.reserved < order.quantity:
                order.reserved += 1
                return order.received
        order = self._order(part, day)
        order.reserved += 1
        return order.received

    def receive(self, order: Order) -> None:
        """The order has come: its pieces go on the shelf."""
        order.lot.pieces, order.lot.received = order.quantity, order.received
        key = order.part.key
        self.open_orders[key].remove(order)
        self._lots[key].append(order.lot)
        self.moves.append((*key, order.received, order.quantity, "received", order.lot.unit_cost))

    def delivered(self, part: PartPlan, day: int) -> int:
        """The day on which an order of that day comes: lognormal, on a day of deliveries."""
        lead = max(1, round(part.lead_days * np.exp(part.lead_spread * self.rng.normal())))
        received = day + lead
        while not self._delivers(self._date(received)):
            received += 1
        return received

    def _top_up(self, part: PartPlan, day: int) -> None:
        if part.not_ordered_from is not None and self._date(day) >= part.not_ordered_from:
            return
        coming = sum(order.quantity - order.reserved for order in self.open_orders[part.key])
        if self.on_hand(part) + coming <= part.reorder_at:
            self._order(part, day)

    def _order(self, part: PartPlan, day: int) -> Order:
        for order in self.open_orders[part.key]:
            if order.ordered == day:  # the same telephone call
                order.quantity += part.order_quantity
                return order
        received = self.delivered(part, day)
        lot = self._lot(part)
        for bad in self._bad_to_come:
            if bad.kind == part.kind and self._date(day) >= bad.ordered_from:
                lot.supplier, lot.batch, lot.bad = bad.supplier, bad.batch, True
                lot.life_factor = bad.life_factor
                self._bad_to_come.remove(bad)
                break
        expected = day + max(1, round(part.lead_days))
        order = Order(part, day, expected, received, lot, part.order_quantity)
        self.orders.append(order)
        self.open_orders[part.key].append(order)
        self.open_orders[part.key].sort(key=lambda order: order.received)
        self.new_orders.append(order)
        return order

    def _date(self, day: int) -> date:
        return self.origin + timedelta(days=day)

    def _delivers(self, day: date) -> bool:
        closed = any(shut.began_on <= day <= shut.ended_on for shut in self.plan.closed)
        return day.weekday() < 5 and not closed

    def _lot(self, part: PartPlan) -> Lot:
        weights = np.array([supplier.weight for supplier in part.suppliers])
        chosen = int(np.searchsorted(np.cumsum(weights) / weights.sum(), self.rng.random()))
        supplier = part.suppliers[chosen]
        self._counts[part.kind] += 1
        batch = f"{part.kind[:1].upper()}{part.kind[1:2]}-{self._counts[part.kind]:03d}"
        price = round(part.unit_cost * (0.95 + 0.1 * self.rng.random()), 2)
        return Lot(supplier.name, batch, supplier.life_factor, price)
