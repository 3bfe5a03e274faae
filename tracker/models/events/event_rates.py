"""How often does something happen, and has that changed? Exact answers for few events."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.errors import ModelError


@dataclass(frozen=True)
class RateInterval:
    """Events per unit of exposure, between limits; the mean exposure between two events."""

    events: int
    exposure: float
    rate: float
    lower: float
    upper: float
    level: float

    @property
    def mean_between(self) -> float:
        """Exposure per event; infinite without an event."""
        return 1 / self.rate if self.rate else float("inf")

    @property
    def mean_between_lower(self) -> float:
        """Known even without any event (then the tail of the upper limit of the rate)."""
        return 1 / self.upper

    @property
    def mean_between_upper(self) -> float:
        return 1 / self.lower if self.lower else float("inf")


@dataclass(frozen=True)
class RateRatio:
    """Rate of a over rate of b. NaN when neither had an event, infinite when only a had.

    ``p_doubled`` doubles the smaller tail and agrees with the limits; ``p_minlik`` adds all
    outcomes no likelier than the observed one (what R's ``poisson.test`` prints), and may fall
    below 0.05 while the limits still hold 1.
    """

    ratio: float
    lower: float
    upper: float
    p_doubled: float
    p_minlik: float
    level: float


def rate_interval(events: int, exposure: float, level: float = 0.95) -> RateInterval:
    """How many events per unit of exposure, given that so many were counted?

    ``exposure`` in any unit (printer-days, m²). Exact Poisson limits (Garwood 1936): with no
    event the lower limit is 0 and the upper one still finite.

    Raises ModelError for a negative or broken count and for an exposure that is not above 0.

    >>> rate = rate_interval(3, 100.0)
    >>> round(rate.rate, 3), round(rate.lower, 5), round(rate.upper, 5)
    (0.03, 0.00619, 0.08767)
    """
    from scipy.special import gammaincinv

    count, exposed = _count(events, "events"), _exposure(exposure, "exposure")
    tail = _tail(level)
    lower = float(gammaincinv(count, tail)) / exposed if count else 0.0
    upper = float(gammaincinv(count + 1, 1 - tail)) / exposed
    return RateInterval(count, exposed, count / exposed, lower, upper, level)


def rate_ratio(
    events_a: int,
    exposure_a: float,
    events_b: int,
    exposure_b: float,
    level: float = 0.95,
) -> RateRatio:
    """How much more often in a than in b, and could it be chance?

    Given the total, a's events are binomial; Clopper & Pearson (1934) limits for their share
    become limits for the ratio (Przyborowski & Wilenski 1940). Exact, so a little wide.

    Raises ModelError as ``rate_interval``.

    >>> ratio = rate_ratio(11, 800, 3, 1083)
    >>> round(ratio.ratio, 2), round(ratio.lower, 2), round(ratio.upper, 1)
    (4.96, 1.31, 27.7)
    """
    from scipy.special import betaincinv

    a, b = _count(events_a, "events_a"), _count(events_b, "events_b")
    time_a, time_b = _exposure(exposure_a, "exposure_a"), _exposure(exposure_b, "exposure_b")
    tail = _tail(level)
    share = time_a / (time_a + time_b)
    low = float(betaincinv(a, b + 1, tail)) if a else 0.0
    high = float(betaincinv(a + 1, b, 1 - tail)) if b else 1.0
    to_ratio = time_b / time_a
    return RateRatio(
        ratio=(a / b if b else float("inf") if a else float("nan")) * to_ratio,
        lower=low / (1 - low) * to_ratio,
        upper=high / (1 - high) * to_ratio if high < 1 else float("inf"),
        p_doubled=_doubled(a, a + b, share),
        p_minlik=_minlik(a, a + b, share),
        level=level,
    )


def _doubled(a: int, total: int, share: float) -> float:
    from scipy.special import bdtr, bdtrc

    at_most = float(bdtr(a, total, share))
    at_least = float(bdtrc(a - 1, total, share)) if a else 1.0
    return min(1.0, 2 * min(at_most, at_least))


def _minlik(a: int, total: int, share: float) -> float:
    from scipy.special import gammaln, xlog1py, xlogy

    k = np.arange(total + 1)
    log_choose = gammaln(total + 1) - gammaln(k + 1) - gammaln(total - k + 1)
    chance = np.exp(log_choose + xlogy(k, share) + xlog1py(total - k, -share))
    # Outcomes equally likely but for rounding count as equally likely, as in R.
    return float(min(1.0, chance[chance <= chance[a] * (1 + 1e-7)].sum()))


def _count(events: int, name: str) -> int:
    if not (events >= 0 and float(events).is_integer()):
        raise ModelError(f"{name} is {events!r}: a count of events is a whole number, 0 or more.")
    return int(events)


def _exposure(exposure: float, name: str) -> float:
    if not 0 < exposure < float("inf"):
        raise ModelError(f"{name} is {exposure!r}: the exposure watched must be above 0.")
    return float(exposure)


def _tail(level: float) -> float:
    if not 0 < level < 1:
        raise ModelError(f"level is {level}: the confidence must lie between 0 and 1, as 0.95.")
    return (1 - level) / 2
