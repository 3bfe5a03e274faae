"""The joint posterior of shape and rate of a Weibull life, held as columns of one shape each.

A life has cumulative hazard rate · (age / unit)^shape. Each column is one value of the log shape
with its weight; within a column the rate is either gamma-distributed (``GammaRates``, exact
failures: everything in closed form) or lies on points (``GridRates``, any likelihood). The
columns are evenly spaced in the log shape, so sums over them are trapezoid integrals of a smooth
density that vanishes at both ends: accurate far beyond the number of columns (Trefethen and
Weideman, 2014, SIAM Review 56:385).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.nodes import LifeNodes, powers
from tracker.models.life_model.quadrature import (
    between,
    gamma_density,
    gamma_quantiles,
    gauss_rule,
    inverse_trigamma,
    quantiles,
    rate_rule,
    row_quantiles,
)

_SMALL = 1e-9  # share of the weight below which a node is not worth carrying
_FINE = 400  # points on which a gamma density is laid out for rules and quantiles


class AveragedRates(ABC):
    """What every mixture of lives answers alike: an average over terms, each with its share."""

    @property
    @abstractmethod
    def _share(self) -> Array:
        """The weight of each term, (terms,), summing to 1."""

    @abstractmethod
    def _exponent(self, t: Array, age: Array) -> Array:
        """Log of the chance of reaching t from age in each term: (terms, ages)."""

    def log_survival(self, t: Array, age: Array) -> Array:
        """Log of the average chance of reaching each t from each age."""
        return log_mean_exp(self._share, self._exponent(t, age))

    def failure_chance(self, t: Array, age: Array) -> Array:
        """One minus the survival, without cancellation where it is small."""
        return -(self._share @ np.expm1(self._exponent(t, age)))


@dataclass(frozen=True, eq=False)
class GammaRates(AveragedRates):
    """Given each log shape, the rate is Gamma(worth, exposure): mean worth / exposure.

    ``log_shape, weight, exposure (n,)``, ``worth`` a number; ages are divided by ``unit``.
    """

    log_shape: Array
    weight: Array
    worth: float
    exposure: Array
    unit: float

    @property
    def _share(self) -> Array:
        return self.weight

    def _exponent(self, t: Array, age: Array) -> Array:
        """Log of (1 + (t^shape − age^shape) / exposure)^−worth."""
        gained = gain(t / self.unit, age / self.unit, np.exp(self.log_shape))
        return -self.worth * np.log1p(gained / self.exposure[:, None])

    @property
    def column_weight(self) -> Array:
        """The weight of each log shape."""
        return self.weight

    @property
    def rate_information(self) -> float:
        """How many failures' worth of evidence there is about the rate, given the shape."""
        return self.worth

    def log_rate_quantiles(self, column: Ints, u: Array) -> Array:
        """The log rate below which it lies with chance u in a column, one by one."""
        return gamma_quantiles(np.array([self.worth]), u)[0] - np.log(self.exposure[column])

    def nodes(self, n_shape: int, n_rate: int) -> LifeNodes:
        """The same as weighted points: ``n_shape`` shapes with ``n_rate`` rates each."""
        y, mass = gamma_density(self.worth, _FINE)
        log_rate, weight = rate_rule(y[None, :], mass[None, :], n_rate)
        by_column = log_rate - np.log(self.exposure)[:, None]
        return few_nodes(
            self.log_shape,
            self.weight,
            by_column,
            np.repeat(weight, len(by_column), 0),
            n_shape,
            self.unit,
        )


