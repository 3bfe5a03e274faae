"""What failures and work may really cost: possible amounts about the counted ones.

A counted cost is a best guess, and taken for what is expected: each of its terms varies lognormally
with its amount for mean, so that expected amounts add up to the counted ones, and the wider the
less is known of it; what an hour of work or of standing costs is one unknown, shared by everything
that is counted in hours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import log

import numpy as np

from tracker.arrays import Array
from tracker.decisions.cost_terms import CostTerm, FailureCost, Source, TermName
from tracker.decisions.routine.cost import TaskCost
from tracker.models.normal import NORMAL_90
from tracker.workshop.records import Records

# By which factor a figure is off at one standard deviation, at the least, by where it comes from:
# common practice, no source. A term whose own 80 % range is wider keeps that.
FACTOR_BY_SOURCE: Mapping[Source, float] = {
    "log": 1.1,
    "own order": 1.1,
    "catalogue": 1.15,
    "setting": 1.15,
    "guess": 1.5,
}
# A mean of three amounts may have a range that reaches below nothing: no lognormal is like that.
_WIDEST = log(2.0)
_WORK: tuple[TermName, ...] = ("work", "recovery", "symptom_work")
_STANDING: tuple[TermName, ...] = ("downtime", "waiting")


@dataclass(frozen=True, eq=False)
class CostDraws:
    """Possible costs, one per draw: ``work_rate`` and ``standing_rate`` are how many times what the
    settings say an hour of work, or of standing, costs.
    """

    work_rate: Array
    standing_rate: Array
    rng: np.random.Generator = field(repr=False)

    @classmethod
    def of(cls, known: Records, number: int, rng: np.random.Generator) -> CostDraws:
        """So many possible costs in this workshop."""

        def rate(name: str) -> Array:
            factor = FACTOR_BY_SOURCE["setting" if known.is_set(name) else "guess"]
            return _off_by(log(factor), rng.standard_normal(number))

        return cls(rate("labour_per_hour"), rate("margin_per_hour"), rng)

    def of_failure(self, cost: FailureCost) -> Array:
        """One failure's cost, per draw. Terms that rest on one figure are off together."""
        total, off = np.zeros(len(self.work_rate)), dict[object, Array]()
        for term in cost.terms:
            rests_on = term.edited_in or term.name
            if rests_on not in off:
                off[rests_on] = self._normal()
            amount = term.amount * _off_by(log_spread(term), off[rests_on])
            if term.name in _WORK:
                amount = amount * self.work_rate
            elif term.name in _STANDING:
                amount = amount * self.standing_rate
            total += amount
        return total

    def of_task(self, cost: TaskCost) -> Array:
        """What doing the task once costs, per draw."""
        wide = log(FACTOR_BY_SOURCE["log" if cost.is_logged else "guess"])
        own = _off_by(wide, self._normal())
        return np.asarray(own * (cost.work * self.work_rate + cost.fluid))

    def _normal(self) -> Array:
        return self.rng.standard_normal(len(self.work_rate))


def _off_by(wide: float, normal: Array) -> Array:
    """How many times a counted amount each draw is, 1 on average; ``wide``: spread of its log."""
    times = np.exp(wide * normal)
    return np.asarray(times / times.mean())


def log_spread(term: CostTerm) -> float:
    """Standard deviation of the log of a term's amount: by its own range, at least by its source.

    >>> from math import exp
    >>> stated = CostTerm("part", 9.0, 9.0, 9.0, "catalogue")
    >>> guessed = CostTerm("work", 12.0, 6.0, 24.0, "guess")
    >>> round(exp(log_spread(stated)), 2), round(exp(log_spread(guessed)), 2)
    (1.15, 1.72)
    """
    least = log(FACTOR_BY_SOURCE[term.source])
    if term.amount <= 0 or term.high <= term.amount:
        return least
    return min(max(least, log(term.high / term.amount) / NORMAL_90), _WIDEST)
