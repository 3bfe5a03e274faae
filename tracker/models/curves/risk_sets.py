"""Who was being watched at each age, and who failed there: the counts behind every life curve.

A life watched over (entry, age] is at risk at t when entry < t ≤ age: one that enters at t is
not yet at risk there, one that leaves at t still is. Entry 0 means watched from the very
beginning, so a life that ended at age 0 was at risk there. On whole or half days the counts are
histograms and sums from the right; other ages are sorted first. Both give the same numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.language import _
from tracker.models.outcomes import Outcomes, cells

Counts = npt.NDArray[Any]  # whole numbers, or floats where lives are weighted
_MOST_CELLS = 4_000_000  # a histogram wider than this costs more than sorting


@dataclass(frozen=True, eq=False)
class RiskTable:
    """Counts at each distinct age at which watching of some life ended, in rising order."""

    age: Array
    at_risk: Array
    failures: Array

    @property
    def collapse_ages(self) -> Array:
        """Ages at which every life then watched failed although others were watched later."""
        emptied = (self.failures > 0) & (self.failures >= self.at_risk)
        emptied[-1:] = False
        return self.age[emptied]


def risk_table(lives: Outcomes) -> RiskTable:
    """How many lives were at risk, and how many failed, at each age where watching ended?

    Weights count as lives. Ages without a life left to watch (weight 0) are left out.
    """
    if len(lives):
        for step in (1.0, 0.5):
            age, entry = cells(lives.age, step), cells(lives.entry, step)
            if age is not None and entry is not None and age.max() < _MOST_CELLS:
                return _by_histogram(lives, age, entry, step)
    return _by_sorting(lives)


def number_at_risk(lives: Outcomes, ages: Array) -> Array:
    """How many lives were watched at each of these ages: entry < t ≤ age, weights counted."""
    still_there = _weight_from(lives.age, lives.weight, ages)
    return still_there - _entered_from(lives, ages)


def given_alive_at(lives: Outcomes, start_age: float) -> Outcomes:
    """The same lives seen from ``start_age`` on: those that got past it, watched from there.

    Raises ModelError when ``start_age`` is negative.
    """
    if not start_age >= 0:
        raise ModelError(
            _("start_age is {start_age}: it must be an age of 0 or more.", start_age=start_age)
        )
    if start_age == 0:
        return lives
    kept = lives.take(lives.age > start_age)
    entry = np.maximum(kept.entry, start_age)
    return Outcomes(kept.age, kept.failed, entry, kept.last_ok, kept.weight)


def _by_histogram(lives: Outcomes, age: Ints, entry: Ints, step: float) -> RiskTable:
    weight = lives.weight if lives.is_weighted else None
    size = int(age.max()) + 1
    # One histogram of pairs (age, failed) is cheaper than picking out the failures first; the
    # cells are ours alone, so they are turned into pairs where they lie.
    age *= 2
    age += lives.failed
    pairs = np.bincount(age, weight, 2 * size).reshape(size, 2)
    failures = pairs[:, 1]
    exits = pairs[:, 0] + failures
    at_risk = exits[::-1].cumsum()[::-1]
    if lives.has_entry:
        entries = np.bincount(entry, weight, size)
        entries[0] = 0  # watched from the beginning: at risk at every age up to the exit
        at_risk = at_risk - entries[::-1].cumsum()[::-1]
    kept = np.flatnonzero(exits)
    return _table(kept * step, at_risk[kept], failures[kept])


def _by_sorting(lives: Outcomes) -> RiskTable:
    lives = lives.take(lives.weight > 0)
    if not len(lives):
        return _table(lives.age, lives.age, lives.age)
    order = np.argsort(lives.age)
    age, weight = lives.age[order], lives.weight[order]
    first = np.flatnonzero(np.append(True, age[1:] != age[:-1]))
    exits = np.add.reduceat(weight, first)
    failures = np.add.reduceat(weight * lives.failed[order], first)
    at_risk = exits[::-1].cumsum()[::-1]
    if lives.has_entry:
        at_risk = at_risk - _entered_from(lives, age[first])
    return _table(age[first], at_risk, failures)


def _table(age: Counts, at_risk: Counts, failures: Counts) -> RiskTable:
    # Sums of fractional weights round; a failure is always of a life that was at risk.
    deaths = failures.astype(np.float64)
    return RiskTable(age.astype(np.float64), np.maximum(at_risk, deaths), deaths)


def _entered_from(lives: Outcomes, ages: Array) -> Array:
    late = lives.entry > 0
    return _weight_from(lives.entry[late], lives.weight[late], ages)


def _weight_from(values: Array, weight: Array, ages: Array) -> Array:
    """The weight of all values that are at least each age."""
    if not len(values):
        return np.zeros(len(ages))
    if (weight == 1).all():
        return (len(values) - np.searchsorted(np.sort(values), ages, side="left")).astype(float)
    order = np.argsort(values)
    tail = np.append(weight[order][::-1].cumsum()[::-1], 0.0)
    return tail[np.searchsorted(values[order], ages, side="left")]
