"""What is needed of one type of part beside what is there and what comes, future by future.

In each future every need has its day, every order on its way its day of arrival, and the order that
could be placed today its delivery time: so a piece that comes too late for a need does not count
for it. What lies there leaves on its best-before day, as far as it was not used; what comes is
taken to keep. An order comes in as many of the futures as it is likely to come at all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.decisions.ordering.deliveries.never_comes import NOT_ASKED, Chance
from tracker.decisions.ordering.deliveries.own_orders import by_order
from tracker.decisions.ordering.lead_time import LeadTime
from tracker.forecast.futures import Futures
from tracker.workshop.shelf import OnHand

_SEED = 9
_DAY = np.timedelta64(1, "D")


@dataclass(frozen=True, eq=False)
class DatedShelf:
    """``needs`` of the type, ``on_hand`` pieces, ``quantity`` and arrival ``day (orders, futures)``
    of what is on its way, infinite where it never comes, and in how many days an order placed today
    is here (``delivery``, one per future). ``expiring``: of those on hand so many pieces are good
    up to that day, (day, pieces), the first to expire first; the others keep. ``late_comes``: how
    likely the least likely of the orders that are late still comes.
    """

    needs: Futures
    on_hand: int
    quantity: Array
    day: Array
    delivery: Array
    expiring: tuple[tuple[float, int], ...] = ()
    late_comes: Chance = NOT_ASKED

    @classmethod
    def of(
        cls,
        needs: Futures,
        hand: OnHand,
        waiting: pd.DataFrame,
        lead: LeadTime,
        as_of: pd.Timestamp,
    ) -> DatedShelf:
        """``waiting``: rows of ``open_orders`` of the type; an order comes at once, however many
        lines it was written in.
        """
        pieces = waiting["quantity"].fillna(0.0).to_numpy(dtype=float)
        order = by_order(waiting).ngroup().to_numpy(dtype=np.intp)
        orders = waiting.iloc[np.unique(order, return_index=True)[1]]
        rng = np.random.default_rng(_SEED)
        share = (np.arange(needs.size) + 0.5) / needs.size
        promised = (orders["expected_on"].to_numpy() - as_of.to_datetime64()) / _DAY
        arrivals = [
            lead.sent_by(supplier).here_or_never(waited, rng.permutation(share), _or_none(days))
            for supplier, waited, days in zip(
                orders["supplier"], orders["days_open"].astype(float), promised, strict=True
            )
        ]
        return cls(
            needs,
            hand.usable,
            np.bincount(order, weights=pieces).astype(float),
            np.array(arrivals).reshape(len(orders), needs.size),
            lead.here(0.0, lead.quantile(rng.permutation(share))),
            tuple(((day - as_of.date()).days - 1.0, pieces) for day, pieces in hand.keeps),
            _least_likely(orders[orders["days_late"] > 0]),
        )

    def lasting(self, until: float) -> int:
        """How many of the pieces on hand will by that day likely have been used or still be
        good?
        """
        lost = [own for day, own in self._too_old if day < until]
        return self.on_hand - int(np.median(lost[-1])) if lost else self.on_hand

    def running_short(self, until: float | Array) -> float:
        """The chance that something is needed by then (one day, or one per future) while nothing
        is there.
        """
        return float(np.mean(self._most_lacking(until, self._lacking) > 0))

    def running_short_with(self, until: float | Array, most: int) -> Array:
        """[n] = the same with n pieces more ordered today, 0 to ``most``: what is missing before
        these are here no number of them mends.
        """
        needs = self.needs.needs
        too_early = (self._lacking > 0) & (needs.day < self.delivery[needs.future])
        worst = self._most_lacking(until, np.where(too_early, np.inf, self._lacking))
        enough = np.searchsorted(np.sort(worst), np.arange(most + 1), side="right")
        return np.asarray((len(worst) - enough) / len(worst))

    def _most_lacking(self, until: float | Array, lacking: Array) -> Array:
        """So many pieces are too few at the worst need by then: (futures,), 0 where none is."""
        until = np.broadcast_to(np.asarray(until, dtype=float), self.needs.size)
        needs = self.needs.needs
        by_then = needs.day <= until[needs.future]
        worst = np.zeros(self.needs.size)
        np.maximum.at(worst, needs.future[by_then], lacking[by_then])
        return worst

    def short_if_no_later(self, until: float | Array) -> float:
        """The chance of running short, were what is likely here later than an order of today
        ordered only today as well.
        """
        later = self.likely_days > np.median(self.delivery)
        day = np.where(later[:, None], self.delivery, self.day)
        return replace(self, day=day).running_short(until)

    def before_arrival(self, horizon: float) -> float:
        """The same before the last of what is likely here within the horizon has come; NaN where
        nothing is. What never comes is waited for until an order of today is here.
        """
        coming = self.likely_days <= horizon
        if not coming.any():
            return float("nan")
        day = self.day[coming]
        return self.running_short(np.where(np.isinf(day), self.delivery, day).max(axis=0))

    def last_arrival(self, horizon: float) -> float:
        """On which day the last of that is likely here; NaN where nothing is."""
        likely = [day for day in self.likely_days if day <= horizon]
        return float(max(likely, default=np.nan))

    @cached_property
    def likely_days(self) -> Array:
        """On which day each delivery is here as likely as not: (orders,)."""
        days: Array = np.median(self.day, axis=1)
        return days

    def pieces_that_come(self, orders: Bools) -> tuple[Ints, Array]:
        """How many more or fewer come of these orders than of those of them that are likely to, and
        how likely each number is.
        """
        come = self.quantity[orders] @ np.isfinite(self.day[orders])
        likely = self.quantity[orders & np.isfinite(self.likely_days)].sum()
        more, count = np.unique((come - likely).astype(np.int64), return_counts=True)
        return more, count / self.needs.size

    @cached_property
    def _lacking(self) -> Array:
        """How many pieces are too few for each need; not above 0: it finds one there."""
        needs = self.needs.needs
        lacking: Array = np.asarray(self.needs.number() - float(self.on_hand), dtype=float)
        for quantity, day in zip(self.quantity, self.day, strict=True):
            lacking -= quantity * (day[needs.future] <= needs.day)
        before = np.zeros(self.needs.size)
        for last_day, lost in self._too_old:
            lacking += (lost - before)[needs.future] * (needs.day > last_day)
            before = lost
        return lacking

    @cached_property
    def _too_old(self) -> list[tuple[float, Array]]:
        """After which days how many of the pieces on hand have grown too old unused: (futures,).

        Those that expire first are used first: by the end of its day a lot has lost what it and
        those before it held beyond all that was needed, and no less than those before it lost.
        """
        found, pieces, lost = [], 0, np.zeros(self.needs.size)
        for day, number in self.expiring:
            if day < self.needs.horizon:
                pieces += number
                lost = np.maximum(lost, pieces - self.needs.counts(day))
                found.append((day, lost))
        return found


def _least_likely(late: pd.DataFrame) -> Chance:
    if late.empty:
        return NOT_ASKED
    least = late.loc[late["comes"].idxmin()]
    return Chance(*(float(least[name]) for name in ("comes", "comes_low", "comes_high")))


def _or_none(days: float) -> float | None:
    return None if np.isnan(days) else float(days)
