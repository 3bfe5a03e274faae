"""Slope and curvature of the log posterior: how each parameter pulls, and how sure it is.

The core (rates, departures, drift, season, effects, shapes and the smaller of the two blocks of
levels) is dense; the larger block of levels is diagonal given the core, so thousands of units
cost one Schur complement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.models.life_model.whole.cells import Cells, Pieces
from tracker.models.life_model.whole.history import tally
from tracker.models.life_model.whole.likelihood import Likelihood, Spreads, log_failing

_AT_ONCE = 25_000  # pieces worked on together: few enough to stay in the cache


@dataclass(frozen=True, eq=False)
class Curvature:
    """The information matrix in three parts: ``core`` dense, ``diagonal`` of the larger block of
    levels, ``cross (diagonal, core)``; ``core_at, diagonal_at`` place them in the vector.
    """

    core: Array
    diagonal: Array
    cross: Array
    core_at: Ints
    diagonal_at: Ints


@dataclass(frozen=True, eq=False)
class _Moments:
    """Expected failures of each piece, and their first and second moments in the log shape.

    By ∫(1 + log y)² dy = y·(1 + log² y): the expected information, positive also far from the
    mode.
    """

    mean: Array
    first: Array
    second: Array

    @classmethod
    def of(cls, pieces: Pieces, level: Array, shape: Array) -> _Moments:
        """``level`` and ``shape`` are those of each piece."""
        high, low = shape * pieces.high, shape * pieces.low
        rate = np.exp(level) * pieces.weight
        top, bottom = np.exp(high) * rate, np.exp(low) * rate
        mean = top - bottom
        top *= high
        bottom *= low
        first = top - bottom
        top *= high
        bottom *= low
        return cls(mean, first, mean + top - bottom)


@dataclass(frozen=True, eq=False)
class _Walk:
    """Pieces of exposure of one group end to end, the age at which one ends and the next begins
    told once: few enough to stay in the cache.

    Logs of ages at ``edge``; of each stretch between two of them the ``stratum``, counted from the
    ``first`` of all, and the ``weight``, 0 of those that lie between no piece's ends.
    """

    group: int
    edge: Array
    first: int
    strata: int
    stratum: Ints
    weight: Array

    @classmethod
    def through(cls, cells: Cells) -> tuple[_Walk, ...]:
        """Through all pieces in their order, one walk after the other."""
        pieces = cells.exposure
        group = cells.strata.group[pieces.stratum]
        turns = np.append(np.flatnonzero(np.diff(group, prepend=-1)), len(pieces))
        follows = pieces.low[1:] == pieces.high[:-1]
        return tuple(
            cls._along(pieces.take(slice(low, high)), int(group[low]), ~follows[low : high - 1])
            for begin, end in pairwise(turns.tolist())
            for low in range(begin, end, _AT_ONCE)
            for high in (min(low + _AT_ONCE, end),)
        )

    @classmethod
    def _along(cls, pieces: Pieces, group: int, apart: Bools) -> _Walk:
        """``apart``: behind which pieces the next one begins at another age."""
        begins = np.append(True, apart)
        end = np.arange(len(pieces)) + np.cumsum(begins)
        size, first = int(end[-1]), int(pieces.stratum.min())
        edge, weight = np.empty(size + 1), np.zeros(size)
        edge[end], edge[end[begins] - 1] = pieces.high, pieces.low[begins]
        stratum = np.empty(size, dtype=np.int64)
        stratum[end - 1] = own = pieces.stratum - first
        # What lies between two pieces counts nowhere, and stands where the next one does.
        stratum[end[begins][1:] - 2] = own[begins][1:]
        weight[end - 1] = pieces.weight
        return cls(group, edge, first, int(pieces.stratum.max()) - first + 1, stratum, weight)


def _walked(walks: tuple[_Walk, ...], pace: Array, shape: Array) -> tuple[Array, Array, Array]:
    """By stratum the failures expected and their first moment in the log shape, and by group the
    sum of their second ones (see ``_Moments``); ``pace``: e^η by stratum.
    """
    means, firsts = np.zeros(len(pace)), np.zeros(len(pace))
    second = np.zeros(len(shape))
    for walk in walks:
        own = slice(walk.first, walk.first + walk.strata)
        power = shape[walk.group] * walk.edge
        gained = np.exp(power)
        rate = pace[own][walk.stratum]
        rate *= walk.weight
        mean = np.diff(gained)
        mean *= rate
        means[own] += tally(walk.stratum, mean, walk.strata)
        gained *= power
        first = np.diff(gained)
        first *= rate
        firsts[own] += tally(walk.stratum, first, walk.strata)
        gained *= power
        second[walk.group] += mean.sum() + np.diff(gained) @ rate
    return means, firsts, second


@dataclass(frozen=True, eq=False)
class _Look:
    """What one pass over all pieces tells at the point ``x``: the log likelihood's ``value`` but
    for the exact failures; by stratum the failures ``expected`` (but in long intervals) and their
    moments in the log shape, how the value falls with η and with the log shape (``fall``), and the
    weights ``bent`` of its expected curvature (η twice, η and shape); per group the last one's
    (shape twice), and the ``extra`` that long intervals add to the observed one.
    """

    x: Array
    expected: tuple[Array, Array]
    value: float
    fall: tuple[Array, Array]
    bent: tuple[Array, Array]
    second: Array
    extra: Array

    @classmethod
    def of(cls, model: Likelihood, walks: tuple[_Walk, ...], x: Array) -> _Look:
        cells, strata = model.cells, model.cells.strata
        level, shape = model.design.level(x, slice(None)), model.shape(x)
        size, groups = len(strata), len(shape)
        stratum = cells.intervals.stratum
        level_within = level[stratum]
        means, firsts, second = _walked(walks, np.exp(level, out=level), shape)
        both, value = (means, firsts), -float(means.sum())
        if not len(cells.intervals):
            return cls(x, both, value, both, both, second, np.zeros(groups))
        group = strata.group[stratum]
        found = _interval_terms(cells.intervals, level_within, shape[group])

        def summed(values: Array) -> Array:
            return tally(stratum, values, size)

        return cls(
            x,
            both,
            found.value + value,
            (means - summed(found.slope[0]), firsts - summed(found.slope[1])),
            (summed(found.bent[0]) + means, summed(found.bent[1]) + firsts),
            second + tally(group, found.bent[2], groups),
            tally(group, found.extra, groups),
        )


class Bender:
    """Value, slope and curvature of one likelihood; one pass over its pieces serves all three."""

    def __init__(self, likelihood: Likelihood) -> None:
        self.model, self._walks = likelihood, _Walk.through(likelihood.cells)
        self._last: _Look | None = None
        self._bent: tuple[_Look, Curvature] | None = None
        layout = likelihood.layout
        self.larger, self.smaller = (
            ("unit", "lot") if layout.units >= layout.lots else ("lot", "unit")
        )

    def with_likelihood(self, likelihood: Likelihood) -> None:
        """The same places for other weights of the same cells."""
        self.model, self._walks = likelihood, _Walk.through(likelihood.cells)
        self._last = self._bent = None

    def _look(self, x: Array) -> _Look:
        if self._last is None or self._last.x is not x:
            with np.errstate(over="ignore", invalid="ignore"):
                self._last = _Look.of(self.model, self._walks, x)
        return self._last

    def value(self, x: Array, spreads: Spreads) -> float:
        """The log posterior at one point, up to a constant that no spread moves."""
        model, look = self.model, self._look(x)
        value = look.value + model.event_value(x) + model.log_prior(x, spreads)
        return float(value) if np.isfinite(value) else -np.inf

    def expected(self, x: Array) -> Array:
        """The failures expected of each stratum, those in long intervals left out."""
        return self._look(x).expected[0]

    def slope(self, x: Array, spreads: Spreads) -> Array:
        """The gradient."""
        model, layout, look = self.model, self.model.layout, self._look(x)
        part, design = layout.slices, model.design
        count, log_age = model.event_sums
        slope = model.event_slope - design.sums(look.fall[0])
        by_group = count + model.shape(x) * log_age
        by_group -= design.sums_by_group(look.fall[1])
        slope[layout.shapes] += design.shape.T @ by_group
        worth, rate = model.groups[0], np.exp(model.believed_rate(x))
        slope[part["rate"]] += worth * (1 - rate)
        slope[part["drift"]] += model.quarter_share * (worth * (1 - rate)).sum()
        diagonal, band = model.prior_precision(spreads)
        slope -= diagonal * x
        drift = np.arange(part["drift"].start, part["drift"].stop)
        slope[drift[:-1]] -= band * x[drift[1:]]
        slope[drift[1:]] -= band * x[drift[:-1]]
        return slope

    def curvature(self, x: Array, spreads: Spreads, *, observed: bool = False) -> Curvature:
        """The expected information or, asked so, the observed one as far as it is positive."""
        model, layout, look = self.model, self.model.layout, self._look(x)
        part, linear = layout.slices, layout.linear
        diagonal, band = model.prior_precision(spreads)
        worth, rate = model.groups[0], np.exp(model.believed_rate(x))
        diagonal[part["rate"]] = worth * rate
        second = look.second
        if observed:
            mean, first = look.expected
            bent = model.design.sums_by_group(first - mean) + look.extra
            bent -= model.shape(x) * model.event_sums[1]
            second = np.maximum(second + bent, 0.5 * second)
        told = self._told(look)
        core, shapes = told.core.copy(), slice(linear.stop, layout.shapes.stop)
        by_shape = model.design.shape
        core[shapes, shapes] = (by_shape.T * np.maximum(second, 0.0)) @ by_shape
        core[np.diag_indices(len(core))] += diagonal[told.core_at]
        drift = np.arange(part["drift"].start, part["drift"].stop)
        core[drift[:-1], drift[1:]] += band
        core[drift[1:], drift[:-1]] += band
        believed = np.outer(worth * rate, model.quarter_share)
        core[part["rate"], part["drift"]] += believed
        core[part["drift"], part["rate"]] += believed.T
        core[part["drift"], part["drift"]] += np.outer(model.quarter_share, believed.sum(0))
        return replace(told, core=core, diagonal=told.diagonal + diagonal[told.diagonal_at])

    def _told(self, look: _Look) -> Curvature:
        """What all pieces tell, shapes twice and the prior left out: once for each look."""
        if self._bent is None or self._bent[0] is not look:
            self._bent = look, self._assembled(look.bent)
        return self._bent[1]

    def _assembled(self, weights: tuple[Array, Array]) -> Curvature:
        design, layout = self.model.design, self.model.layout
        part, (mean, first) = layout.slices, weights
        linear, fixed = layout.linear, layout.shapes.stop
        shapes = slice(linear.stop, fixed)
        joined = slice(fixed, fixed + part[self.smaller].stop - part[self.smaller].start)
        core = np.zeros((joined.stop, joined.stop))
        exposed = design.exposed(mean, first)
        mean, first = design.of_runs(mean), design.of_runs(first)
        core[linear, linear], core[linear, shapes] = design.products(mean, first, exposed)
        core[joined, :fixed] = design.products_by(self.smaller, mean, first, exposed)
        core[shapes, linear] = core[linear, shapes].T
        core[:fixed, joined] = core[joined, :fixed].T
        core[joined, joined] = np.diag(design.sums_by(self.smaller, mean))
        core_at = np.concatenate(
            (np.arange(fixed), np.arange(part[self.smaller].start, part[self.smaller].stop))
        )
        larger_at = np.arange(part[self.larger].start, part[self.larger].stop)
        kept = design.sums_by(self.larger, mean)
        cross = np.concatenate(
            (
                design.products_by(self.larger, mean, first, exposed),
                design.sums_by_both(self.larger, self.smaller, mean),
            ),
            axis=1,
        )
        return Curvature(core, kept, cross, core_at, larger_at)


@dataclass(frozen=True, eq=False)
class _Intervals:
    """Of log(1 − e^−x): its ``value``; per interval its slopes in η and log shape, what it adds to
    the three moments (``bent``), and what its observed curvature adds to the expected one.
    """

    value: float
    slope: tuple[Array, Array]
    bent: tuple[Array, Array, Array]
    extra: Array


def _interval_terms(intervals: Pieces, level: Array, shape: Array) -> _Intervals:
    moments = _Moments.of(intervals, level, shape)
    weight = intervals.weight
    mean = np.maximum(moments.mean, 1e-300)
    gathered = moments.mean / np.maximum(weight, 1e-300)
    gained = np.clip(gathered, 1e-10, 500.0)
    first, second = moments.first / mean, moments.second / mean
    slope = gained / np.expm1(gained)  # x·f′
    # −(x·f′ + x²·f″), never negative; for small x by its series, as the two terms nearly cancel.
    full = slope * (gained / -np.expm1(-gained) - 1)
    bend = weight * np.where(gained < 1e-3, gained / 2 - gained**2 / 6, full)
    spread = np.maximum(second - first**2, 0)
    extra = -weight * slope * (first - 1 + spread)
    return _Intervals(
        float(weight @ log_failing(gathered)),
        (weight * slope, weight * slope * first),
        (bend, bend * first, bend * first**2),
        extra,
    )
