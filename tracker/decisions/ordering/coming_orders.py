"""At which reviews to come will a kind be ordered again?

The shelf is looked at every so many days; whenever what is there and under way has fallen below
its level, whole packs bring it back to the level or a little above. So a kind that is used often
is ordered at nearly every review, and each of those orders can carry others.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.ordering.stretched_need import StretchedNeed

_POISSON = 1e7  # pieces' worth of knowledge from which the rate is as good as known


def chances_of_order(need: StretchedNeed, slack: int, pack: int, reviews: Array) -> Array:
    """How likely is an order of the kind at each of the reviews?

    ``slack``: pieces there and under way above the level, 0 or more; ``reviews``: days from now,
    rising. Not only the first order counts: the chances may well add up to more than 1. Exact for
    a need that comes singly at a rate of which only a gamma law is known, constant in time; after
    m pieces by one review the need up to the next is negative binomial (Greenwood & Yule, 1920,
    Journal of the Royal Statistical Society 83).

    >>> chances_of_order(StretchedNeed(0.1, 0.0), 0, 1, np.array([30.0, 60.0])).round(3)
    array([0.95, 0.95])
    >>> chances_of_order(StretchedNeed(0.1, 0.0), 5, 1, np.array([30.0, 60.0])).round(3)
    array([0.084, 0.55 ])
    """
    found = np.empty(len(reviews))
    since = 0.0
    for place, until in enumerate(reviews):
        law = need.chances(since) if since > 0 else np.ones(1)
        used = np.arange(len(law))
        # How many more pieces can be used without an order.
        left = np.where(used <= slack, slack - used, pack - 1 - (used - slack - 1) % pack)
        found[place] = 1 - law @ _at_most(need, left, used, since, float(until))
        since = float(until)
    return np.clip(found, 0.0, 1.0)


def days_until_ordered(need: StretchedNeed, slack: NDArray[np.int64], reviews: Array) -> Array:
    """After how many days, on average, is each of these slacks used up at a review?

    At most the last review: what is not ordered by then counts with that day.
    """
    pieces = slack + 1
    begins = np.concatenate([[0.0], reviews[:-1]])
    waits = [need.below(pieces, day) if day > 0 else np.ones(len(pieces)) for day in begins]
    return np.asarray(np.diff(reviews, prepend=0.0) @ np.stack(waits))


def _at_most(
    need: StretchedNeed, pieces: NDArray[np.int64], used: NDArray[np.int64], since: float,
    until: float,
) -> Array:  # fmt: skip
    """The chance of needing at most so many between two days after so many by the first."""
    from scipy.special import betainc, gammaincc

    known = need.daily**2 / need.extra_daily if need.extra_daily > 0 else np.inf
    if known > _POISSON:
        return np.asarray(gammaincc(pieces + 1, need.daily * (until - since)))
    days = need.daily / need.extra_daily
    return np.asarray(betainc(known + used, pieces + 1, (days + since) / (days + until)))
