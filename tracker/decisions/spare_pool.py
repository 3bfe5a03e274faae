"""The spares that the positions of one costly type share, and by when to order each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools
from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.ordering.lead_time import LeadTime
from tracker.decisions.ordering.order_curve import (
    WAITING_DAYS,
    OrderCosts,
    OrderCurve,
    curve_of_need_today,
    curves_of_failures,
)
from tracker.forecast.futures import Futures

_AT_ONCE = 32  # spares worked on together
COSTS_ALIKE = 0.01  # of a piece's price: days that cost no more than this beyond another's


@dataclass(frozen=True, eq=False)
class Pool:
    """The positions of one costly type, fitted or empty, and the spares they share.

    ``needs`` that nobody planned in the futures played, looked at on the days ``times``; ``shelf``:
    all needs, as the stock counts them, beside what is there and comes, which is looked at for
    ``horizon`` days (delivery and review). ``risk_limit`` brings orders forward; without one
    ``usual_risk`` is only told.
    """

    times: Array
    lead: LeadTime
    costs: OrderCosts
    needs: Futures
    shelf: DatedShelf
    max_days: int
    risk_limit: float | None = None
    usual_risk: float = 0.05
    horizon: float = np.inf

    @property
    def spares(self) -> int:
        """Pieces likely to come and on the shelf, but for what soon grows too old unused."""
        likely = np.isfinite(self.shelf.likely_days)
        return self.shelf.lasting(self.horizon) + int(self.shelf.quantity[likely].sum())

    def rows(self, parts: pd.DataFrame, as_of: date) -> list[dict[str, object]]:
        """One row per part, and per empty position that no spare is there or coming for, in the
        order in which they should be ordered for.
        """
        arrival = self._until_arrival(as_of)
        empty = parts["empty_since"].notna().to_numpy()
        longest_empty = np.argsort(parts["empty_since"].to_numpy(), kind="stable")[: empty.sum()]
        own = ["part_kind", "variant", "printer", "position", "empty_since", "failures"]
        own += ["days_p50", "median_if_guess_halved", "median_if_guess_doubled"]
        listed = parts[own].to_dict(orient="records")
        ages = parts["age"].to_numpy(dtype=float)
        advices = self._advices(as_of)
        advice: dict[str, object] = {}
        rows: list[dict[str, object]] = []
        soonest = np.argsort(-parts["soon"].to_numpy(dtype=float), kind="stable")
        for i in (*longest_empty[self._in_time :], *soonest[~empty[soonest]]):
            # The next spare serves the next failure, whichever part it is; it is named after the
            # part most at risk. Where even that one is not worth a date, none after it is.
            if not advice or advice["order_by"] is not None:
                advice = next(advices)
            facts = {**listed[i], "age_days": float(ages[i])}
            facts |= {"fitted": int((~empty).sum()), "waiting": int(empty.sum())}
            rows.append({**facts, **self._facts(as_of), **arrival, **advice})
        return rows

    @cached_property
    def _in_time(self) -> int:
        """Pieces there, or likely here before one ordered today would be even if it came late."""
        soon = self.shelf.likely_days <= self.lead.late_now
        return self.shelf.on_hand + int(self.shelf.quantity[soon].sum())

    def _advices(self, as_of: date) -> Iterator[dict[str, object]]:
        """When to order the next spare and each after it.

        What is on its way serves the failures before, for a new order would come later still; but
        what was promised for so late a day that a new order is here sooner serves those after it.
        """
        late = self.shelf.likely_days > self.lead.late_now
        every = np.ones(len(late), dtype=bool)
        comes = float(self.shelf.likely_days[late].min(initial=np.inf))
        soon = self._curves(self._in_time + 1, ~late) if late.any() else ()
        for number, curve in enumerate(soon):
            day = self._day(curve)
            if day is None or self.lead.here(day, self.lead.late_days) >= comes:
                break
            yield self._advice(curve, as_of) | {"ordered_before": number}
        else:
            number = 0
        for ordered, curve in enumerate(self._curves(self.spares + number + 1, every), number):
            yield self._advice(curve, as_of) | {"ordered_before": ordered}

    def order_within(self, spare: int) -> int | None:
        """Within how many days from today should the so-manyth spare (from 1 on, those there and
        coming among them) be ordered? None: later than ``max_days``.

        The n-th spare serves the n-th failure, whatever lies on the shelf.
        """
        return self._day(
            next(self._curves(spare, np.zeros(len(self.shelf.day), dtype=bool), at_once=1))
        )

    def _curves(
        self, spare: int, orders: Bools, *, at_once: int = _AT_ONCE
    ) -> Iterator[OrderCurve]:
        """What ordering the so-manyth spare and each after it costs, day by day; ``orders``: those
        on their way that are counted among the spares before it, which may come or not.
        """
        more, chance = self.shelf.pieces_that_come(orders)
        while spare <= self.needs.at_once:
            yield curve_of_need_today(self.lead, self.costs, self.max_days)
            spare += 1
        while True:
            spares = np.arange(spare, spare + at_once) + more[:, None]
            failed = np.tensordot(chance, self.needs.at_least(spares, self.times), axes=1)
            costs, most = self.costs, self.max_days
            yield from curves_of_failures(self.times, failed, self.lead, costs, most)
            spare += at_once

    def _day(self, curve: OrderCurve) -> int | None:
        """The cheapest day, or that of the risk limit where it is earlier."""
        cheapest = curve.cheapest_day
        if not self.risk_limit:
            return cheapest
        within = curve.order_by(self.risk_limit)
        if within is not None and within >= self.max_days:
            return cheapest
        return min(within or 0, self.max_days if cheapest is None else cheapest)

    def _facts(self, as_of: date) -> dict[str, object]:
        """What holds of every part of the pool."""
        return {
            "as_of": as_of,
            "spares": self.spares,
            "risk_limit": np.nan if self.risk_limit is None else self.risk_limit,
            "unit_cost": self.costs.unit_cost,
            "lead_days": self.lead.usual_now,
            "lead_days_late": self.lead.late_now,
            "later_here_days": float(self.lead.here(WAITING_DAYS)),
        }

    def _until_arrival(self, as_of: date) -> dict[str, object]:
        """How likely one is needed before those on their way are here, and when the last is."""
        last = self.shelf.last_arrival(self.horizon)
        return {
            "risk_before_arrival": self.shelf.before_arrival(self.horizon),
            "coming_on": None if np.isnan(last) else as_of + timedelta(days=round(last)),
            **self.shelf.late_comes.columns(),
        }

    def _advice(self, curve: OrderCurve, as_of: date) -> dict[str, object]:
        """What the next spare's curve says."""
        cheapest = curve.cheapest_day
        within = curve.order_by(self.risk_limit or self.usual_risk)
        day = self._day(curve)

        def on(days: int | None) -> date | None:
            return None if days is None else as_of + timedelta(days=days)

        return {
            "order_by": on(day),
            "risk_if_ordered_now": curve.risk_if_ordered_now,
            "risk_if_waiting_30_days": curve.risk_if_waiting_30_days,
            "risk_limit_by": on(within),
            "cheapest_on": on(cheapest),
            "dated_by_risk": bool(
                self.risk_limit and day is not None and (cheapest is None or day < cheapest)
            ),
            "curve": list(enumerate(np.round(curve.cost, 2).tolist())),
            **_beside_that_day(curve.cost, day),
            **self._costs_alike(curve, day, as_of),
        }

    def _costs_alike(self, curve: OrderCurve, day: int | None, as_of: date) -> dict[str, object]:
        """The days about the advised one on which ordering costs hardly more, and by how much it
        may; none is later than the risk limit allows. Another draw of the luck moves a date within
        them.
        """
        most = COSTS_ALIKE * self.costs.unit_cost
        names = ("costs_alike_from", "costs_alike_until", "costs_alike_within")
        if day is None:
            return dict(zip(names, (None, None, np.nan), strict=True))
        dear = np.flatnonzero(curve.cost > curve.cost[day] + most)
        first = int(dear[dear < day].max(initial=-1)) + 1
        last = int(dear[dear > day].min(initial=len(curve.cost))) - 1
        if curve.cheapest_day != day:
            last = day
        days = [as_of + timedelta(days=each) for each in (first, last)]
        return dict(zip(names, (*days, most), strict=True))


def _beside_that_day(costs: Array, day: int | None) -> dict[str, Any]:
    """What another day of ordering costs more: today, and WAITING_DAYS (or fewer) later."""
    if day is None:
        return {"now_costs_more": np.nan, "later_costs_more": np.nan, "later_days": np.nan}
    wait = min(WAITING_DAYS, len(costs) - 1 - day)
    return {
        "now_costs_more": float(costs[0] - costs[day]),
        "later_costs_more": float(costs[day + wait] - costs[day]),
        "later_days": wait,
    }
