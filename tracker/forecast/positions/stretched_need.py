"""The need of a kind by any day, told from its need over one horizon.

The mean grows in proportion to the time and the extra variance (over that of a Poisson count) with
its square, for the rate is what is uncertain. Good for asking when stock will be used up or grow
too old; what is needed by the next delivery comes from ``spare_stock`` itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.renewal.sums_of_counts import matched_law

_LEAST_MEAN = 1e-9


@dataclass(frozen=True)
class StretchedNeed:
    """``daily`` mean need in pieces a day; ``extra_daily`` the variance over it, per day²."""

    daily: float
    extra_daily: float

    @classmethod
    def of(cls, chances: Array, horizon_days: float) -> StretchedNeed:
        """From the chances of needing 0, 1, 2, … pieces within so many days (above 0).

        >>> StretchedNeed.of(np.array([0.5, 0.5]), 10)
        StretchedNeed(daily=0.05, extra_daily=0.0)
        """
        need = np.arange(len(chances))
        mean = float(chances @ need)
        extra = max(0.0, float(chances @ need**2) - mean**2 - mean)
        return cls(mean / horizon_days, extra / horizon_days**2)

    def chances(self, days: float) -> Array:
        """[k] = chance that exactly k are needed within so many days."""
        mean = np.array([max(self.daily * days, _LEAST_MEAN)])
        law = matched_law(mean, mean + self.extra_daily * days**2, np.ones(1))
        return np.asarray(law[0])

    def below(self, pieces: NDArray[np.int64], days: float) -> Array:
        """The chance that fewer than so many pieces are needed within so many days."""
        law = self.chances(days)
        summed = np.concatenate([[0.0], np.cumsum(law)])
        return np.asarray(np.minimum(summed[np.minimum(pieces, len(law))], 1.0))
