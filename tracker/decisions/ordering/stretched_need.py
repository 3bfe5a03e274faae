"""The need of a kind by any day, told from its need over one horizon.

The mean grows in proportion to the time and the extra variance (over that of a Poisson count) with
its square, for the rate is what is uncertain. Good for asking when stock will be used up or grow
too old; what is needed by the next delivery is read from the futures themselves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array

_LEAST_MEAN = 1e-9
_KNOWN = 1e7  # a rate worth so many pieces is as good as known
_LEFT = 1e-9


@dataclass(frozen=True)
class StretchedNeed:
    """``daily`` mean need in pieces a day; ``extra_daily`` the variance over it, per day²."""

    daily: float
    extra_daily: float

    @classmethod
    def of(cls, chances: Array, horizon_days: float, *, at_once: int = 0) -> StretchedNeed:
        """From the chances of needing 0, 1, 2, … pieces within so many days (above 0).

        ``at_once`` of them are needed today whatever comes: they are no rate and are left out.

        >>> StretchedNeed.of(np.array([0.5, 0.5]), 10)
        StretchedNeed(daily=0.05, extra_daily=0.0)
        """
        need = np.arange(len(chances)) - at_once
        mean = float(chances @ need)
        extra = max(0.0, float(chances @ need**2) - mean**2 - mean)
        return cls(mean / horizon_days, extra / horizon_days**2)

    def chances(self, days: float) -> Array:
        """[k] = chance that exactly k are needed within so many days."""
        from scipy.special import gammaln

        mean = max(self.daily * days, _LEAST_MEAN)
        extra = self.extra_daily * days**2
        k = np.arange(int(mean + 12 * np.sqrt(mean + extra)) + 30, dtype=np.float64)
        worth = mean**2 / extra if extra > 0 else np.inf
        if worth > _KNOWN:
            log_law = k * np.log(mean) - mean - gammaln(k + 1)
        else:
            # The rate's own law is a gamma: negative binomial counts (Greenwood & Yule, 1920).
            log_law = gammaln(k + worth) - gammaln(worth) - gammaln(k + 1)
            log_law += worth * np.log(worth / (worth + mean)) + k * np.log(mean / (worth + mean))
        law = np.exp(log_law)
        kept = np.flatnonzero(np.cumsum(law) >= 1 - _LEFT)
        return law[: kept[0] + 1] if kept.size else law

    def below(self, pieces: NDArray[np.int64], days: float) -> Array:
        """The chance that fewer than so many pieces are needed within so many days."""
        law = self.chances(days)
        summed = np.concatenate([[0.0], np.cumsum(law)])
        return np.asarray(np.minimum(summed[np.minimum(pieces, len(law))], 1.0))
