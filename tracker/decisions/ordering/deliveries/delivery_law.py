"""The lognormal law of a delivery's days, and what orders teach of it.

Normal with unknown mean and variance on log days, conjugate (Gelman et al., 2013, Bayesian Data
Analysis, section 3.3). An order that is still open says "not here yet", a right-censored delivery
time: it counts as what such an order would come to on average, and that again as the times so
learnt say (EM; Dempster, Laird & Rubin, 1977, Journal of the Royal Statistical Society B 39).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi, sqrt
from statistics import NormalDist

import numpy as np

from tracker.arrays import Array

SHORTEST_DAYS = 0.5  # ordered and received on one day
NINE_IN_TEN = NormalDist().inv_cdf(0.9)
# However punctual a supplier was, one delay is no loss: as many are held up as lost, for about
# three times the usual days; and a least spread of log days (common practice, no source).
HELD_UP, TIMES_AS_LONG, HELD_SPREAD = 0.02, 3.0, 0.5
LEAST_TAIL = 0.3
_LEAST_SPREAD = 1e-6  # of log days: a supplier who is never late
_ROUNDS, _SETTLED = 200, 1e-9


@dataclass(frozen=True)
class DeliveryLaw:
    """What deliveries that came say of the log days: ``middle``, ``spread``, of so many orders'
    ``worth``.
    """

    middle: float
    spread: float
    worth: float

    @property
    def late_days(self) -> float:
        """Nine in ten are here by then."""
        return round(exp(self.middle + NINE_IN_TEN * self.spread), 6)

    def not_here(self, waited: float, middle: float | None = None) -> float:
        """The chance that one that comes takes longer, now and then because it is held up;
        ``middle``: its own, where it was promised for a day.

        >>> law = DeliveryLaw(log(20), log(45 / 20) / NINE_IN_TEN, 3.0)
        >>> [round(law.not_here(days), 2) for days in (0.0, 20.0, 45.0, 90.0)]
        [1.0, 0.51, 0.11, 0.03]
        """
        from scipy.special import ndtr, stdtr, stdtrit

        if waited < SHORTEST_DAYS:
            return 1.0
        own = self.middle if middle is None else middle
        # As far out as nine in ten, whatever it is worth.
        late = stdtrit(self.worth, 0.9) / NINE_IN_TEN
        spread = max(self.spread, LEAST_TAIL)
        usual = stdtr(self.worth, late * (own - log(waited)) / spread)
        held_up = ndtr((own + log(TIMES_AS_LONG) - log(waited)) / HELD_SPREAD)
        return float((1 - HELD_UP) * usual + HELD_UP * held_up)


def learnt(guess: DeliveryLaw, logs: Array, still: Array, comes: Array) -> DeliveryLaw:
    """The conjugate update by log days, those ``still`` waited for filled in until they settle,
    each counted as far as it ``comes``.
    """
    worth, counts = guess.worth, np.concatenate([np.ones(len(logs)), comes])
    known = worth + len(logs)
    total = worth + float(counts.sum())
    middle, spread = guess.middle, guess.spread
    for _ in range(_ROUNDS if len(still) else 1):
        coming, scatter = _beyond(middle, spread, still)
        every = np.concatenate([logs, coming])
        new_middle = (worth * guess.middle + float(counts @ every)) / total
        squares = (
            worth * (guess.spread**2 + (guess.middle - new_middle) ** 2)
            + float(counts @ (every - new_middle) ** 2)
            + float(comes @ scatter)
        )
        moved = abs(new_middle - middle)
        middle, spread = new_middle, sqrt(squares / total)
        if moved < _SETTLED:
            break
    # The mean is itself uncertain; the factor is 1 with no order, so the guess stays as said.
    spread *= sqrt((1 + 1 / known) / (1 + 1 / worth))
    return DeliveryLaw(middle, spread, known)


def _beyond(middle: float, spread: float, limit: Array) -> tuple[Array, Array]:
    """Mean and variance of a normal beyond each limit (the inverse Mills ratio)."""
    from scipy.special import log_ndtr

    spread = max(spread, _LEAST_SPREAD)
    z = (limit - middle) / spread
    # On the log scale, for far beyond the middle both density and tail vanish.
    ratio = np.exp(-(z**2) / 2 - log(2 * pi) / 2 - log_ndtr(-z))
    return middle + spread * ratio, spread**2 * np.maximum(1 + z * ratio - ratio**2, 0.0)
