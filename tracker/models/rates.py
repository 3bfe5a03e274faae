"""The joint posterior of shape and rate of a Weibull life, held as columns of one shape each.

A life has cumulative hazard rate · (age / unit)^shape. Each column is one value of the log shape
with its weight; within a column the rate is either gamma-distributed (``GammaRates``, exact
failures: everything in closed form) or lies on points (``GridRates``, any likelihood). The
columns are evenly spaced in the log shape, so sums over them are trapezoid integrals of a smooth
density that vanishes at both ends: accurate far beyond the number of columns (Trefethen and
Weideman, 2014, SIAM Review 56:385).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import lgamma

import numpy as np
import numpy.typing as npt

from tracker.models.nodes import LifeNodes, powers
from tracker.models.outcomes import FloatArray

_SMALL = 1e-9  # share of the weight below which a node is not worth carrying
# Steps of a rank-one lattice in three dimensions (Roberts' generalised golden ratio).
_LATTICE = 1 / 1.2207440846057596 ** np.arange(1, 4)


@dataclass(frozen=True, eq=False)
class GammaRates:
    """Given each log shape, the rate is Gamma(worth, exposure): mean worth / exposure.

    ``log_shape, weight, exposure (n,)``, ``worth`` a number; ages are divided by ``unit``.
    """

    log_shape: FloatArray
    weight: FloatArray
    worth: float
    exposure: FloatArray
    unit: float

    def log_survival(self, t: FloatArray, age: FloatArray) -> FloatArray:
        """Log of Σ weight · (1 + (t^shape − age^shape) / exposure)^−worth."""
        exponent = self._exponent(t, age)
        top = exponent.max(axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            total = np.log(self.weight @ np.exp(exponent - top)) + top
        return np.where(np.isneginf(top), -np.inf, total)

    def failure_chance(self, t: FloatArray, age: FloatArray) -> FloatArray:
        """One minus the survival, without cancellation where it is small."""
        return -(self.weight @ np.expm1(self._exponent(t, age)))

    def _exponent(self, t: FloatArray, age: FloatArray) -> FloatArray:
        gained = gain(t / self.unit, age / self.unit, np.exp(self.log_shape))
        return -self.worth * np.log1p(gained / self.exposure[:, None])

    @property
    def rate_information(self) -> float:
        """How many failures' worth of evidence there is about the rate, given the shape."""
        return self.worth

    def log_rate_quantiles(self, u: FloatArray) -> FloatArray:
        """(columns, chances): the log rate below which it lies with chance u, by column."""
        y, mass = gamma_points(self.worth, 400)
        return _inverse(y, mass, u)[None, :] - np.log(self.exposure)[:, None]

    def nodes(self, step: float, n_rate: int) -> LifeNodes:
        """The same as weighted points: every ``step`` columns, ``n_rate`` rates in each."""
        rows = thinned(self.weight, step)
        y, mass = gamma_points(self.worth, n_rate)
        weight = self.weight[rows][:, None] * mass
        log_rate = y - np.log(self.exposure[rows])[:, None]
        return _to_nodes(weight, self.log_shape[rows], log_rate, self.unit)


