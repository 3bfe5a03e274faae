"""The shelf of a simulated workshop: lots, orders with random delivery times, movements."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np

from tests.simulation.workshop_plan import BadBatch, PartPlan


@dataclass
class Lot:
    """Pieces of one delivery; ``life_factor`` multiplies the life of each of them."""

    supplier: str = ""
    batch: str = ""
    life_factor: float = 1.0
    unit_cost: float = np.nan
    pieces: int = 0
    bad: bool = False


@dataclass
class Order:
    """One order; days count from the simulation's first day."""

    kind: str
    ordered: int
    expected: int
    received: int
    lot: Lot
    quantity: int
    reserved: int = 0


@dataclass
class Shelf:
    """What lies on the shelf and what is on its way, kind by kind.

    The habit of the workshop: order ``order_quantity`` when shelf and open orders fall to
    ``reorder_at``; when nothing is left and nothing free is on its way, order at once.
    """

    parts: dict[str, PartPlan]
    bad_from: list[tuple[int, BadBatch]]
    weekday_of_first_day: int
    rng: np.random.Generator
    orders: list[Order] = field(default_factory=list)
    open_orders: dict[str, list[Order]] = field(default_factory=dict)
    moves: list[tuple[str, int, int, str, float]] = field(default_factory=list)
    new_orders: list[Order] = field(default_factory=list)
    _lots: dict[str, deque[Lot]] = field(default_factory=dict)
    _counts: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for kind, part in self.parts.items():
            self.open_orders[kind] = []
            self._counts[kind] = 0
            first = self._lot(part)
            first.pieces = part.first_stock
            self._lots[kind] = deque([first])
            self.moves.append((kind, 0, part.first_stock, "counted", first.unit_cost))

    def on_hand(self, kind: str) -> int:
        """Pieces of that kind on the shelf."""
        return sum(lot.pieces for lot in self._lots[kind])

    def take(self, kind: str, day: int) -> Lot | None:
        """One piece from the oldest lot, or None when the shelf is empty."""
        lots = self._lots[kind]
        while lots and lots[0].pieces == 0:
            lots.popleft()
        if not lots:
            return None
        lot = lots[0]
        lot.pieces -= 1
        self.moves.append((kind, day, -1, "used", np.nan))
        self._top_up(kind, day)
        return lot

    def wait_for(self, kind: str, day: int) -> int:
        """The day on which a piece for a part that is missing today will be there."""
        for order in self.open_orders[kind]:
            if order.reserved < order.quantity:
                order.reserved += 1
                return order.received
        order = self._order(kind, day)
        order.reserved += 1
        return order.received

    def receive(self, order: Order) -> None:
        """The order has come: its pieces go on the shelf."""
        order.lot.pieces = order.quantity
        self.open_orders[order.kind].remove(order)
        self._lots[order.kind].append(order.lot)
        self.moves.append(
            (order.kind, order.received, order.quantity, "received", order.lot.unit_cost)
        )

    def _top_up(self, kind: str, day: int) -> None:
        coming = sum(order.quantity - order.reserved for order in self.open_orders[kind])
        if self.on_hand(kind) + coming <= self.parts[kind].reorder_at:
            self._order(kind, day)

    def _order(self, kind: str, day: int) -> Order:
        part = self.parts[kind]
        for order in self.open_orders[kind]:
            if order.ordered == day:  # the same telephone call
                order.quantity += part.order_quantity
                return order
        lead = max(1, round(part.lead_days * np.exp(part.lead_spread * self.rng.normal())))
        received = day + lead
        weekday = (self.weekday_of_first_day + received) % 7
        received += 7 - weekday if weekday >= 5 else 0
        lot = self._lot(part)
        for number, (bad_day, bad) in enumerate(self.bad_from):
            if bad.kind == kind and day >= bad_day:
                lot.supplier, lot.batch, lot.bad = bad.supplier, bad.batch, True
                lot.life_factor = bad.life_factor
                del self.bad_from[number]
                break
        expected = day + max(1, round(part.lead_days))
        order = Order(kind, day, expected, received, lot, part.order_quantity)
        self.orders.append(order)
        self.open_orders[kind].append(order)
        self.open_orders[kind].sort(key=lambda order: order.received)
        self.new_orders.append(order)
        return order

    def _lot(self, part: PartPlan) -> Lot:
        weights = np.array([supplier.weight for supplier in part.suppliers])
        chosen = int(np.searchsorted(np.cumsum(weights) / weights.sum(), self.rng.random()))
        supplier = part.suppliers[chosen]
        self._counts[part.kind] += 1
        batch = f"{part.kind[:1].upper()}{part.kind[1:2]}-{self._counts[part.kind]:03d}"
        price = round(part.unit_cost * (0.95 + 0.1 * self.rng.random()), 2)
        return Lot(supplier.name, batch, supplier.life_factor, price)
