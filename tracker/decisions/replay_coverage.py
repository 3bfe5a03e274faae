"""Did the ranges of remaining life hold what they promised?

Each forecast is read at what came: u = the chance, as told then, of the part having failed by the
day it did. Right forecasts make u even between 0 and 1, so a 10–90 % range has held when u lies
between 0.1 and 0.9. A part that still runs, or was taken out working, only says that u is larger
than the value reached; such forecasts are censored at it, and the share of u between the limits
is read from the Kaplan–Meier curve over u. Leaving them out would count the early failures only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

LEAST_AT_RISK = 10  # forecasts still open at the range's upper end, below which nothing is told
_NORMAL_95 = 1.959964


@dataclass(frozen=True)
class Coverage:
    """The share of outcomes that fell in a range of that ``nominal`` size, with 95 % limits.

    The limits count each part once, however often its life was told (see ``coverage``).
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
        None where fewer than LEAST_AT_RISK forecasts reach the range's upper end.

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
    if np.sum(u >= high) < LEAST_AT_RISK:
        return None
    times, place = np.unique(u, return_inverse=True)
    died = np.bincount(place, came.astype(float), minlength=len(times))
    at_risk = np.cumsum(np.bincount(place, minlength=len(times))[::-1])[::-1].astype(float)
    survival = np.concatenate([[1.0], np.cumprod(1 - died / at_risk)])
    left = np.maximum(at_risk - died, 1)  # more than one up to the range's end, see above
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
    whose = np.unique(np.asarray(part), return_inverse=True)[1]
    by_part = np.bincount(whose, moves_low - moves_high)
    parts = len(by_part)
    error = float(np.sqrt(np.sum(by_part**2) * parts / max(parts - 1, 1)))
    inside = min(max(share, 1e-3), 1 - 1e-3)
    middle, half = np.log(inside / (1 - inside)), _NORMAL_95 * error / (inside * (1 - inside))
    lower, upper = 1 / (1 + np.exp(-(middle + half * np.array([-1.0, 1.0]))))
    return Coverage(nominal, share, float(lower), float(upper))
