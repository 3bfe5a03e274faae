"""The posterior of shape and rate, integrated numerically where no closed form exists.

Works on ages divided by a typical life. The log shape gets evenly spaced columns that cover all
of its mass; within a column the rate is gamma where failures are exact, else on a grid.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import lgamma, log, pi

import numpy as np

from tracker.arrays import Array
from tracker.models.life_model.nodes import powers
from tracker.models.life_model.quadrature import log_gamma_ends
from tracker.models.life_model.rates import GammaRates, GridRates, Rates
from tracker.models.outcomes import Outcomes

_COLUMNS = 41
_GRID = 61  # columns and rates of the grid for interval-censored failures
_EDGE = 1e-8  # share of the mass the edges of the grid may carry
_DEPTH = 23.0  # log density below its top at which the columns end: e^-23 = 1e-10
_KEEP = (3, 2)  # every third column and second rate carry the forecasts: still within 1e-6


@dataclass(frozen=True, eq=False)
class Evidence:
    """What lives say about shape and rate: counts and ages, equal ones put together.

    ``ages`` and ``counts``: exposure is Σ counts · ages^shape (entries count negative).
    ``events``: exactly known failures, ``log_ages`` the sum of their log ages. ``left``,
    ``right``, ``found``: failures known to lie between two ages, and how many.
    """

    unit: float
    ages: Array
    counts: Array
    events: float
    log_ages: float
    left: Array
    right: Array
    found: Array

    @classmethod
    def of(cls, lives: Outcomes, unit: float) -> Evidence:
        """The evidence in lives, with ages divided by ``unit``."""
        between = lives.interval & (lives.weight > 0)
        exact = lives.failed & ~lives.interval
        # A failure found at a check was watched up to the last good check; the rest is the gap.
        ends = np.where(lives.interval, lives.last_ok, lives.age)
        ages, back = np.unique(np.concatenate((ends, lives.entry)), return_inverse=True)
        signed = np.concatenate((lives.weight, -lives.weight))
        counts = np.bincount(back, signed, minlength=len(ages))
        keep = (counts != 0) & (ages > 0)
        gaps, back = np.unique(
            np.stack((lives.last_ok[between], lives.age[between]), axis=1),
            axis=0,
            return_inverse=True,
        )
        found: Array = np.bincount(back.ravel(), lives.weight[between], minlength=len(gaps)).astype(
            float
        )
        weight = lives.weight[exact]
        return cls(
            unit,
            ages[keep] / unit,
            counts[keep],
            float(weight.sum()),
            float(weight @ np.log(lives.age[exact] / unit)),
            gaps[:, 0] / unit,
            gaps[:, 1] / unit,
            found,
        )

    @property
    def has_intervals(self) -> bool:
        """True when any failure age is only known to lie between two checks."""
        return len(self.found) > 0

    def exposure(self, shape: Array) -> Array:
        """Σ (age^shape − entry^shape) at each shape, failures between checks up to the last ok."""
        return powers(self.ages, shape) @ self.counts if len(self.ages) else np.zeros(len(shape))

    def gaps(self, shape: Array) -> Array:
        """age^shape − last_ok^shape of the failures between checks: (shapes, intervals)."""
        return powers(self.right, shape) - powers(self.left, shape)


@dataclass(frozen=True, eq=False)
class GammaForm:
    """The likelihood of the rate given each log shape: height + worth·log rate − exposure·rate.

    Exact where failures are exact. Otherwise the form with the same height, slope and curvature
    at the maximum of posterior density, in the log of the rate.
    """

    height: Array
    worth: Array
    exposure: Array

    def log_marginal(self, worth: float, exposure: float) -> Array:
        """The log likelihood at each shape with a Gamma(worth, exposure) rate averaged out."""
        a = self.worth + worth
        gammas = np.array([lgamma(value) for value in a]) - lgamma(worth)
        with np.errstate(over="ignore", invalid="ignore"):
            spent = a * np.log(self.exposure + exposure) - worth * log(exposure)
        return self.height + gammas - spent


def gamma_form(evidence: Evidence, log_shape: Array, worth: float) -> GammaForm:
    """What the lives say about the rate at each log shape, as a gamma form; see the class.

    ``worth``: the belief Gamma(worth, worth) whose posterior the form is matched at.
    """
    shape = np.exp(log_shape)
    exposure = evidence.exposure(shape)
    height = evidence.events * log_shape + (shape - 1) * evidence.log_ages
    height = height - evidence.events * log(evidence.unit)
    known = np.full(len(shape), evidence.events)
    if not evidence.has_intervals:
        return GammaForm(height, known, exposure)
    gaps, found = evidence.gaps(shape), evidence.found
    total = found.sum()
    y = np.log((worth + known + total) / (worth + exposure + 0.5 * gaps @ found))
    for _ in range(60):
        z = np.exp(y)[:, None] * gaps
        pull = pulled(z)
        slope = worth + known - (worth + exposure) * np.exp(y) + pull @ found
        bend = -(worth + exposure) * np.exp(y) + (pull * (1 - pull - z)) @ found
        move = np.clip(-slope / bend, -2, 2)
        y = y + move
        if np.abs(move).max() < 1e-12:
            break
    z = np.exp(y)[:, None] * gaps
    pull = pulled(z)
    with np.errstate(divide="ignore"):
        inner = np.log(-np.expm1(-z)) @ found
    # Match the intervals' slope (pull) and curvature with worth·y − exposure·exp y.
    first, second = pull @ found, (pull * (1 - pull - z)) @ found
    extra = np.maximum(-second, 0) * np.exp(-y)
    more = first + extra * np.exp(y)
    return GammaForm(height + inner - more * y + extra * np.exp(y), known + more, exposure + extra)


def pulled(z: Array) -> Array:
    """z / (e^z − 1): the slope of log(1 − e^−z) in log z; 1 at 0."""
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        return np.where(z < 1e-8, 1 - z / 2, z / np.expm1(z))


def fit_rates(
    evidence: Evidence, worth: float, middle: float, spread: float
) -> tuple[Rates, float]:
    """The posterior and the log evidence under rate | shape ~ Gamma(worth, worth), log shape ~
    Normal(middle, spread²)."""

    def density(log_shape: Array) -> Array:
        form = gamma_form(evidence, log_shape, worth)
        return form.log_marginal(worth, worth) + log_normal(log_shape, middle, spread)

    size = _GRID if evidence.has_intervals else _COLUMNS
    log_shape, heights = columns(density, middle, spread, size)
    if evidence.has_intervals:
        return _grid_rates(evidence, log_shape, worth, middle, spread)
    weight, log_evidence = normalised(heights, log_shape)
    exposure = worth + evidence.exposure(np.exp(log_shape))
    return (
        GammaRates(log_shape, weight, worth + evidence.events, exposure, evidence.unit),
        log_evidence,
    )


def log_normal(x: Array, middle: float, spread: float) -> Array:
    """The log density of a normal; 0 for a spread of 0 (the value is known)."""
    if spread == 0:
        return np.zeros(len(x))
    return -0.5 * ((x - middle) / spread) ** 2 - log(spread) - 0.5 * log(2 * pi)


def columns(
    density: Callable[[Array], Array], middle: float, spread: float, size: int
) -> tuple[Array, Array]:
    """Evenly spaced log shapes that hold all the mass of the log density (a function of them), and
    that at each.

    Starts at six standard deviations of the belief, widens while an edge still carries mass and
    narrows until the columns cover just what lies within e^-23 of the top.
    """
    if spread == 0:
        x = np.array([middle])
        return x, density(x)
    low, high = middle - 6 * spread, middle + 6 * spread
    for _ in range(40):
        x = np.linspace(low, high, size)
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            heights = np.nan_to_num(density(x), nan=-np.inf)
        inside = np.nonzero(heights > heights.max() - _DEPTH)[0]
        first, last = int(inside[0]), int(inside[-1])
        width = high - low
        if first == 0 or last == size - 1:
            low -= width / 2 * (first == 0)
            high += width / 2 * (last == size - 1)
            continue
        new_low, new_high = float(x[first - 1]), float(x[last + 1])
        if new_high - new_low > 0.8 * width:
            break
        low, high = new_low, new_high
    return x, heights


def normalised(heights: Array, log_shape: Array) -> tuple[Array, float]:
    """Weights that sum to 1 and the log of the integral over the log shape."""
    top = heights.max()
    with np.errstate(invalid="ignore"):
        weight = np.nan_to_num(np.exp(heights - top))
    step = log_shape[1] - log_shape[0] if len(log_shape) > 1 else 1.0
    return weight / weight.sum(), float(top + log(weight.sum() * step))


def _grid_rates(
    evidence: Evidence, log_shape: Array, worth: float, middle: float, spread: float
) -> tuple[GridRates, float]:
    """The exact likelihood on a grid laid along the gamma form of each column."""
    shape = np.exp(log_shape)
    form = gamma_form(evidence, log_shape, worth)
    worths, centre = form.worth + worth, np.log((form.worth + worth) / (form.exposure + worth))
    exposure = worth + evidence.exposure(shape)
    gaps = evidence.gaps(shape)
    base = (
        evidence.events * (log_shape - log(evidence.unit))
        + (shape - 1) * evidence.log_ages
        + log_normal(log_shape, middle, spread)
        + worth * log(worth)
        - lgamma(worth)
    )
    widen = 1.0
    for _ in range(6):
        low, high = log_gamma_ends(worths, _DEPTH * widen)
        step = (high - low) / (_GRID - 1)
        y = centre[:, None] + low[:, None] + step[:, None] * np.arange(_GRID)
        rate = np.exp(y)
        height = base[:, None] + (worth + evidence.events) * y - exposure[:, None] * rate
        for k in range(len(evidence.found)):
            with np.errstate(divide="ignore"):
                height += evidence.found[k] * np.log(-np.expm1(-rate * gaps[:, k, None]))
        height += np.log(step)[:, None]
        top = height.max()
        weight = np.nan_to_num(np.exp(height - top))
        edges = weight[[0, -1]].sum() + weight[:, [0, -1]].sum()
        if edges < _EDGE * weight.sum():
            break
        widen *= 1.5
    width = log_shape[1] - log_shape[0] if len(log_shape) > 1 else 1.0
    log_evidence = float(top + log(weight.sum() * width))
    rows = slice(None, None, _KEEP[0]) if len(log_shape) > 1 else slice(None)
    kept = weight[rows, :: _KEEP[1]]
    return (
        GridRates(log_shape[rows], kept / kept.sum(), y[rows, :: _KEEP[1]], evidence.unit),
        log_evidence,
    )
