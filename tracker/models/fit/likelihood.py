"""How likely are these lives under a life family? Lives become counts by age, once.

With right censoring and delayed entry the log-likelihood of any family separates exactly:

    Σₖ failures[k] · log h(k) + Σₖ (exits[k] − entries[k]) · log S(k)

so three histograms over age are sufficient, and a fit costs the same for a hundred lives and for
a hundred million. A failure found between two checks adds log(S(last_ok) − S(age)), one term per
distinct interval; written as log S(last_ok) + log(1 − S(age) / S(last_ok)), of which the first part
joins the histogram (and cancels against an entry at the same age).

Inside, a family is written as z = a + b · (log t − centre) with b = shape: for right-censored lives
the log-likelihood is then concave in (a, b) for all families here (Burridge 1981, J. R. Stat. Soc.
B 43:41), so Newton's method finds the one maximum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from tracker.arrays import Array, Bools
from tracker.models.fit.families import Family
from tracker.models.outcomes import Outcomes, cells

_MOST_CELLS = 4_000_000  # beyond that, one cell per row costs less than a histogram


class Point(NamedTuple):
    """The log-likelihood at (a, b), its slopes and its curvatures."""

    value: float
    by_a: float
    by_b: float
    by_aa: float
    by_ab: float
    by_bb: float


@dataclass(frozen=True, eq=False)
class LifeCounts:
    """What the likelihood needs to know of the lives: counts at distinct ages.

    ``age`` (k,) with ``failures`` seen exactly there and ``net_exits`` = lives last seen good there
    (or failed exactly there) minus lives whose watching began there; ``low, high, found`` (m,):
    lives last seen good at low and found failed at high.
    """

    age: Array
    failures: Array
    net_exits: Array
    low: Array
    high: Array
    found: Array
    lives: float
    last_seen_good: float  # the greatest age any life was known to reach
    first_failed_by: float  # the least age by which some life had failed (inf: none failed)

    @cached_property
    def exact(self) -> float:
        """Number of failures whose age is exact."""
        return float(self.failures.sum())

    @cached_property
    def events(self) -> float:
        """Number of failures, exact and found between checks."""
        return self.exact + float(self.found.sum())

    @cached_property
    def centre(self) -> float:
        """Mean log age of the failures: keeps a and b nearly independent of each other."""
        total = self.failures @ self.log_age + self.found @ np.log(self.high)
        return float(total / self.events) if self.events else 0.0

    @cached_property
    def log_age(self) -> Array:
        return np.log(self.age)

    @cached_property
    def powers(self) -> Array:
        """(3, k): 1, y, y² of the centred log ages y."""
        y = self.log_age - self.centre
        return np.stack([np.ones_like(y), y, y * y])

    @cached_property
    def _failed_cells(self) -> tuple[Array, Array]:
        rows = np.flatnonzero(self.failures)
        return self.failures[rows], np.ascontiguousarray(self.powers[:, rows])

    @cached_property
    def _linear(self) -> tuple[float, float, float]:
        """Σ failures · y, Σ failures · log age: all a linear log hazard needs."""
        sum_y = float(self.failures @ self.powers[1])
        sum_log = float(self.failures @ self.log_age)
        return self.exact, sum_y, sum_log

    @cached_property
    def interval_powers(self) -> tuple[Array, Array, Array]:
        from_birth = self.low <= 0.0
        low = np.log(np.where(from_birth, 1.0, self.low)) - self.centre
        high = np.log(self.high) - self.centre
        one = np.ones_like(low)
        return (
            np.stack([one, low, low * low]),
            np.stack([one, high, high * high]),
            np.where(from_birth, 0.0, 1.0),
        )

    def at(self, family: Family, a: float, b: float) -> Point:
        """The log-likelihood and its derivatives at z = a + b · (log t − centre)."""
        powers = self.powers
        exact, sum_y, sum_log = self._linear
        z = b * powers[1]
        z += a
        value = exact * math.log(b) - sum_log if exact else 0.0
        slopes = np.zeros(3)
        curves = np.zeros(3)
        if family.linear_log_hazard:
            # log h₀(z) = z: hazard, −log survival and their slopes are all exp(z).
            hazard = self.net_exits * np.exp(z)
            curves -= powers @ hazard
            slopes += curves
            value += float(curves[0]) + a * exact + b * sum_y
            slopes[0] += exact
            slopes[1] += sum_y
        else:
            terms = family.terms(z)
            pull = self.net_exits * terms.hazard
            slopes -= powers @ pull
            pull *= terms.slope
            curves -= powers @ pull
            value += float(self.net_exits @ terms.log_survival)
            if exact:
                failures, at_failures = self._failed_cells
                known = family.terms(a + b * at_failures[1])
                value += float(failures @ known.log_hazard)
                slopes += at_failures @ (failures * known.slope)
                curves += at_failures @ (failures * known.curvature)
        by_b, by_bb = float(slopes[1]), float(curves[2])
        if exact:
            by_b += exact / b
            by_bb -= exact / (b * b)
        point = Point(value, float(slopes[0]), by_b, float(curves[0]), float(curves[1]), by_bb)
        return self._with_intervals(family, a, b, point) if len(self.found) else point

    def _with_intervals(self, family: Family, a: float, b: float, point: Point) -> Point:
        """Adds log(1 − exp(−drop)): failing in (low, high], given good at low."""
        low, high, known = self.interval_powers
        before, after = family.terms(a + b * low[1]), family.terms(a + b * high[1])
        drop = before.log_survival * known - after.log_survival  # cumulative hazard of the interval
        # expm1, because a short interval holds a chance that 1 − exp would round to nothing.
        share = -np.expm1(-drop)
        odds = np.exp(-drop) / share
        pull_low, pull_high = before.hazard * known, after.hazard
        drop_a = pull_high - pull_low
        drop_b = pull_high * high[1] - pull_low * low[1]
        weight = self.found * odds
        curves = high @ (weight * pull_high * after.slope)
        curves -= low @ (weight * pull_low * before.slope)
        bend = weight * (1.0 + odds)
        return Point(
            point.value + float(self.found @ np.log(share)),
            point.by_a + float(weight @ drop_a),
            point.by_b + float(weight @ drop_b),
            point.by_aa + float(curves[0] - bend @ (drop_a * drop_a)),
            point.by_ab + float(curves[1] - bend @ (drop_a * drop_b)),
            point.by_bb + float(curves[2] - bend @ (drop_b * drop_b)),
        )


def count_lives(outcomes: Outcomes) -> LifeCounts:
    """Checked lives as counts at distinct ages.

    Whole or half days are counted by histogram; other ages keep one cell per row.

    >>> from tracker.models.outcomes import check_outcomes
    >>> count_lives(check_outcomes([3, 3, 5], [1, 1, 0], entry=[0, 1, 0])).net_exits
    array([-1.,  2.,  1.])
    """
    weight = None if bool((outcomes.weight == 1.0).all()) else outcomes.weight
    between = outcomes.interval
    seen, failed = outcomes.age, outcomes.failed
    low, high, found = np.empty((3, 0))
    if between.any():
        seen, failed = np.where(between, outcomes.last_ok, seen), failed & ~between
        low, high, found = _distinct_intervals(outcomes.take(between & (outcomes.weight > 0)))
    entry = outcomes.entry if outcomes.entry.any() else None
    age, failures, net_exits = _histogram(seen, failed, weight, entry) or _row_by_row(
        seen, failed, outcomes.weight, outcomes.entry
    )
    counted = seen if weight is None else seen[weight > 0]
    return LifeCounts(
        age,
        failures,
        net_exits,
        low,
        high,
        found,
        lives=float(len(outcomes)) if weight is None else float(weight.sum()),
        last_seen_good=_greatest(counted),
        first_failed_by=min(_least(age[failures > 0]), _least(high)),
    )


def log_likelihood_by_life(outcomes: Outcomes, family: Family, shape: float, scale: float) -> Array:
    """Each life's own log-likelihood (rows of ``outcomes``, not multiplied by its weight)."""

    def log_survival(age: Array) -> Array:
        out = np.zeros(len(age))
        old = age > 0
        out[old] = family.log_survival(shape * np.log(age[old] / scale))
        return out

    at_exit = log_survival(outcomes.age)
    result = at_exit - log_survival(outcomes.entry)
    exact = outcomes.failed & ~outcomes.interval
    ages = outcomes.age[exact]
    result[exact] += np.log(shape / ages) + family.log_hazard(shape * np.log(ages / scale))
    between = outcomes.interval
    at_check = log_survival(outcomes.last_ok[between])
    drop = at_check - at_exit[between]
    result[between] += drop + np.log(-np.expm1(-drop))
    return result


