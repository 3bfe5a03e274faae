"""A posterior as weighted draws whose error can be seen: Laplace, then importance weights.

The peak and the curvature of the log density give a multivariate t, a quarter of it stretched along
the least certain direction; draws from it carry weights density / proposal. Their effective sample
size 1/Σw² (Kong 1992) tells how good the proposal is; while it is low, the proposal is fitted again
to the weighted draws and widened. Where one shape does not do – without a failure the rate has a
long tail, and levels of the printers that hardly differ or differ wildly both explain it – further
t's are put where the heaviest draws lie, and every draw is weighed against their mixture (Raftery &
Bao 2010, Biometrics 66:1162, incremental mixture importance sampling).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError

LogDensity = Callable[[Array], Array]  # (points, parameters) → (points,)

_DEGREES = 6.0
_REACH = 2.5
_MOST_STEPS = 40
_MOST_HALVINGS = 20
_GOOD_SHARE = 0.3
_MOST_REFITS = 5
_ENOUGH_DRAWS = 500  # effective ones
_MOST_EXTRA = 12


@dataclass(frozen=True)
class WeightedDraws:
    """Draws (n, parameters) with weights that sum to 1, and how many equal draws they are worth.

    ``extra`` counts the t's added where one shape did not do; n is then larger than asked for.
    """

    values: Array
    weights: Array
    effective_sample_size: float
    refits: int
    extra: int = 0


def find_peak(log_density: LogDensity, start: Array, scale: Array) -> tuple[Array, Array]:
    """The peak near ``start`` and the curvature there (negative Hessian), by differences.

    ``scale`` is about how far each parameter has to move to matter. Exact derivatives are not
    needed: the weights make good what the proposal gets wrong.
    """
    at = last = np.array(start, dtype=np.float64)
    step = np.array(scale, dtype=np.float64) * 0.05
    for _ in range(_MOST_STEPS):
        at, value, slope, curvature = _smooth(log_density, at, last, step)
        values, axes = np.linalg.eigh(curvature)
        strongest = np.maximum(np.abs(values), 1e-3)
        move = axes @ ((axes.T @ slope) / strongest)
        tries = 0.5 ** np.arange(-1.0, 10.0)
        tried = log_density(at + tries[:, None] * move)
        tried = np.where(np.isfinite(tried), tried, -np.inf)
        best = int(tried.argmax())
        last = at
        if tried[best] > value:
            at = at + tries[best] * move
        step = np.clip(0.2 / np.sqrt(np.maximum(np.diag(curvature), 1e-2)), 1e-4, 0.1)
        if float(slope @ move) < 1e-4 or tried[best] <= value:
            break
    at, _, _, curvature = _smooth(log_density, at, last, step)
    return at, curvature


def _smooth(
    log_density: LogDensity, at: Array, last: Array, step: Array
) -> tuple[Array, float, Array, Array]:
    """The point with ``_differences`` there, drawn back toward ``last`` until all are numbers.

    A density may end (an edge beyond which it is −inf): a step up to the edge leaves no room for
    differences, and their NaN would spoil every later step.
    """
    for _ in range(_MOST_HALVINGS):
        value, slope, curvature = _differences(log_density, at, step)
        if np.isfinite(value) and np.isfinite(slope).all() and np.isfinite(curvature).all():
            return at, value, slope, curvature
        at, step = last + (at - last) / 2, step / 2
    raise ModelError(
        "The fit has no peak that can be found: where it starts the density is not a number. An "
        "exposure or an age is far too large for its unit; check them, or give larger units."
    )


def _differences(log_density: LogDensity, at: Array, step: Array) -> tuple[float, Array, Array]:
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
    values[~np.isfinite(values)] = np.nan
    middle, up, down = values[0], values[1 : n + 1], values[n + 1 : 2 * n + 1]
    slope = (up - down) / (2 * step)
    hessian = np.diag((up - 2 * middle + down) / step**2)
    both = values[2 * n + 1 :].reshape(2, -1).sum(axis=0)
    mixed = both - up[first] - up[second] - down[first] - down[second] + 2 * middle
    hessian[first, second] = hessian[second, first] = mixed / (2 * step[first] * step[second])
    return float(middle), slope, -hessian


@dataclass(frozen=True)
class _Bell:
    """A multivariate t of 6 degrees; every fourth draw reaches further along the last axis."""

    centre: Array
    axes: Array
    deviation: Array
    reach: float

    @classmethod
    def of(cls, centre: Array, covariance: Array, reach: float = _REACH) -> _Bell:
        values, axes = np.linalg.eigh(covariance)
        return cls(centre, axes, np.sqrt(np.maximum(values, 1e-12)), reach)

    def draws(self, rng: np.random.Generator, size: int) -> Array:
        normal = rng.standard_normal((size, len(self.centre)))
        # Mirrored draws: the mean of a near-normal posterior comes out nearly exact.
        normal[size // 2 : 2 * (size // 2)] = -normal[: size // 2]
        mix = rng.chisquare(_DEGREES, size) / _DEGREES
        mix[size // 2 : 2 * (size // 2)] = mix[: size // 2]
        place = normal / np.sqrt(mix)[:, None]
        place[::4, -1] *= self.reach
        drawn: Array = self.centre + (place * self.deviation) @ self.axes.T
        return drawn

    def log_density(self, points: Array) -> Array:
        """Up to a constant that is the same for every bell of as many parameters."""
        place = ((points - self.centre) @ self.axes) / self.deviation
        near = (place**2).sum(axis=1)
        far = near - place[:, -1] ** 2 * (1 - self.reach**-2)
        power = -(_DEGREES + len(self.centre)) / 2
        value: Array = np.logaddexp(
            np.log(0.75) + power * np.log1p(near / _DEGREES),
            np.log(0.25 / self.reach) + power * np.log1p(far / _DEGREES),
        )
        return value - np.log(self.deviation).sum()


def weighted_draws(
    log_density: LogDensity,
    peak: Array,
    curvature: Array,
    rng: np.random.Generator,
    size: int,
) -> WeightedDraws:
    """``size`` draws about the peak with importance weights; a bad proposal is mended first.

    Where that leaves fewer than 500 effective draws (a fifth, of fewer than 2500), up to twelve
    times a quarter more are drawn about the heaviest one.
    """
    values, axes = np.linalg.eigh(curvature)
    bell = _Bell.of(peak, (axes / np.maximum(values, 1e-2)) @ axes.T * 1.1)
    pilot = max(400, size // 4)
    refits = 0
    while True:
        drawn = bell.draws(rng, pilot)
        weights = _weights(log_density(drawn), bell.log_density(drawn))
        if 1 / float(weights @ weights) >= _GOOD_SHARE * pilot or refits == _MOST_REFITS:
            break
        tempered = _tempered(weights, least=0.1 * pilot)
        centre = tempered @ drawn
        gap = drawn - centre
        covariance = (gap * tempered[:, None]).T @ gap * 1.2 + 1e-9 * np.eye(len(centre))
        bell = _Bell.of(centre, covariance)
        refits += 1
    bells, sizes, extra = [bell], [size], 0
    drawn = bell.draws(rng, size)
    value = log_density(drawn)
    weights = _weights(value, bell.log_density(drawn))
    enough = min(_ENOUGH_DRAWS, size / 5)
    while 1 / float(weights @ weights) < enough and extra < _MOST_EXTRA:
        extra += 1
        bells.append(_about_the_heaviest(drawn, weights, bell))
        sizes.append(pilot)
        more = bells[-1].draws(rng, pilot)
        drawn, value = np.vstack([drawn, more]), np.concatenate([value, log_density(more)])
        weights = _weights(value, _log_mixture(bells, sizes, drawn))
    return WeightedDraws(drawn, weights, 1 / float(weights @ weights), refits, extra)


def _about_the_heaviest(drawn: Array, weights: Array, bell: _Bell) -> _Bell:
    """A bell at the heaviest draw, as wide as the draws nearest to it are spread."""
    heaviest = drawn[weights.argmax()]
    gap = drawn - heaviest
    apart = (((gap @ bell.axes) / bell.deviation) ** 2).sum(axis=1)
    nearest = np.argsort(apart)[: max(200, 10 * len(heaviest))]
    share = weights[nearest] / weights[nearest].sum() + 1 / len(nearest)
    spread = (gap[nearest] * share[:, None]).T @ gap[nearest] / 2
    return _Bell.of(heaviest, spread + 1e-9 * np.eye(len(heaviest)), reach=1.0)


def _log_mixture(bells: list[_Bell], sizes: list[int], points: Array) -> Array:
    """Log density of all draws' proposals together."""
    each = [np.log(n) + bell.log_density(points) for bell, n in zip(bells, sizes, strict=True)]
    mixture: Array = np.logaddexp.reduce(each)
    return mixture


def _weights(log_density: Array, log_proposal: Array) -> Array:
    """Importance weights that sum to 1; a density that is not a number counts as none."""
    log_weight = log_density - log_proposal
    log_weight = np.where(np.isfinite(log_weight), log_weight, -np.inf)
    if not np.isfinite(log_weight.max()):
        raise ModelError(
            "No draw of the effects fits these rows at all: an exposure or an age is far too large "
            "for its unit. Check them, or give them in larger units."
        )
    weights = np.exp(log_weight - log_weight.max())
    total: Array = weights / weights.sum()
    return total


def _tempered(weights: Array, least: float) -> Array:
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
