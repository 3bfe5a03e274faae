"""What is needed of one type of part beside what is there and what comes, future by future.

In each future every need has its day, every order on its way its day of arrival, and the order that
could be placed today its delivery time: so a piece that comes too late for a need does not count
for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools
from tracker.decisions.ordering.lead_time import LeadTime
from tracker.forecast.futures import Futures

_SEED = 9
_DAY = np.timedelta64(1, "D")
_ONE_DELIVERY = ["days_open", "expected_on", "supplier"]


@dataclass(frozen=True, eq=False)
class DatedShelf:
    """``needs`` of the type, ``on_hand`` pieces, ``quantity`` and arrival ``day (orders, futures)``
    of what is on its way, and the delivery time of an order placed today (``delivery``, one per
    future).
    """

    needs: Futures
    on_hand: int
    quantity: Array
    day: Array
    delivery: Array

    @classmethod
    def of(
        cls,
        needs: Futures,
        on_hand: int,
        waiting: pd.DataFrame,
        lead: LeadTime,
        as_of: pd.Timestamp,
    ) -> DatedShelf:
        """``waiting``: rows of ``open_orders`` of the type; what one supplier was asked for on one
        day comes together, however many lines it was written in.
        """
        waiting = waiting.groupby(_ONE_DELIVERY, dropna=False, sort=False, as_index=False)[
            "quantity"
        ].sum()
        rng = np.random.default_rng(_SEED)
        share = (np.arange(needs.size) + 0.5) / needs.size
        promised = (waiting["expected_on"].to_numpy() - as_of.to_datetime64()) / _DAY
        arrivals = [
            lead.arrival_days(float(waited), rng.permutation(share), _or_none(days))
            for waited, days in zip(waiting["days_open"], promised, strict=True)
        ]
        return cls(
            needs,
            max(0, on_hand),
            waiting["quantity"].to_numpy(dtype=float),
            np.array(arrivals).reshape(len(waiting), needs.size),
            lead.quantile(rng.permutation(share)),
        )

    def running_short(self, until: float | Array) -> float:
        """The chance that something is needed by then (one day, or one per future) while nothing
        is there.
        """
        until = np.broadcast_to(np.asarray(until, dtype=float), self.needs.size)
        needs = self.needs.needs
        short = self._short & (needs.day <= until[needs.future])
        return int(np.bincount(needs.future[short]).astype(bool).sum()) / self.needs.size

    def before_arrival(self, horizon: float) -> float:
        """The same before the last of what is likely here within the horizon has come; NaN where
        nothing is.
        """
        coming = self._likely_days() <= horizon
        if not coming.any():
            return float("nan")
        return self.running_short(self.day[coming].max(axis=0))

    def last_arrival(self, horizon: float) -> float:
        """On which day the last of that is likely here; NaN where nothing is."""
        likely = [day for day in self._likely_days() if day <= horizon]
        return float(max(likely, default=np.nan))

    def _likely_days(self) -> Array:
        days: Array = np.median(self.day, axis=1)
        return days

    @cached_property
    def _short(self) -> Bools:
        """Which needs find nothing there."""
        needs = self.needs.needs
        there = np.full(len(needs.day), float(self.on_hand))
        for quantity, day in zip(self.quantity, self.day, strict=True):
            there += quantity * (day[needs.future] <= needs.day)
        short: Bools = self.needs.number() > there
        return short


def _or_none(days: float) -> float | None:
    return None if np.isnan(days) else float(days)
