"""How does the rate of events of many units move with what they are exposed to?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError

_STEPS, _CLOSE = 50, 1e-9


@dataclass(frozen=True, eq=False)
class RateEffects:
    """Rate at exposures x: ``rate · exp(effect · (x − centre))`` events per unit of time.

    ``effect`` (exposures,) on the log rate with its ``covariance``; ``centre`` the exposure at
    which events happened on average, so that ``rate`` and ``effect`` hardly hang on each other;
    ``dispersion``: how many times the variance is that of independent events, at least 1.
    """

    rate: float
    effect: Array
    covariance: Array
    centre: Array
    events: float
    dispersion: float

    def draws(self, number: int, rng: np.random.Generator) -> tuple[Array, Array]:
        """Possible rates (number,) and effects (number, exposures)."""
        shape = self.events / self.dispersion
        rates = self.rate * rng.gamma(shape, 1 / shape, number)
        return rates, rng.multivariate_normal(self.effect, self.covariance, number)


def rate_effects(
    unit: Ints, events: Array, time: Array, exposure: Array, *, spread: float = 0.5
) -> RateEffects:
    """The effects of exposures on a rate, each unit's own level taken out.

    Rows: ``unit`` (whole numbers from 0), ``events`` counted in so much ``time``, ``exposure``
    (rows, exposures). Given how many events a unit had, how they fall on its rows does not hang on
    its level: the conditional Poisson likelihood (Hausman, Hall & Griliches 1984, Econometrica 52),
    with effects Normal(0, spread²) and variances enlarged by Pearson's dispersion where events come
    in clusters (McCullagh & Nelder 1989, section 6.2.3).

    Raises ModelError where there is no event or no time.

    >>> count, time = np.array([2.0, 8.0]), np.array([1000.0, 1000.0])
    >>> found = rate_effects(np.array([0, 0]), count, time, np.array([[0.0], [1.0]]), spread=1e3)
    >>> round(float(np.exp(found.effect[0])), 3)  # four times as many
    4.0
    """
    watched = time > 0
    unit, events, time, exposure = unit[watched], events[watched], time[watched], exposure[watched]
    total = float(events.sum())
    if not total > 0:
        raise ModelError("A rate needs at least one event and some time watched.")
    units = int(unit.max()) + 1
    of_unit = np.bincount(unit, events, units)
    effect, precision = np.zeros(exposure.shape[1]), np.eye(exposure.shape[1]) / spread**2
    for _ in range(_STEPS):
        share = _shares(unit, time, exposure @ effect, units)
        expected = of_unit[unit] * share
        mean = _sums(unit, share[:, None] * exposure, units)
        slope = exposure.T @ (events - expected) - precision @ effect
        information = (exposure * expected[:, None]).T @ exposure
        information -= (mean * of_unit[:, None]).T @ mean
        step = np.linalg.solve(information + precision, slope)
        effect = effect + step / max(1.0, float(np.abs(step).max(initial=0.0)))
        if np.abs(step).max(initial=0.0) < _CLOSE:
            break
    free = max(int(np.count_nonzero(of_unit[unit] > 0)) - units - exposure.shape[1], 1)
    off = np.where(expected > 0, (events - expected) ** 2 / np.maximum(expected, 1e-12), 0.0)
    dispersion = max(1.0, float(off.sum()) / free)
    weight = time * np.exp(exposure @ effect)
    centre = weight @ exposure / weight.sum()
    return RateEffects(
        rate=total / float(time @ np.exp((exposure - centre) @ effect)),
        effect=effect,
        covariance=np.linalg.inv(information / dispersion + precision),
        centre=centre,
        events=total,
        dispersion=dispersion,
    )


def _shares(unit: Ints, time: Array, log_rate: Array, units: int) -> Array:
    """The share of a unit's events that falls on each row."""
    weight = time * np.exp(log_rate - log_rate.max(initial=0.0))
    return np.asarray(weight / np.bincount(unit, weight, units)[unit])


def _sums(unit: Ints, values: Array, units: int) -> Array:
    return np.column_stack([np.bincount(unit, column, units) for column in values.T])
