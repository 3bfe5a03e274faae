"""A posterior as weighted draws whose error can be seen: Laplace, then importance weights.

The peak and the curvature of the log density give a multivariate t, a quarter of it stretched along
the least certain direction; draws from it carry weights density / proposal. Their effective sample
size 1/Σw² (Kong 1992) tells how good the proposal is; while it is low, the proposal is fitted again
to the weighted draws and widened.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.errors import ModelError

Floats = NDArray[np.float64]
LogDensity = Callable[[Floats], Floats]  # (points, parameters) → (points,)

_DEGREES = 6.0
_REACH = 2.5
_MOST_STEPS = 40
_GOOD_SHARE = 0.3
_MOST_REFITS = 5


@dataclass(frozen=True)
class WeightedDraws:
    """Draws (n, parameters) with weights that sum to 1, and how many equal draws they are worth."""

    values: Floats
    weights: Floats
    effective_sample_size: float
    refits: int


def find_peak(log_density: LogDensity, start: Floats, scale: Floats) -> tuple[Floats, Floats]:
    """The peak near ``start`` and the curvature there (negative Hessian), by differences.

    ``scale`` is about how far each parameter has to move to matter. Exact derivatives are not
    needed: the weights make good what the proposal gets wrong.
    """
    at = np.array(start, dtype=np.float64)
    step = np.array(scale, dtype=np.float64) * 0.05
    for _ in range(_MOST_STEPS):
        value, slope, curvature = _differences(log_density, at, step)
        values, axes = np.linalg.eigh(curvature)
        strongest = np.maximum(np.abs(values), 1e-3)
        move = axes @ ((axes.T @ slope) / strongest)
        tries = 0.5 ** np.arange(-1.0, 10.0)
        tried = log_density(at + tries[:, None] * move)
        tried = np.where(np.isfinite(tried), tried, -np.inf)
        best = int(tried.argmax())
        if tried[best] > value:
            at = at + tries[best] * move
        step = np.clip(0.2 / np.sqrt(np.maximum(np.diag(curvature), 1e-2)), 1e-4, 0.1)
        if float(slope @ move) < 1e-4 or tried[best] <= value:
            break
    _, _, curvature = _differences(log_density, at, step)
    return at, curvature


def _differences(log_density: LogDensity, at: Floats, step: Floats) -> tuple[float, Floats, Floats]:
    """Value, gradient and negative Hessian by central differences in one batch of points."""
    n = len(at)
    first, second = np.triu_indices(n, 1)
    unit = np.diag(step)
    points = np.vstack(
        [
            at[None],
            at + unit,
            at - unit,
            at + unit[first] + unit[second],
            at - unit[first] - unit[second],
        ]
    )
    values = log_density(points)
    middle, up, down = values[0], values[1 : n + 1], values[n + 1 : 2 * n + 1]
    slope = (up - down) / (2 * step)
    hessian = np.diag((up - 2 * middle + down) / step**2)
    both = values[2 * n + 1 :].reshape(2, -1).sum(axis=0)
    mixed = both - up[first] - up[second] - down[first] - down[second] + 2 * middle
    hessian[first, second] = hessian[second, first] = mixed / (2 * step[first] * step[second])
    return float(middle), slope, -hessian


def weighted_draws(
    log_density: LogDensity,
    peak: Floats,
    curvature: Floats,
    rng: np.random.Generator,
    size: int,
) -> WeightedDraws:
    """``size`` draws about the peak with importance weights; a bad proposal is mended first."""
    values, axes = np.linalg.eigh(curvature)
    covariance = (axes / np.maximum(values, 1e-2)) @ axes.T * 1.1
    centre = peak
    pilot = max(400, size // 4)
    refits = 0
    while True:
        drawn, weights = _propose(log_density, centre, covariance, rng, pilot)
        effective = 1 / float(weights @ weights)
        if effective >= _GOOD_SHARE * pilot or refits == _MOST_REFITS:
            break
        tempered = _tempered(weights, least=0.1 * pilot)
        centre = tempered @ drawn
        gap = drawn - centre
        covariance = (gap * tempered[:, None]).T @ gap * 1.2 + 1e-9 * np.eye(len(centre))
        refits += 1
    drawn, weights = _propose(log_density, centre, covariance, rng, size)
    return WeightedDraws(drawn, weights, 1 / float(weights @ weights), refits)


def _propose(
    log_density: LogDensity,
    centre: Floats,
    covariance: Floats,
    rng: np.random.Generator,
    size: int,
) -> tuple[Floats, Floats]:
    n = len(centre)
    values, axes = np.linalg.eigh(covariance)
    deviation = np.sqrt(np.maximum(values, 1e-12))
    normal = rng.standard_normal((size, n))
    # Mirrored draws: the mean of a near-normal posterior comes out nearly exact.
    normal[size // 2 : 2 * (size // 2)] = -normal[: size // 2]
    mix = rng.chisquare(_DEGREES, size) / _DEGREES
    mix[size // 2 : 2 * (size // 2)] = mix[: size // 2]
    place = normal / np.sqrt(mix)[:, None]
    # Every fourth draw reaches further along the least certain direction: with no or one failure
    # the rate has a long tail there.
    place[::4, -1] *= _REACH
    drawn = centre + (place * deviation) @ axes.T
    near = (place**2).sum(axis=1)
    far = near - place[:, -1] ** 2 * (1 - _REACH**-2)
    power = -(_DEGREES + n) / 2
    log_proposal = np.logaddexp(
        np.log(0.75) + power * np.log1p(near / _DEGREES),
        np.log(0.25 / _REACH) + power * np.log1p(far / _DEGREES),
    )
    log_weight = log_density(drawn) - log_proposal
    log_weight = np.where(np.isfinite(log_weight), log_weight, -np.inf)
    if not np.isfinite(log_weight.max()):
        raise ModelError(
            "No draw of the effects fits these rows at all: an exposure or an age is far too large "
            "for its unit. Check them, or give them in larger units."
        )
    weights = np.exp(log_weight - log_weight.max())
    return drawn, weights / weights.sum()


def _tempered(weights: Floats, least: float) -> Floats:
    """Weights flattened until worth ``least`` draws: few heavy ones must not set the width."""
    with np.errstate(divide="ignore"):
        log_weight = np.log(weights)
    power = 1.0
    flat = weights
    # Halving ends: with a power near nothing every draw with any weight counts the same.
    for _ in range(20):
        if 1 / float(flat @ flat) >= least:
            break
        power /= 2
        flat = np.exp(power * log_weight)
        flat = flat / flat.sum()
    return flat