@dataclass(frozen=True, eq=False)
class GridRates(AveragedRates):
    """Given each log shape, the rate lies on points: ``log_rate (n, m)``, ``weight (n, m)``."""

    log_shape: Array
    weight: Array
    log_rate: Array
    unit: float

    @cached_property
    def _flat(self) -> tuple[Array, Ints, Array]:
        """Weight, column and rate of the nodes worth carrying."""
        keep = self.weight > _SMALL * self.weight.sum()
        column = np.nonzero(keep)[0]
        weight = self.weight[keep]
        return weight / weight.sum(), column, np.exp(self.log_rate[keep])

    @property
    def _share(self) -> Array:
        return self._flat[0]

    def _exponent(self, t: Array, age: Array) -> Array:
        """−rate · (t^shape − age^shape): hazards, never a ratio."""
        _, column, rate = self._flat
        gained = gain(t / self.unit, age / self.unit, np.exp(self.log_shape))
        return -rate[:, None] * gained[column]

    @property
    def column_weight(self) -> Array:
        """The weight of each log shape."""
        return self.weight.sum(axis=1)

    @cached_property
    def rate_information(self) -> float:
        """How many failures' worth of evidence there is about the rate, given the shape.

        A gamma rate worth k failures has a log with variance ψ′(k); this turns it round.
        """
        column = self.weight.sum(axis=1)
        share = self.weight / np.where(column > 0, column, 1)[:, None]
        mean = (share * self.log_rate).sum(axis=1)
        spread = (share * (self.log_rate - mean[:, None]) ** 2).sum(axis=1)
        return inverse_trigamma(float(column @ spread / column.sum()))

    def log_rate_quantiles(self, column: Ints, u: Array) -> Array:
        """The log rate below which it lies with chance u in a column, one by one."""
        return row_quantiles(self.log_rate, self.weight, column, u)

    def nodes(self, n_shape: int, n_rate: int) -> LifeNodes:
        """The same as weighted points: ``n_shape`` shapes with ``n_rate`` rates each."""
        column = self.weight.sum(axis=1)
        rows = column > 1e-12 * column.sum()
        mass = np.where(rows[:, None], self.weight, self.weight[column.argmax()])
        log_rate, weight = rate_rule(
            np.where(rows[:, None], self.log_rate, self.log_rate[column.argmax()]),
            mass / mass.sum(axis=1, keepdims=True),
            n_rate,
        )
        return few_nodes(self.log_shape, column, log_rate, weight, n_shape, self.unit)


class Rates(Protocol):
    """What every way of holding the posterior of shape and rate answers."""

    @property
    def log_shape(self) -> Array: ...

    @property
    def unit(self) -> float: ...

    @property
    def column_weight(self) -> Array: ...

    @property
    def rate_information(self) -> float: ...

    def log_survival(self, t: Array, age: Array) -> Array: ...

    def failure_chance(self, t: Array, age: Array) -> Array: ...

    def log_rate_quantiles(self, column: Ints, u: Array) -> Array: ...

    def nodes(self, n_shape: int, n_rate: int) -> LifeNodes: ...


def log_mean_exp(weight: Array, exponent: Array) -> Array:
    """log Σ weight · exp(exponent) down the rows, also where every term underflows."""
    top = exponent.max(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        total = np.log(weight @ np.exp(exponent - top)) + top
    return np.where(np.isneginf(top), -np.inf, total)


def gain(t: Array, age: Array, shape: Array) -> Array:
    """t^shape − age^shape, 0 where t ≤ age: (shapes, ages)."""
    reached = powers(t, shape)
    if not age.any():
        return reached
    with np.errstate(invalid="ignore"):
        difference: Array = np.maximum(reached - powers(age, shape), 0)
    if not np.isfinite(reached[-1]).all():
        # An age beyond all numbers: everything has failed by then.
        difference[np.isnan(difference)] = np.inf
    return difference


def points(rates: Rates, u: Array) -> tuple[Array, Array]:
    """Equally likely (log shape, log rate) pairs for points ``u (size, 2)`` of the unit square."""
    column = rates.column_weight
    if len(column) == 1:
        only = np.zeros(len(u), dtype=np.intp)
        return np.full(len(u), rates.log_shape[0]), rates.log_rate_quantiles(only, u[:, 1])
    inner = np.nonzero(column > _SMALL * column.sum())[0]
    first, last = int(inner[0]), int(inner[-1])
    place = quantiles(np.arange(len(column), dtype=float), column, u[:, 0])
    place = np.clip(place, first, last)
    left = np.clip(place.astype(int), first, max(last - 1, first))
    right = np.minimum(left + 1, last)
    part = place - left
    low, high = (rates.log_rate_quantiles(rows, u[:, 1]) for rows in (left, right))
    log_shape = rates.log_shape[left] * (1 - part) + rates.log_shape[right] * part
    return log_shape, low * (1 - part) + high * part


def few_nodes(
    log_shape: Array,
    column: Array,
    log_rate: Array,
    weight: Array,
    n_shape: int,
    unit: float,
) -> LifeNodes:
    """Nodes at few shapes, from rates and their weights in every column: (columns, n_rate)."""
    share = column / column.sum()
    inner = np.nonzero(share > 1e-9)[0]
    inner = np.arange(inner[0], inner[-1] + 1)
    place = np.arange(len(inner), dtype=float)
    size = min(n_shape, len(inner))
    picked, shares = gauss_rule(place[None, :], share[None, inner] / share[inner].sum(), size)
    read = between(len(inner), picked[0])
    weights = shares[0][:, None] * np.maximum(read @ weight[inner], 0)
    shape = np.exp(read @ log_shape[inner])
    every_rate = np.exp(read @ log_rate[inner])
    keep = weights > 1e-7
    return LifeNodes.of(
        weights[keep],
        np.broadcast_to(shape[:, None], weights.shape)[keep],
        every_rate[keep],
        unit,
    )
