"""How many of the lives now running will fail soon, if the fitted curve is taken as the truth?

A plug-in forecast: right on average with many failures, too sure of itself with few, because the
curve's own uncertainty is left out. Decisions use ``tracker.models.life_model`` instead; this one
stands beside it as the reading of a published fit. Source: Meeker & Escobar (1998), chapter 12.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.fit.life_curve import LifeCurve, require_chance
from tracker.models.outcomes import Numbers, numbers


@dataclass(frozen=True, eq=False)
class FailuresAhead:
    """The number of failures within the horizon among lives running now.

    ``chance_each`` (n,) chance that one life of that row fails; ``expected_each`` times its weight;
    ``chance`` (N + 1,): ``chance[k]`` = chance of exactly k failures.
    """

    horizon: float
    expected: float
    chance_each: Array
    expected_each: Array
    chance: Array

    def quantile(self, share: float) -> int:
        """The least k such that k failures or fewer have at least that chance."""
        require_chance(share)
        return int(np.searchsorted(np.cumsum(self.chance), share - 1e-12))

    def chance_of_more_than(self, failures: int) -> float:
        """The chance of more failures than that."""
        return float(self.chance[failures + 1 :].sum())

    def __repr__(self) -> str:
        return f"FailuresAhead({self.expected:.4g} expected within {self.horizon:g})"


def failures_ahead(
    curve: LifeCurve, age: Numbers, horizon: float, weight: Numbers | None = None
) -> FailuresAhead:
    """How many of the lives running at these ages fail within ``horizon`` more age?

    ``age`` of each running life, ``weight`` how many lives are at that age (whole numbers). The
    exact distribution of the sum of unequal chances (Poisson binomial), by Fourier transform.

    >>> from tracker.models.fit.life_curve import LifeCurve
    >>> ahead = failures_ahead(LifeCurve("exponential", 1.0, 100.0), [10, 50], 100.0)
    >>> ahead, ahead.chance.round(4).tolist()
    (FailuresAhead(1.264 expected within 100), [0.1353, 0.4651, 0.3996])
    """
    ages = numbers(age, "age")
    count = np.ones(len(ages)) if weight is None else numbers(weight, "weight", len(ages))
    if not (ages >= 0).all():
        raise ModelError(f"age has {ages.min():g}: the age of a running life is 0 or more.")
    if not ((count >= 0) & (count == np.floor(count))).all():
        raise ModelError("weight must count lives: whole numbers of 0 or more.")
    if not 0.0 <= horizon < np.inf:
        raise ModelError(f"horizon is {horizon:g}: it must be 0 or more and finite.")
    gained = curve.cumulative_hazard(ages + horizon) - curve.cumulative_hazard(ages)
    chance = -np.expm1(-gained)
    size = int(count.sum()) + 1
    angle = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    with np.errstate(divide="ignore"):
        log_terms = np.log(1.0 + chance[None, :] * (angle[:, None] - 1.0))
    spectrum = np.exp(log_terms @ count)
    exactly = np.clip(np.fft.irfft(spectrum, size), 0.0, 1.0)
    return FailuresAhead(
        float(horizon), float(chance @ count), chance, chance * count, exactly / exactly.sum()
    )
