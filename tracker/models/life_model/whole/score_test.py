"""Does an exposure act otherwise on young parts than on older ones? Asked of a fit without that.

Rao's score test (1948, Proceedings of the Cambridge Philosophical Society 44:50): at the mode of
the fit that takes the effect as one, how steeply does the posterior rise with a difference between
the two, held against what is known of it once all other parameters may follow. One pass over the
cells, each parted at the age, where a fit of its own takes a dozen and the cells anew.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.cells import Pieces
from tracker.models.life_model.whole.draws import LifeDraws
from tracker.models.life_model.whole.history import tally
from tracker.models.life_model.whole.likelihood import Likelihood
from tracker.models.life_model.whole.mode import Peak

_AT_ONCE = 30_000  # pieces worked on together: few enough to stay in the cache


@dataclass(frozen=True)
class BetweenAges:
    """The exposure ``effect`` (its place) acts ``multiplier[0]`` times a difference more on parts
    up to ``until_age``, ``multiplier[1]`` times on older ones; ``spread``: how large a difference
    is believed, as a standard deviation about none.
    """

    effect: int
    until_age: float
    multiplier: tuple[float, float]
    spread: float


# What is asked of a fit once its draws are known: None where nothing is.
AskedOfFit = Callable[[LifeDraws], BetweenAges | None]


@dataclass(frozen=True)
class Difference:
    """One of Newton's steps from no difference, and what is not known of it."""

    estimate: float
    std_error: float

    def leaves_out_none(self, level: float) -> bool:
        """True where the limits at this level leave out 0."""
        return abs(self.estimate) > float(ndtri((1 + level) / 2)) * self.std_error


def difference_by_age(model: Likelihood, peak: Peak, asked: BetweenAges) -> Difference:
    """The score test; failures between two checks are expected to be shared out over days."""
    x, cells, design, layout = peak.at, model.cells, model.design, model.layout
    one = np.zeros(len(x))
    one[layout.slices["effect"].start + asked.effect] = 1.0
    acts = design.level(one, slice(None))  # the exposure of each stratum
    log_until = np.log(asked.until_age / model.history.groups.told("typical_life"))
    young, old = asked.multiplier
    sums = _expected(model, x, log_until)
    expected, by_shape = (acts * (young * each[0] + old * each[1]) for each in sums)
    events = cells.events
    is_young = events.log_age <= log_until[cells.strata.group[events.stratum]]
    seen = events.weight * np.where(is_young, young, old) * acts[events.stratum]
    along = design.sums(expected)
    along[layout.shapes] += design.shape.T @ design.sums_by_group(by_shape)
    own = float(acts**2 @ (young**2 * sums[0][0] + old**2 * sums[0][1])) + asked.spread**-2
    left = own - float(along @ peak.solve(along))
    return Difference(float(seen.sum() - expected.sum()) / left, left**-0.5)


def _expected(model: Likelihood, x: Array, log_until: Array) -> tuple[tuple[Array, Array], ...]:
    """Of each stratum the failures expected of young parts and of older ones, and the same times
    the slope in the log shape.
    """
    cells, shape = model.cells, model.shape(x)
    level, size = model.design.level(x, slice(None)), len(cells.strata)
    found = np.empty((4, len(cells.exposure)))
    for low in range(0, len(cells.exposure), _AT_ONCE):
        few = cells.exposure.take(slice(low, low + _AT_ONCE))
        found[:, low : low + _AT_ONCE] = _parted(few, level, shape, cells.strata.group, log_until)
    young, old, young_shape, old_shape = (
        tally(cells.exposure.stratum, each, size) for each in found
    )
    return (young, old), (young_shape, old_shape)


def _parted(few: Pieces, level: Array, shape: Array, group_of: Ints, log_until: Array) -> Array:
    """Hazard gathered up to the age and from it on, and the slopes of both in the log shape."""
    group = group_of[few.stratum]
    rate, own = np.exp(level[few.stratum]) * few.weight, shape[group]
    middle = np.clip(log_until[group], few.low, few.high)
    edges = [own * edge for edge in (few.low, middle, few.high)]
    gained = [rate * np.exp(edge) for edge in edges]
    slope = [edge * each for edge, each in zip(edges, gained, strict=True)]
    return np.array([*np.diff(gained, axis=0), *np.diff(slope, axis=0)])
