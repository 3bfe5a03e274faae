"""The posterior of a group that borrows from others: a weighted mixture of gamma rates.

Each entry is one value of the log shape and of what ties the groups together; given both, the
group's rate is Gamma(worth, exposure). The same questions are answered as by ``GammaRates``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.nodes import LifeNodes
from tracker.models.life_model.quadrature import (
    gamma_density,
    gamma_quantiles,
    inverse_trigamma,
    rate_rule,
    trigamma,
)
from tracker.models.life_model.rates import AveragedRates, few_nodes, gain

_QUANTILES = 8  # equally likely points that stand for one gamma where intervals are read
_LONG = 24  # points of the Gauss rule that stands for one gamma where shorter rules are built


@dataclass(frozen=True, eq=False)
class MixedRates(AveragedRates):
    """Arrays of one length: ``column`` (row of ``log_shape``), ``weight``, ``worth, exposure``.

    Weights sum to 1; ages are divided by ``unit``.
    """

    log_shape: Array
    column: Ints
    weight: Array
    worth: Array
    exposure: Array
    unit: float

    @property
    def _share(self) -> Array:
        return self.weight

    def _exponent(self, t: Array, age: Array) -> Array:
        """Log of (1 + (t^shape − age^shape) / exposure)^−worth."""
        gained = gain(t / self.unit, age / self.unit, np.exp(self.log_shape))
        return -self.worth[:, None] * np.log1p(gained[self.column] / self.exposure[:, None])

    @cached_property
    def column_weight(self) -> Array:
        """The weight of each log shape."""
        return np.bincount(self.column, self.weight, minlength=len(self.log_shape)).astype(float)

    @cached_property
    def rate_information(self) -> float:
        """How many failures' worth of evidence there is about the rate, given the shape.

        A gamma rate worth k failures has a log with variance ψ′(k). Here the log rate's variance
        within a column is the mean of the entries' ψ′ and the spread of their means.
        """
        worths, which = np.unique(self.worth, return_inverse=True)
        inner = np.array([trigamma(worth) for worth in worths])[which]
        middle = np.log(self.worth / self.exposure) - 0.5 / self.worth
        per_column = np.maximum(self.column_weight, 1e-300)
        means = np.bincount(self.column, self.weight * middle, len(per_column)) / per_column
        outer = (middle - means[self.column]) ** 2
        return inverse_trigamma(float(self.weight @ (inner + outer)))

    def log_rate_quantiles(self, column: Ints, u: Array) -> Array:
        """The log rate below which it lies with chance u in a column, one by one."""
        share, place = self._sorted
        inside = np.searchsorted(share, [2.0 * column, 2.0 * column + 1])
        low, high = share[np.minimum(inside[0], len(share) - 1)], share[inside[1] - 1]
        return np.interp(np.clip(u + 2.0 * column, low, np.maximum(low, high)), share, place)

    @cached_property
    def _sorted(self) -> tuple[Array, Array]:
        """Shares of the mass of each column below its log rates, and these, columns end to end.

        The shares of column k lie between 2·k and 2·k + 1. Every entry is laid out as equally
        likely points; a column without entries has none and is never asked.
        """
        worths, which = np.unique(self.worth, return_inverse=True)
        u = (np.arange(_QUANTILES) + 0.5) / _QUANTILES
        place = gamma_quantiles(worths, u)[which] - np.log(self.exposure)[:, None]
        place, column = place.ravel(), np.repeat(self.column, _QUANTILES)
        order = np.lexsort((place, column))
        place, column = place[order], column[order]
        mass = np.repeat(self.weight, _QUANTILES)[order] / _QUANTILES
        before = np.concatenate(([0.0], np.cumsum(self.column_weight)))[column]
        within = (np.cumsum(mass) - 0.5 * mass - before) / self.column_weight[column]
        return np.clip(within, 1e-12, 1 - 1e-12) + 2.0 * column, place

    def nodes(self, n_shape: int, n_rate: int) -> LifeNodes:
        """The same as weighted points: ``n_shape`` shapes with ``n_rate`` rates each."""
        if n_rate not in self._rules:
            self._rules[n_rate] = self._rule(n_rate)
        log_rate, weight = self._rules[n_rate]
        inner = np.unique(self.column)
        return few_nodes(
            self.log_shape[inner], self.column_weight[inner], log_rate, weight, n_shape, self.unit
        )

    @cached_property
    def _rules(self) -> dict[int, tuple[Array, Array]]:
        return {}

    @cached_property
    def _laid_out(self) -> tuple[Array, Array]:
        """The log rates of each column that has entries and their mass: (columns, points) each.

        Entries share few values of ``worth``: each is laid out once, as a long Gauss rule. A
        column with fewer entries than another is filled up with points of no mass.
        """
        worths, which = np.unique(self.worth, return_inverse=True)
        fine = [gamma_density(worth, 600) for worth in worths]
        log_rate, share = rate_rule(
            np.stack([y for y, _ in fine]), np.stack([m for _, m in fine]), _LONG
        )
        order = np.argsort(self.column, kind="stable")
        inner, first, row, entries = np.unique(
            self.column[order], return_index=True, return_inverse=True, return_counts=True
        )
        rank = np.arange(len(order)) - first[row]
        place = np.zeros((len(inner), entries.max(), _LONG))
        mass = np.zeros_like(place)
        place[row, rank] = log_rate[which[order]] - np.log(self.exposure[order])[:, None]
        mass[row, rank] = share[which[order]] * self.weight[order, None]
        place, mass = place.reshape(len(inner), -1), mass.reshape(len(inner), -1)
        return place, mass / mass.sum(axis=1, keepdims=True)

    def _rule(self, n_rate: int) -> tuple[Array, Array]:
        """Log rates and weights of the Gauss rule of every column: (columns, n_rate) each."""
        return rate_rule(*self._laid_out, n_rate)
