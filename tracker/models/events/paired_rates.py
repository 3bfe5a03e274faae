"""One ratio of rates from several pairs of counts, each pair compared within itself only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints

_FARTHEST = 30.0  # of the log ratio; beyond it a limit counts as open


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

    def shares(log_ratio: float) -> Array:
        share: Array = 1 / (1 + np.exp(-(odds + log_ratio)))
        return share

    def law(log_ratio: float) -> Array:
        return _sum_of_binomials(total, shares(log_ratio))

    most = int(total.sum())
    ratio, lower, upper = np.inf, 0.0, np.inf
    if seen < most:
        upper = _root(lambda at: law(at)[: seen + 1].sum() - tail)
    if seen > 0:
        lower = _root(lambda at: tail - law(at)[seen:].sum())
    if seen == 0:
        ratio = 0.0
    elif seen < most:
        ratio = _root(lambda at: seen - float(total @ shares(at)))
    at_one = law(0.0)
    p_value = min(1.0, 2 * min(at_one[: seen + 1].sum(), at_one[seen:].sum()))
    return CommonRatio(ratio, lower, upper, float(p_value), int(with_events.sum()))


def _sum_of_binomials(total: Ints, share: Array) -> Array:
    from scipy.special import gammaln, xlog1py, xlogy

    law = np.ones(1)
    for n, p in zip(total.tolist(), share.tolist(), strict=True):
        k = np.arange(n + 1)
        log_choose = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
        law = np.convolve(law, np.exp(log_choose + xlogy(k, p) + xlog1py(n - k, -p)))
    return law


def _root(falling: Callable[[float], float]) -> float:
    """exp of where a falling function of the log ratio crosses 0."""
    from scipy.optimize import brentq

    return float(np.exp(brentq(falling, -_FARTHEST, _FARTHEST, xtol=1e-10)))
