"""Did the ranges of remaining life hold what they promised?

Each forecast is read at what came: u = the chance, as told then, of the part having failed by the
day it did. Right forecasts make u even between 0 and 1, so a 10–90 % range has held when u lies
between 0.1 and 0.9. A part that still runs, or was taken out working, only says that u is larger
than the value reached; such forecasts are censored at it, and the share of u between the limits
is read from the Kaplan–Meier curve over u. Leaving them out would count the early failures only.

Whether a range is judged at all must not hang on what came: asking that enough forecasts lived
past the range's upper end picks the logs in which lives were long, and in short logs a right 80 %
range then seemed to hold 61 to 77 %. So it is asked how many parts could have been watched as far,
which the Kaplan–Meier curve of the censoring tells (failed and censored change places).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tracker.arrays import Array
from tracker.models.normal import NORMAL_975

# Parts to be expected beyond a range's upper end, were all told right, below which nothing is told.
LEAST_BEYOND = 1.5
FEW_BEYOND = 8  # parts seen beyond it, below which its share alone bounds the limits


@dataclass(frozen=True)
class Coverage:
    """The share of outcomes that fell in a range of that ``nominal`` size, with 95 % limits.

    The limits count each part once, however often its life was told (see ``coverage``). They are
    those of chance in how long parts lived; that the forecasts of a workshop share what was
    learned, and so err together, is part of what is judged.
    """

    nominal: float
    share: float
    lower: float
    upper: float


def coverage(
    reached: ArrayLike, failed: ArrayLike, part: ArrayLike, nominal: float
) -> Coverage | None:
    """Which share of what came lay in the middle ``nominal`` of what was told?

    Args:
        reached: per forecast the chance told of failing by the day the part failed or was last
            seen, shape (n,).
        failed: True where it failed, False where it was still good.
        part: whose forecast it is; forecasts of one part hang together.
        nominal: size of the range, 0.8 for 10–90 %.

    Returns:
        None where too few parts could be watched to the range's upper end for LEAST_BEYOND to
        be expected beyond it.

    The variance is the sum over parts of the squared influence on the Kaplan–Meier curve (the
    cluster form of Greenwood's; Williams, 1995, Biometrics 51); limits on the logit scale.

    >>> u = (np.arange(100) + 0.5) / 100
    >>> found = coverage(u, np.ones(100), np.arange(100), 0.8)
    >>> round(found.share, 2), round(found.lower, 2), round(found.upper, 2)
    (0.8, 0.71, 0.87)
    """
    u = np.asarray(reached, dtype=np.float64)
    came = np.asarray(failed, dtype=bool)
    low, high = 0.5 - nominal / 2, 0.5 + nominal / 2
    parts_of, whose = np.unique(np.asarray(part), return_inverse=True)
    parts = len(parts_of)
    times, place = np.unique(u, return_inverse=True)
    many = np.bincount(place, minlength=len(times)).astype(float)
    died = np.bincount(place, came.astype(float), minlength=len(times))
    at_risk = np.cumsum(many[::-1])[::-1]
    left = np.maximum(at_risk - died, 1)
    watched = np.prod(1 - ((many - died) / left)[times < high])
    watchable = float(
        parts * watched
    )  # parts that could have been watched to the range's upper end
    if watchable * (1 - high) < LEAST_BEYOND:
        return None
    survival = np.concatenate([[1.0], np.cumprod(1 - died / at_risk)])
    gained = np.concatenate([[0.0], np.cumsum(died / (at_risk * left))])

    def at(limit: float) -> tuple[float, Array]:
        """The curve at the limit, and each forecast's influence on it."""
        until = int(np.searchsorted(times, limit + 1e-12, side="right"))
        own = np.where(came & (place < until), 1 / left[place], 0.0)
        return float(survival[until]), -survival[until] * (
            own - gained[np.minimum(place + 1, until)]
        )

    (above_low, moves_low), (above_high, moves_high) = at(low), at(high)
    share = above_low - above_high
    by_part = np.bincount(whose, moves_low - moves_high)
    error = float(np.sqrt(np.sum(by_part**2) * parts / max(parts - 1, 1)))
    if len(np.unique(whose[u > high])) < FEW_BEYOND:
        # Where hardly any lived past the upper end the influences hardly vary: their share is
        # known no better than a binomial one with an outcome of each sort added.
        beyond = (watchable * above_high + 1) / (watchable + 2)
        error = max(error, float(np.sqrt(beyond * (1 - beyond) / (watchable + 2))))
    inside = min(max(share, 1 / (watchable + 2)), 1 - 1 / (watchable + 2))
    middle, half = np.log(inside / (1 - inside)), NORMAL_975 * error / (inside * (1 - inside))
    lower, upper = 1 / (1 + np.exp(-(middle + half * np.array([-1.0, 1.0]))))
    return Coverage(nominal, share, float(lower), float(upper))