def _histogram(
    seen: Array,
    failed: Bools,
    weight: Array | None,
    entry: Array | None,
) -> tuple[Array, Array, Array] | None:
    """(age, failures, net exits) counted on whole or half days; None where ages are neither."""
    top = _greatest(seen)
    for step in (1.0, 0.5):
        size = int(top / step) + 1
        if size > min(_MOST_CELLS, 50 * len(seen) + 20_000):
            return None
        cell = cells(seen, step)
        begins = None if entry is None else cells(entry, step)
        if cell is None or (entry is not None and begins is None):
            continue
        # Pairs (age, failed) as one code: a single histogram counts both.
        cell *= 2
        cell += failed
        ends = np.bincount(cell, weight, minlength=2 * size).reshape(size, 2)
        net: Array = ends.sum(axis=1, dtype=np.float64)
        if begins is not None:
            net -= np.bincount(begins, weight, minlength=size)
        net[0] = 0.0
        kept = np.flatnonzero((net != 0.0) | (ends[:, 1] != 0))
        failures: Array = ends[kept, 1].astype(np.float64)
        ages: Array = kept.astype(np.float64) * step
        return ages, failures, net[kept]
    return None


def _row_by_row(
    seen: Array,
    failed: Bools,
    weight: Array,
    entry: Array,
) -> tuple[Array, Array, Array]:
    """(age, failures, net exits), one cell per row and one per delayed entry."""
    watched = (seen > entry) & (weight > 0)
    ends, failures, exits = seen[watched], failed[watched] * weight[watched], weight[watched]
    late = watched & (entry > 0)
    if not late.any():
        return ends, failures, exits
    begins = entry[late]
    return (
        np.concatenate([ends, begins]),
        np.concatenate([failures, np.zeros(len(begins))]),
        np.concatenate([exits, -weight[late]]),
    )


def _distinct_intervals(found: Outcomes) -> tuple[Array, Array, Array]:
    pairs, which = np.unique(
        np.stack([found.last_ok, found.age], axis=1), axis=0, return_inverse=True
    )
    total = np.bincount(which.ravel(), found.weight, minlength=len(pairs))
    return pairs[:, 0].copy(), pairs[:, 1].copy(), total.astype(np.float64)


def _greatest(values: Array) -> float:
    return float(values.max()) if len(values) else 0.0


def _least(values: Array) -> float:
    return float(values.min()) if len(values) else math.inf
