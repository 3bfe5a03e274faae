"""Slope and curvature of the log posterior: how each parameter pulls, and how sure it is.

The core (rates, departures, drift, season, effects, shapes and the smaller of the two blocks of
levels) is dense; the larger block of levels is diagonal given the core, so thousands of units
cost one Schur complement.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.cells import Pieces
from tracker.models.life_model.whole.history import tally
from tracker.models.life_model.whole.likelihood import Likelihood, Spreads, Table


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
    mode. ``extra``: what the observed curvature adds to it before the events are taken off.
    """

    mean: Array
    first: Array
    second: Array
    extra: Array

    @classmethod
    def of(cls, pieces: Pieces, level: Array, shape: Array) -> _Moments:
        here = shape[pieces.group]
        high, low = here * pieces.high, here * pieces.low
        rate = np.exp(level) * pieces.weight
        top, bottom = np.exp(high) * rate, np.exp(low) * rate
        mean = top - bottom
        high_first, low_first = top * high, bottom * low
        first = high_first - low_first
        second = mean + high_first * high - low_first * low
        return cls(mean, first, second, first - mean)


class Bender:
    """Slope and curvature of one likelihood; keeps the places of its sums between steps."""

    def __init__(self, likelihood: Likelihood) -> None:
        self.model = likelihood
        parts = [likelihood.cells.exposure, likelihood.cells.intervals]
        self.group, self.stratum, self.unit, self.lot = (
            np.concatenate([getattr(part, name) for part in parts])
            for name in ("group", "stratum", "unit", "lot")
        )
        layout = likelihood.layout
        self.larger, self.smaller = (
            ("unit", "lot") if layout.units >= layout.lots else ("lot", "unit")
        )

    def with_likelihood(self, likelihood: Likelihood) -> Bender:
        """The same places for other weights of the same cells."""
        self.model = likelihood
        return self

    @cached_property
    def level_strata(self) -> dict[str, _Pairs]:
        """Sums by unit and stratum, and by lot and stratum."""
        strata = len(self.model.cells.stratum_group)
        size = {"unit": self.model.layout.units, "lot": self.model.layout.lots}
        code = {"unit": self.unit, "lot": self.lot}
        return {name: _Pairs.of(code[name], self.stratum, (size[name], strata)) for name in size}

    @cached_property
    def levels(self) -> _Pairs:
        """Sums by the larger block's level and the smaller's."""
        layout = self.model.layout
        both = {"unit": (self.unit, layout.units), "lot": (self.lot, layout.lots)}
        (row, rows), (column, columns) = both[self.larger], both[self.smaller]
        return _Pairs.of(row, column, (rows, columns))

    def slope_and_curvature(
        self, x: Array, spreads: Spreads, *, observed: bool = False
    ) -> tuple[Array, Curvature]:
        """The gradient, and the expected information or, asked so, the observed one as far as it
        is positive.
        """
        model, layout = self.model, self.model.layout
        cells, part = model.cells, layout.slices
        shape = model.shape(x)
        stratum_level = model.design @ x[layout.linear]
        level = model.level(x, cells.exposure, stratum_level)
        moments = _Moments.of(cells.exposure, level, shape)
        weights: tuple[Array, ...] = (moments.mean, moments.first, moments.second)
        slopes: tuple[Array, ...] = (-moments.mean, -moments.first)
        beyond = np.zeros(0)
        if len(cells.intervals):
            level = model.level(x, cells.intervals, stratum_level)
            bent, gained, beyond = _interval_terms(cells.intervals, level, shape)
            weights = tuple(np.concatenate(pair) for pair in zip(weights, bent, strict=True))
            slopes = tuple(np.concatenate(pair) for pair in zip(slopes, gained, strict=True))
        count, log_age = model.event_sums
        slope = model.event_slope.copy()
        strata = len(cells.stratum_group)
        slope[layout.linear] += model.design.T @ tally(self.stratum, slopes[0], strata)
        for name in ("unit", "lot"):
            slope[part[name]] += self._per_level(name, slopes[0])
        by_group = tally(self.group, slopes[1], len(count)) + count + shape * log_age
        slope[layout.shapes] += model.shape_design.T @ by_group
        worth, rate = model.groups[0], np.exp(model.believed_rate(x))
        slope[part["rate"]] += worth * (1 - rate)
        slope[part["drift"]] += model.quarter_share * (worth * (1 - rate)).sum()
        diagonal, band = model.prior_precision(spreads)
        slope -= diagonal * x
        drift = np.arange(part["drift"].start, part["drift"].stop)
        slope[drift[:-1]] -= band * x[drift[1:]]
        slope[drift[1:]] -= band * x[drift[:-1]]
        diagonal[part["rate"]] = worth * rate

        second = tally(self.group, weights[2], len(count))
        if observed:
            extra = tally(cells.exposure.group, moments.extra, len(count)) - shape * log_age
            extra += tally(cells.intervals.group, beyond, len(count))
            second = np.maximum(second + extra, 0.5 * second)
        curvature = self._assembled(weights, np.maximum(second, 0.0), diagonal)
        curvature.core[drift[:-1], drift[1:]] += band
        curvature.core[drift[1:], drift[:-1]] += band
        believed = np.outer(worth * rate, model.quarter_share)
        curvature.core[part["rate"], part["drift"]] += believed
        curvature.core[part["drift"], part["rate"]] += believed.T
        curvature.core[part["drift"], part["drift"]] += np.outer(
            model.quarter_share, believed.sum(0)
        )
        return slope, curvature

    def _per_level(self, name: str, values: Array) -> Array:
        """Sums by unit or lot; lot −1, none, is counted in front and left out."""
        code = self.unit if name == "unit" else self.lot
        size = self.model.layout.units if name == "unit" else self.model.layout.lots
        return tally(code + 1, values, size + 1)[1:]

    def _assembled(self, weights: tuple[Array, ...], second: Array, diagonal: Array) -> Curvature:
        model, layout = self.model, self.model.layout
        part = layout.slices
        strata = len(model.cells.stratum_group)
        shape_of: Table = model.shape_design[model.cells.stratum_group]
        if sparse.issparse(model.design):
            shape_of = sparse.csr_matrix(shape_of)
        mean = tally(self.stratum, weights[0], strata)
        first = tally(self.stratum, weights[1], strata)
        linear, fixed = layout.linear, layout.shapes.stop
        shapes = slice(linear.stop, fixed)
        joined = slice(fixed, fixed + part[self.smaller].stop - part[self.smaller].start)
        core = np.zeros((joined.stop, joined.stop))
        core[linear, linear] = _product(model.design, mean, model.design)
        core[linear, shapes] = _product(model.design, first, shape_of)
        core[shapes, shapes] = _product(model.shape_design, second, model.shape_design)
        core[:fixed, joined] = self._with_core(self.smaller, weights, shape_of).T
        core[shapes, linear] = core[linear, shapes].T
        core[joined, :fixed] = core[:fixed, joined].T
        core[joined, joined] = np.diag(self._per_level(self.smaller, weights[0]))
        core_at = np.concatenate(
            (np.arange(fixed), np.arange(part[self.smaller].start, part[self.smaller].stop))
        )
        core[np.diag_indices(len(core))] += diagonal[core_at]
        larger_at = np.arange(part[self.larger].start, part[self.larger].stop)
        kept = self._per_level(self.larger, weights[0]) + diagonal[larger_at]
        cross = np.concatenate(
            (
                self._with_core(self.larger, weights, shape_of),
                self.levels.sums(weights[0]).toarray(),
            ),
            axis=1,
        )
        return Curvature(core, kept, cross, core_at, larger_at)

    def _with_core(self, name: str, weights: tuple[Array, ...], shape_of: Table) -> Array:
        """The block of a level's information with the linear parameters and the shapes."""
        pairs = self.level_strata[name]
        linear = _filled(pairs.sums(weights[0]) @ self.model.design)
        shapes = _filled(pairs.sums(weights[1]) @ shape_of)
        return np.concatenate((linear, shapes), axis=1)


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Where each piece falls in a sparse table; rows of −1 fall nowhere."""

    at: Ints
    columns: Ints
    row_ends: Ints
    shape: tuple[int, int]
    kept: Ints | None

    @classmethod
    def of(cls, row: Ints, column: Ints, shape: tuple[int, int]) -> _Pairs:
        kept = None
        if len(row) and min(row.min(), column.min()) < 0:
            kept = np.nonzero((row >= 0) & (column >= 0))[0]
            row, column = row[kept], column[kept]
        code, at = np.unique(row * max(shape[1], 1) + column, return_inverse=True)
        rows = code // max(shape[1], 1)
        ends = np.searchsorted(rows, np.arange(shape[0] + 1))
        return cls(at, code % max(shape[1], 1), ends, shape, kept)

    def sums(self, values: Array) -> sparse.csr_matrix:
        values = values if self.kept is None else values[self.kept]
        data = tally(self.at, values, len(self.columns))
        return sparse.csr_matrix((data, self.columns, self.row_ends), shape=self.shape)


def _product(left: Table, weight: Array, right: Table) -> Array:
    if not sparse.issparse(left):
        return np.asarray(left.T @ (weight[:, None] * right), dtype=float)
    return _filled(left.T @ sparse.diags(weight) @ right)


def _filled(table: Table) -> Array:
    return np.asarray(table if isinstance(table, np.ndarray) else table.toarray(), dtype=float)


def _interval_terms(
    intervals: Pieces, level: Array, shape: Array
) -> tuple[tuple[Array, ...], tuple[Array, ...], Array]:
    """Of log(1 − e^−x): what it adds to the three moments, its slopes in η and log shape, and
    what its observed curvature adds to the expected one.
    """
    moments = _Moments.of(intervals, level, shape)
    weight = intervals.weight
    mean = np.maximum(moments.mean, 1e-300)
    gained = np.clip(mean / np.maximum(weight, 1e-300), 1e-10, 500.0)
    first, second = moments.first / mean, moments.second / mean
    slope = gained / np.expm1(gained)  # x·f′
    # −(x·f′ + x²·f″), never negative; for small x by its series, as the two terms nearly cancel.
    full = slope * (gained / -np.expm1(-gained) - 1)
    bend = weight * np.where(gained < 1e-3, gained / 2 - gained**2 / 6, full)
    spread = np.maximum(second - first**2, 0)
    extra = -weight * slope * (first - 1 + spread)
    return (bend, bend * first, bend * first**2), (weight * slope, weight * slope * first), extra
