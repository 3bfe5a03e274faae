"""Are forecasts better than a base rate, and by more than chance can do?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.normal import NORMAL_975


@dataclass(frozen=True)
class Gain:
    """By how much smaller is the forecasts' mean squared error than another's, as a share of it?

    Negative: larger. ``lower`` and ``upper`` are 95 % limits. ``if_right`` is the gain to be
    expected had every chance been told exactly right: most of what comes within a month is chance,
    so that the best of forecasts gains little.
    """

    share: float
    lower: float
    upper: float
    if_right: float


def gain_of(told: Array, base: Array, happened: Array, part: Ints) -> Gain:
    """What did telling ``told`` gain over telling ``base``?

    Args:
        told, base: chances of the same forecasts.
        happened: 1 where it came so, else 0.
        part: whose forecast each is; those of one part hang together, so the standard error of the
            ratio is summed over parts (ratio estimate from clusters; Cochran, 1977, Sampling
            Techniques, section 9A.2).

    >>> gain_of(np.array([0.5, 0.0]), np.array([1.0, 0.5]), np.array([0, 0]), np.arange(2))
    Gain(share=0.8, lower=0.6432, upper=0.9568, if_right=0.6667)
    """
    errors, base_errors = (told - happened) ** 2, (base - happened) ** 2
    ratio = errors.sum() / base_errors.sum()
    whose = np.unique(part, return_inverse=True)[1]
    off = np.bincount(whose, errors - ratio * base_errors)
    error = np.sqrt(np.sum(off**2) * len(off) / max(len(off) - 1, 1)) / base_errors.sum()
    share, half = 1 - ratio, NORMAL_975 * error
    apart = float(((told - base) ** 2).sum())
    if_right = apart / (apart + float((told * (1 - told)).sum()))
    return Gain(*(round(float(own), 4) for own in (share, share - half, share + half, if_right)))
