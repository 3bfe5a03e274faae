"""One ratio of rates from several pairs of counts, each pair compared within itself only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints

_FARTHEST = 30.0  # of the log ratio; beyond it a limit counts as open
_WIDE = 512  # a law of more values is cut off at both ends
_CUT = 1e-18  # chance cut off at each end, each time


@dataclass(frozen=True)
class CommonRatio:
    """The rate of a over that of b, the same in every pair: 95 % limits, doubled-tail p-value.

    NaN without any event; 0 or infinite where only one of the two had events.
    """

    ratio: float
    lower: float
    upper: float
    p_value: float
    pairs: int


def common_ratio(
    events_a: Sequence[int],
    exposure_a: Sequence[float],
    events_b: Sequence[int],
    exposure_b: Sequence[float],
    level: float = 0.95,
) -> CommonRatio:
    """How much more often in a than in b, when only a and b of the same pair may be compared?

    Given the events of a pair, a's share of them is binomial; over the pairs a's sum has the
    convolution of those laws, whatever the pairs' own rates are. Limits turn its tails over,
    exactly (so a little wide); the ratio is the conditional maximum of the likelihood (Breslow &
    Day 1987, Statistical Methods in Cancer Research II, section 3.4). With one pair it is
    ``rate_ratio``. Exposures above 0.

    Of more than 512 events the far ends of the law are left out while it is built, so that work
    grows with the spread of the sum and not with all events. What is left out of a tail, and so
    the error of the p-value and of the chance beyond a limit, is at most 2e-18 times the pairs.

    >>> found = common_ratio([11, 2], [800, 500], [3, 1], [1083, 600])
    >>> round(found.ratio, 2), round(found.lower, 2), round(found.upper, 1)
    (4.31, 1.33, 18.1)
    """
    a, b = np.asarray(events_a, dtype=np.int64), np.asarray(events_b, dtype=np.int64)
    odds = np.log(np.asarray(exposure_a, dtype=np.float64) / np.asarray(exposure_b, np.float64))
    total, seen = a + b, int(a.sum())
    if total.sum() == 0:
        return CommonRatio(np.nan, 0.0, np.inf, 1.0, 0)
    with_events = total > 0
    total, odds = total[with_events], odds[with_events]
    tail = (1 - level) / 2
    sums = _SumOfBinomials.of(total)

    def shares(log_ratio: float) -> Array:
        share: Array = 1 / (1 + np.exp(-(odds + log_ratio)))
        return share

    most = int(total.sum())
    ratio, lower, upper = np.inf, 0.0, np.inf
    if seen < most:
        upper = _root(lambda at: sums.tails(shares(at), seen)[0] - tail)
    if seen > 0:
        lower = _root(lambda at: tail - sums.tails(shares(at), seen)[1])
    if seen == 0:
        ratio = 0.0
    elif seen < most:
        ratio = _root(lambda at: seen - float(total @ shares(at)))
    p_value = min(1.0, 2 * min(sums.tails(shares(0.0), seen)))
    return CommonRatio(ratio, lower, upper, float(p_value), int(with_events.sum()))


@dataclass(frozen=True, eq=False)
class _SumOfBinomials:
    """The sum of so many trials of each pair: ``total`` of each, and the logs of the numbers of
    ways, (pairs, most trials + 1), −∞ beyond a pair's own."""

    total: Ints
    log_ways: Array

    @classmethod
    def of(cls, total: Ints) -> _SumOfBinomials:
        from scipy.special import gammaln

        trials, hits = total[:, None], np.arange(int(total.max()) + 1)
        ways = gammaln(trials + 1) - gammaln(hits + 1)
        ways -= gammaln(np.maximum(trials - hits, 0) + 1)
        return cls(total, np.where(hits <= trials, ways, -np.inf))

    def tails(self, share: Array, seen: int) -> tuple[float, float]:
        """The chances of at most so many hits, and of at least so many."""
        from scipy.special import xlog1py, xlogy

        trials, hits = self.total[:, None], np.arange(self.log_ways.shape[1])
        missed = np.maximum(trials - hits, 0)
        laws = np.exp(
            self.log_ways + xlogy(hits, share[:, None]) + xlog1py(missed, -share[:, None])
        )
        law, first = np.ones(1), 0
        for own, trials_of in zip(laws, self.total.tolist(), strict=True):
            law = np.convolve(law, own[: trials_of + 1])
            if len(law) > _WIDE:
                low = int(np.searchsorted(np.cumsum(law), _CUT, side="right"))
                high = int(np.searchsorted(np.cumsum(law[::-1]), _CUT, side="right"))
                law, first = law[low : len(law) - high], first + low
        at = min(max(seen - first, 0), len(law))  # where ``seen`` stands in what is left
        return float(law[: max(seen - first + 1, 0)].sum()), float(law[at:].sum())


def _root(falling: Callable[[float], float]) -> float:
    """exp of where a falling function of the log ratio crosses 0."""
    from scipy.optimize import brentq

    return float(np.exp(brentq(falling, -_FARTHEST, _FARTHEST, xtol=1e-10)))