@dataclass(frozen=True, eq=False)
class GridRates:
    """Given each log shape, the rate lies on points: ``log_rate (n, m)``, ``weight (n, m)``."""

    log_shape: FloatArray
    weight: FloatArray
    log_rate: FloatArray
    unit: float

    @cached_property
    def _flat(self) -> tuple[FloatArray, npt.NDArray[np.intp], FloatArray]:
        """Weight, column and rate of the nodes worth carrying."""
        keep = self.weight > _SMALL * self.weight.sum()
        column = np.nonzero(keep)[0]
        weight = self.weight[keep]
        return weight / weight.sum(), column, np.exp(self.log_rate[keep])

    def log_survival(self, t: FloatArray, age: FloatArray) -> FloatArray:
        """Log of Σ weight · exp(−rate · (t^shape − age^shape)): hazards, never a ratio."""
        exponent = self._exponent(t, age)
        top = exponent.max(axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            total = np.log(self._flat[0] @ np.exp(exponent - top)) + top
        return np.where(np.isneginf(top), -np.inf, total)

    def failure_chance(self, t: FloatArray, age: FloatArray) -> FloatArray:
        """One minus the survival, without cancellation where it is small."""
        return -(self._flat[0] @ np.expm1(self._exponent(t, age)))

    def _exponent(self, t: FloatArray, age: FloatArray) -> FloatArray:
        _, column, rate = self._flat
        gained = gain(t / self.unit, age / self.unit, np.exp(self.log_shape))
        return -rate[:, None] * gained[column]

    @cached_property
    def rate_information(self) -> float:
        """How many failures' worth of evidence there is about the rate, given the shape.

        A gamma rate worth k failures has a log with variance ψ′(k); this turns it round.
        """
        column = self.weight.sum(axis=1)
        share = self.weight / np.where(column > 0, column, 1)[:, None]
        mean = (share * self.log_rate).sum(axis=1)
        spread = (share * (self.log_rate - mean[:, None]) ** 2).sum(axis=1)
        return _inverse_trigamma(float(column @ spread / column.sum()))

    def log_rate_quantiles(self, u: FloatArray) -> FloatArray:
        """(columns, chances): the log rate below which it lies with chance u, by column."""
        return np.stack(
            [_inverse(y, mass, u) for y, mass in zip(self.log_rate, self.weight, strict=True)]
        )

    def nodes(self, step: float, n_rate: int) -> LifeNodes:
        """The same as weighted points: every ``step`` columns, ``n_rate`` rates in each."""
        rows = thinned(self.weight.sum(axis=1), step)
        across = max(1, round(self.log_rate.shape[1] / n_rate))
        best = int(self.weight.sum(axis=0).argmax())
        picked = np.arange(best % across, self.log_rate.shape[1], across)
        weight = self.weight[rows][:, picked]
        return _to_nodes(weight, self.log_shape[rows], self.log_rate[rows][:, picked], self.unit)


Rates = GammaRates | GridRates


def gain(t: FloatArray, age: FloatArray, shape: FloatArray) -> FloatArray:
    """t^shape − age^shape, 0 where t ≤ age: (shapes, ages)."""
    with np.errstate(invalid="ignore"):
        difference = powers(t, shape) - powers(age, shape)
    return np.where((t > age)[None, :], np.maximum(np.nan_to_num(difference, nan=np.inf), 0), 0.0)


def gamma_points(worth: float, size: int) -> tuple[FloatArray, FloatArray]:
    """Points of the log of a Gamma(worth, 1) rate and their weights (sum 1).

    A trapezoid rule in the log: the density exp(worth · y − exp y) vanishes at both ends, so a
    dozen points integrate survival curves to better than 1e-4. The ends leave out about 1e-5.
    """
    spread = worth**-0.5
    low = -min(11.5 / worth + 2 * spread, 11.5 / worth + 0.5 + 1 / worth, 4.6 * spread + 9 / worth)
    high = min(4.6 * spread, np.log(1 + 4.6 * spread + 11 / worth))
    y = np.log(worth) + np.linspace(low, high, size)
    density = np.exp(worth * y - np.exp(y) - lgamma(worth))
    return y, density / density.sum()


def thinned(weight: FloatArray, step: float) -> FloatArray:
    """Row numbers every ``step`` rows, the heaviest among them, negligible ends left out."""
    stride = max(1, round(step))
    rows = np.arange(int(weight.argmax()) % stride, len(weight), stride)
    return rows[weight[rows] > 1e-7 * weight.sum()]


def lattice(size: int, dimensions: int) -> FloatArray:
    """(size, dimensions) evenly spread points of the unit cube: deterministic, no sampling."""
    return (0.5 + np.arange(1, size + 1)[:, None] * _LATTICE[:dimensions]) % 1.0


def points(rates: Rates, u: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Equally likely (log shape, log rate) pairs for points ``u (size, 2)`` of the unit square."""
    column = rates.weight if rates.weight.ndim == 1 else rates.weight.sum(axis=1)
    quantiles = rates.log_rate_quantiles(u[:, 1])
    if len(column) == 1:
        return np.full(len(u), rates.log_shape[0]), quantiles[0]
    place = _inverse(np.arange(len(column), dtype=float), column, u[:, 0])
    left = np.minimum(place.astype(int), len(column) - 2)
    part = place - left
    each = np.arange(len(u))
    log_shape = rates.log_shape[left] * (1 - part) + rates.log_shape[left + 1] * part
    log_rate = quantiles[left, each] * (1 - part) + quantiles[left + 1, each] * part
    return log_shape, log_rate


def _to_nodes(
    weight: FloatArray, log_shape: FloatArray, log_rate: FloatArray, unit: float
) -> LifeNodes:
    shape = np.broadcast_to(np.exp(log_shape)[:, None], weight.shape)
    keep = weight > 1e-7 * weight.sum()
    return LifeNodes.of(weight[keep], shape[keep], np.exp(log_rate[keep]), unit)


def _inverse(place: FloatArray, mass: FloatArray, u: FloatArray) -> FloatArray:
    """The place below which a share u of the mass lies; the mass is a smooth density on a grid.

    The density is filled in between the grid points by its sinc series, which is as exact as the
    trapezoid sums, so that the quantiles do not show the grid.
    """
    if len(place) < 2 or not mass.any():
        return np.full(len(u), place[int(mass.argmax())])
    fine = np.linspace(0, len(place) - 1, max(401, 4 * len(place)))
    filled = np.maximum(np.sinc(fine[:, None] - np.arange(len(place))) @ mass, 0)
    total = np.concatenate(([0.0], np.cumsum(filled[1:] + filled[:-1])))
    at = np.interp(u * total[-1], total, fine)
    return np.interp(at, np.arange(len(place)), place)


def _inverse_trigamma(value: float) -> float:
    """The k with ψ′(k) = value, by Newton steps on 1/ψ′ (nearly a straight line in k)."""
    k = 0.5 + 1 / value
    for _ in range(20):
        slope = (_trigamma(k * 1.0001) - _trigamma(k)) / (k * 0.0001)
        k = max(k * 0.1, k + _trigamma(k) * (1 - _trigamma(k) / value) / slope)
    return k


def _trigamma(k: float) -> float:
    """ψ′(k) by recurrence and its asymptotic series (Abramowitz and Stegun, 6.4.12)."""
    total = 0.0
    while k < 8:
        total += 1 / k**2
        k += 1
    return total + 1 / k + 1 / (2 * k**2) + 1 / (6 * k**3) - 1 / (30 * k**5) + 1 / (42 * k**7)
