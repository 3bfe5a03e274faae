"""One type of part on the shelf: what is there, what is needed and what to order."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np

from tracker.arrays import Array
from tracker.decisions.ordering.deliveries.never_comes import Chance
from tracker.decisions.ordering.lead_time import LeadTime
from tracker.decisions.ordering.stretched_need import StretchedNeed
from tracker.decisions.stock_level import (
    chance_of_shortage,
    least_cost_stock,
    stock_for_service,
)
from tracker.workshop.parts.facts import PartFacts
from tracker.workshop.shelf import OnHand

_NEARLY_ALL = 0.99
_ROUNDING = 1e-9
_ENOUGH_FAILURES = 5  # with those that the belief of the typical life is worth


@dataclass(frozen=True, eq=False)
class KindStock:
    """One type's need beside what there is of it.

    ``chances`` [k] = chance of needing exactly k over delivery and review, ``at_once`` of them
    today whatever comes; ``horizon`` their usual length in days; ``short`` [s] = occasions on which
    a piece is missing in that time with s there; ``available`` pieces on hand, but for what grows
    too old by then unused, and ``arriving`` ordered ones likely here by then;
    ``late`` those past their day, ``forgotten`` those more likely never here than at all,
    ``late_comes`` how likely the least likely of the late ones still comes;
    ``short_if_ordered`` [n] = the chance that something is needed while nothing is there with n
    pieces more ordered today, arrivals counted on their days, ``short_if_no_later`` with none, were
    what comes later than these ordered only today as well, and ``before_arrival`` that of it before
    the last of those on their way is here (NaN: none is);
    ``unit_cost, shortage_cost`` (of one such occasion) and ``holding_per_day`` in
    currency units.
    """

    facts: PartFacts
    lead: LeadTime
    horizon: float
    chances: Array
    at_once: int
    short: Array
    shelf: OnHand
    available: int
    arriving: int
    late: int
    forgotten: int
    late_comes: Chance
    before_arrival: float
    short_if_no_later: float
    short_if_ordered: Array
    unit_cost: float
    shortage_cost: float
    holding_per_day: float

    @property
    def expected(self) -> float:
        return float(self.chances @ np.arange(len(self.chances)))

    def row(
        self, service: float, fitted: int, on_order: int, failures: int, *, has_floor: bool
    ) -> dict[str, object]:
        """The kind's row of the stock table, as far as it is known here.

        Money decides the level; a service level is a floor under it (``has_floor``), and what
        stands empty is filled, whatever standing costs.
        ``failures`` of the kind are in the log.
        """
        kept = stock_for_service(self.chances, service)
        costs = self._costs()
        cheapest = _cheapest(costs, self._most(fitted, failures))
        target = max(cheapest, self.at_once, kept if has_floor else 0)
        order = self._order(target, service if has_floor else None)
        return {
            "part_kind": self.facts.part_kind,
            "variant": self.facts.variant,
            "fitted": fitted,
            "at_once": self.at_once,
            "on_hand": self.shelf.usable,
            "on_order": on_order,
            "horizon_days": round(self.horizon, 1),
            "expected_need": self.expected,
            "chance_of_need": self.chances.tolist(),
            "stock_for_service": kept,
            "stock_least_cost": cheapest,
            "stock_to_keep": target,
            "chance_of_shortage_now": float(self.short_if_ordered[0]),
            "failures": failures,
            "order_now": order,
            "unit_cost": self.unit_cost,
            "cost": order * self.unit_cost,
            "pack_size": self.facts.pack_size,
            "lead_days": self.lead.usual_now,
            "lead_days_late": self.lead.late_now,
            "arriving": self.arriving,
            "available": self.available,
            "risk_before_arrival": self.before_arrival,
            "expired": self.shelf.expired,
            "counted_on": self.shelf.counted_on,
            "shortage_cost": self.shortage_cost,
            "service": service,
            "late": self.late,
            "forgotten": self.forgotten,
            "missing": self.shelf.missing,
            **self.late_comes.columns(),
            "cost_of_stock": costs.tolist(),
            "short_if_ordered": self.short_if_ordered.tolist(),
            "more_than_used": order > max(self.usable_in_shelf_life(), target),
        }

    def _most(self, fitted: int, failures: int) -> int:
        """As many pieces as money may keep.

        The last hundredth of the futures hangs on belief more than on any log: no more than 99 in
        100 of them need. With few failures still more hangs on belief, and a sum over all lives
        that may be true buys for the shortest: then no more than is expected, or one for each in
        use and at least two. A life that short shows before they are used up, and more can be
        ordered (common practice, no source).
        """
        most = stock_for_service(self.chances, _NEARLY_ALL)
        if failures + self.facts.belief_failures >= _ENOUGH_FAILURES:
            return most
        return min(most, self.at_once + max(fitted, 2, ceil(self.expected - self.at_once)))

    def usable_in_shelf_life(self) -> int:
        later = self.expected - self.at_once
        keeps = self.facts.shelf_life_days
        return self.at_once + usable_in_shelf_life(later, self.horizon, keeps)

    def _order(self, target: int, service: float | None) -> int:
        """Up to the level, and no fewer than ``_sooner``: what comes later is no cover until it is
        here.
        """
        covered = min(self.available, target - self._sooner(target, service))
        pack = self.facts.pack_size
        return pieces_to_order(target, covered, pack, self.usable_in_shelf_life())

    def _sooner(self, target: int, service: float | None) -> int:
        """So many pieces ordered today are worth having, whatever is on its way.

        The level accepts a chance of running short, and none asks for the last hundredth
        (``_most``). Where waiting for what comes later than an order of today costs more than that,
        what such an order can lower (``short_if_ordered`` down to its last) is brought within it,
        by as many pieces as cost least, missing and whole packs held; within what a ``service``
        level accepts in any case. That two deliveries are surer than one is no reason.
        """
        accepted = max(chance_of_shortage(self.chances, target), 1 - _NEARLY_ALL)
        if self.short_if_ordered[0] - self.short_if_no_later <= accepted:
            return 0
        most = min(target, len(self.short_if_ordered) - 1)
        mended = self.short_if_ordered[: most + 1] - self.short_if_ordered[-1]

        def within(chance: float) -> int:
            return min(int(np.argmax(np.append(mended <= chance + _ROUNDING, True))), most)

        enough = within(accepted)
        pack = max(1, self.facts.pack_size)
        bought = pack * np.ceil(np.arange(enough + 1) / pack)
        held = self.holding_per_day * self.horizon * bought
        worth = int(np.argmin(self.shortage_cost * mended[: enough + 1] + held))
        return worth if service is None else max(worth, within(1 - service))

    def _costs(self) -> Array:
        """Expected cost over the horizon of every stock 0, 1, …: missing, held, too old."""
        if self.horizon <= 0:
            return np.zeros(1)
        holding = self.holding_per_day * self.horizon
        return least_cost_stock(
            self.chances, self.shortage_cost, holding, short=self.short, wasted=self._wasted()
        ).costs

    def _wasted(self) -> Array:
        """Expected cost over the horizon of pieces that grow too old, for each stock."""
        keeps = self.facts.shelf_life_days
        pieces = np.arange(len(self.chances))
        later = StretchedNeed.of(self.chances, self.horizon, at_once=self.at_once)
        below = np.zeros(len(pieces))
        below[self.at_once :] = later.below(pieces[: len(pieces) - self.at_once], keeps)
        # The j-th piece is wasted when fewer than j are needed in its shelf life.
        unused = np.concatenate([[0.0], np.cumsum(below[1:])])
        return np.asarray(self.unit_cost * unused * self.horizon / keeps)


def held_back(row: Any) -> bool:
    """Would money keep more, were the failures not so few? ``row`` of ``stock_table``."""
    most = stock_for_service(np.asarray(row.chance_of_need), _NEARLY_ALL)
    return _cheapest(np.asarray(row.cost_of_stock), most) > int(row.stock_to_keep)


def _cheapest(costs: Array, most: int) -> int:
    """The stock of least cost among 0, 1, … ``most``."""
    return int(np.argmin(np.round(costs[: most + 1], 12)))


def usable_in_shelf_life(expected: float, horizon_days: float, shelf_life_days: float) -> int:
    """How many pieces will on average be used before they grow too old? At least one.

    ``expected`` is the need over the horizon.
    """
    if horizon_days <= 0:
        return max(1, ceil(expected))
    return max(1, ceil(expected / horizon_days * shelf_life_days))


def pieces_to_order(target: int, available: int, pack_size: int, usable: int) -> int:
    """How many pieces to order: whole packs up to the target, not more than can be used.

    ``usable`` is what is used before it grows too old; one pack is ordered in any case.

    >>> pieces_to_order(target=5, available=3, pack_size=4, usable=30)
    4
    """
    missing = target - available
    if missing <= 0:
        return 0
    pack = max(1, pack_size)
    room = max(usable, target) - available
    return pack * max(1, min(ceil(missing / pack), room // pack))
