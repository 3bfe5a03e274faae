"""How often should a task be done so that work and failures together cost least?

Costs are taken at a fixed set of intervals for every draw of the posterior; between two of them
they run straight in the logarithm of the interval.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.yearly_counts import YearlyCounts

DEFAULT_INTERVALS = (
    1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 17, 21, 25, 30, 37, 45, 60, 75, 90, 120, 180,
)  # fmt: skip


@dataclass(frozen=True)
class LeastCost:
    """The interval whose expected cost is least, and how sure that is.

    ``curve``: every_days, cost, p10, p90, failures_per_year (per printer and year; expected cost,
    its 80 % band, expected failures).
    ``lower_days`` … ``upper_days``: four in five draws have their least cost there. ``at_edge``
    tells that the least cost lies at the end of what was tried.
    """

    every_days: float
    lower_days: float
    upper_days: float
    at_edge: bool
    curve: pd.DataFrame


@dataclass(frozen=True)
class BreakEven:
    """Which intervals more likely than not cost less than a given one.

    All from ``from_days`` to ``to_days`` do; the end that is not ``instead_of_days`` is the
    break-even interval, which four in five draws put between ``lower_days`` and ``upper_days``.
    ``none`` is True where no interval tried is cheaper, ``open`` where the cheaper ones reach to
    the end of what was tried, so that no break-even was found.
    """

    instead_of_days: float
    from_days: float
    to_days: float
    lower_days: float
    upper_days: float
    none: bool
    open: bool

    @property
    def every_days(self) -> float:
        """The break-even interval; NaN where there is none."""
        if self.none or self.open:
            return float("nan")
        return self.to_days if self.from_days == self.instead_of_days else self.from_days


@dataclass(frozen=True, eq=False)
class CostsByInterval:
    """Failures and actions per printer and year at every interval: rows intervals, columns draws.

    Computed once; what a failure or an action costs can be put in afterwards.
    """

    yearly: YearlyCounts
    every_days: Array
    failures: Array
    actions: Array

    @classmethod
    def of(
        cls, yearly: YearlyCounts, intervals: tuple[float, ...] = DEFAULT_INTERVALS
    ) -> CostsByInterval:
        """At these intervals, in rising order."""
        every = np.unique(np.asarray(intervals, dtype=np.float64))
        return cls(
            yearly,
            every,
            np.array([yearly.failures_per_year(float(between)) for between in every]),
            np.array([yearly.actions_per_year(float(between)) for between in every]),
        )

    def costs(self, failure_cost: float, task_cost: float) -> Array:
        """Cost per printer and year; (intervals, draws)."""
        costs: Array = failure_cost * self.failures + task_cost * self.actions[:, None]
        return costs

    def least_cost(self, failure_cost: float, task_cost: float) -> LeastCost:
        """The interval of least expected cost; four draws in five have theirs in its band."""
        costs = self.costs(failure_cost, task_cost)
        return least_cost(self.yearly.draws, self.every_days, costs, self.failures)

    def break_even(
        self, instead_of_days: float, failure_cost: float, task_cost: float
    ) -> BreakEven:
        """Which intervals cost less than ``instead_of_days``, and where does that end?"""
        draws = self.yearly.draws
        costs = self.costs(failure_cost, task_cost)
        given = failure_cost * self.yearly.failures_per_year(instead_of_days)
        given = given + task_cost * self.yearly.actions_per_year(instead_of_days)
        excess = np.array([draws.middle(row - given) for row in costs])
        start = float(np.log(instead_of_days))
        at = np.log(self.every_days)
        walks = {}
        for direction in (-1, 1):
            beyond = (at - start) * direction > 1e-9
            order = np.flatnonzero(beyond)[::direction]
            walks[direction] = (at[order], order)
        steps, order = min(walks.values(), key=lambda walk: excess[walk[1]].min(initial=np.inf))
        if not len(order) or excess[order].min() >= 0:
            nan = float("nan")
            return BreakEven(instead_of_days, nan, nan, nan, nan, none=True, open=False)
        ends = _crossing(steps, costs[order] - given, start)
        end, is_open = _first_crossing(steps, excess[order], start)
        lower, upper = weighted_ends(np.exp(ends), draws.weights)
        found = float(np.exp(end))
        low, high = sorted((instead_of_days, found))
        return BreakEven(instead_of_days, low, high, lower, upper, none=False, open=is_open)


def least_cost(draws: WeightedDraws, every_days: Array, costs: Array, failures: Array) -> LeastCost:
    """Where is the expected cost least? ``costs`` and ``failures``: (intervals, draws) of a printer
    and year; four draws in five have their least cost in the band.

    Expected, as stock and orders are decided and the whole routine is: what may cost very much is
    the dearer for it, and costs of several kinds add up.
    """
    cost = costs @ draws.weights
    best = int(cost.argmin())
    lower, upper = weighted_ends(every_days[costs.argmin(axis=0)], draws.weights)
    bands = np.array([draws.quantiles(row, (0.1, 0.9)) for row in costs])
    curve = pd.DataFrame(
        {
            "every_days": every_days,
            "cost": cost,
            "p10": bands[:, 0],
            "p90": bands[:, 1],
            "failures_per_year": [draws.mean(row) for row in failures],
        }
    )
    at_edge = best in (0, len(cost) - 1)
    return LeastCost(float(every_days[best]), lower, upper, at_edge, curve)


def _first_crossing(at: Array, excess: Array, start: float) -> tuple[float, bool]:
    """Where the cheaper stretch that holds the least cost ends, walking away from ``start``."""
    end = _crossing(at, excess[:, None], start)[0]
    return float(end), bool(end == at[-1] and excess[-1] < 0)


def _crossing(at: Array, excess: Array, start: float) -> Array:
    """Per column: the place beyond its last point below 0 where it comes back to 0.

    ``at`` walks away from ``start``. A column never below 0 ends at ``start``, one still below 0
    at the end of what was tried ends there.
    """
    below = excess < 0
    last = len(at) - 1 - np.argmax(below[::-1], axis=0)
    column = np.arange(excess.shape[1])
    following = np.minimum(last + 1, len(at) - 1)
    low, high = excess[last, column], excess[following, column]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(following > last, low / (low - high), 0.0)
    ends: Array = at[last] + share * (at[following] - at[last])
    return np.where(below.any(axis=0), ends, start)


def weighted_ends(values: Array, weights: Array) -> tuple[float, float]:
    """The 10 % and 90 % points of weighted values, each one of the values."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    at = np.minimum(np.searchsorted(reached, np.array([0.1, 0.9])), len(order) - 1)
    return float(values[order[at[0]]]), float(values[order[at[1]]])
