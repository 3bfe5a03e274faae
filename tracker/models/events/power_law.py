"""A repairable thing whose events come at a pace that rises or falls as a power of its age.

Expected events by age t: (t / scale)^shape. Shape above 1: it is getting worse; below 1: it is
getting better; 1: a steady (Poisson) pace. (Crow 1974; MIL-HDBK-189, 1981.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.events.trend import EventHistory, EventTimes, Termination, event_history
from tracker.models.outcomes import Numbers, numbers


@dataclass(frozen=True)
class PowerLawProcess:
    """A fitted power-law process; ages and ``end`` in the unit of the event times.

    ``shape``, ``scale``, ``coefficient`` (events by age t: coefficient·t^shape) are the maximum
    likelihood estimates; ``shape_unbiased`` is (m − 1) / Σ ln(T/t), which the NIST handbook
    prints as the modified estimate, with ``coefficient_modified`` and ``mtbf_end_modified``
    belonging to it. ``shape_lower`` and ``shape_upper`` are exact chi-square limits.
    ``mtbf_end``: mean time between events of one unit at ``end`` (the longest watch) if the pace
    stayed as it is there.

    ``trend_statistic`` 2·Σ ln(T/t) is chi-square with ``trend_freedom`` under a steady pace
    (MIL-HDBK-189): small means worse, large means better. ``cramer_von_mises`` measures how far
    the events lie from the fitted law (see ``fit_chance``).
    """

    units: int
    events: int
    end: float
    terminated: Termination
    level: float
    shape: float
    scale: float
    coefficient: float
    log_likelihood: float
    log_likelihood_steady: float
    shape_unbiased: float
    shape_lower: float
    shape_upper: float
    coefficient_modified: float
    mtbf_end: float
    mtbf_end_modified: float
    mtbf_end_lower: float
    mtbf_end_upper: float
    trend_statistic: float
    trend_freedom: int
    p_value: float
    p_worse: float
    p_better: float
    cramer_von_mises: float

    @property
    def intensity_end(self) -> float:
        """Events per unit of time at ``end``."""
        return 1 / self.mtbf_end

    @property
    def likelihood_ratio(self) -> float:
        """Twice the log-likelihood gained over a steady pace; chi-square with 1 freedom."""
        return 2 * (self.log_likelihood - self.log_likelihood_steady)

    def expected_events(self, age: Numbers) -> Array:
        """How many events has a unit had, on average, by these ages?"""
        return self.coefficient * numbers(age, "age") ** self.shape

    def fit_chance(self, generator: np.random.Generator, draws: int = 4000) -> float:
        """How often would a true power law lie as far from its fit as these events do?

        The chance of a larger Cramér–von Mises statistic, by simulation: given their number, the
        terms shape·ln(T/t) of a true law are exponential whatever its parameters.
        """
        inner = self.trend_freedom // 2
        if inner < 3:
            raise NotEnoughData(
                _("{events} events cannot show whether a power law fits: 3 needed.", events=inner)
            )
        statistics = _cramer_von_mises(generator.exponential(size=(draws, inner)))
        return float((statistics >= self.cramer_von_mises).mean())


def power_law_process(
    event_times: EventTimes,
    end_time: Any = None,
    terminated: Termination = "time",
    level: float = 0.95,
) -> PowerLawProcess:
    """Is the pace of events changing with age, how fast, and what is it now?

    Event times, ``end_time`` and ``terminated`` as in ``laplace_trend``; several units are taken
    as copies of one process, each watched from age 0 to its own end.

    The limits of the mean time between events at the end are Crow's approximation as the NIST
    handbook (8.4.5.1) gives it where watching ended by time, exact (a product of two gamma
    variables) for one unit watched up to its last event, and the delta method on the log scale
    for several units watched over different times.

    Raises NotEnoughData with fewer than two events inside the watch, or all of them at its end.

    >>> process = power_law_process([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500)
    >>> round(process.shape, 4), round(process.shape_unbiased, 4), round(process.p_better, 4)
    (0.5372, 0.4835, 0.011)
    """
    from scipy.special import chdtr, chdtrc, gammaincinv

    if not 0 < level < 1:
        raise ModelError(
            _("level is {level}: the confidence must lie between 0 and 1, as 0.95.", level=level)
        )
    history = event_history(event_times, end_time, terminated)
    inner = history.inner_events
    logs = -np.log(history.shares)
    total = float(logs.sum())
    if inner < 2 or total == 0:
        raise NotEnoughData(
            _(
                "{events} events inside the watch (before its end: {before_end}): a trend needs at "
                "least 2.",
                events=inner,
                before_end=int((logs > 0).sum()),
            )
        )
    end, n = float(history.end.max()), history.events
    shape = _shape(history, end)
    exposure = float(np.sum((history.end / end) ** shape))
    log_times = sum(float(np.log(times).sum()) for times in history.times)
    log_coefficient = math.log(n / exposure) - shape * math.log(end)
    unbiased = (inner - 1) / total
    exposure_modified = float(np.sum((history.end / end) ** unbiased))
    coefficient_modified = n / exposure_modified / end**unbiased
    mtbf = exposure * end / (n * shape)
    lower, upper = _mtbf_limits(history, terminated, total, shape, mtbf, level)
    tail = (1 - level) / 2
    worse, better = float(chdtr(2 * inner, 2 * total)), float(chdtrc(2 * inner, 2 * total))
    return PowerLawProcess(
        units=len(history.times),
        events=n,
        end=end,
        terminated=terminated,
        level=level,
        shape=shape,
        scale=math.exp(-log_coefficient / shape),
        coefficient=math.exp(log_coefficient),
        log_likelihood=n * (log_coefficient + math.log(shape)) + (shape - 1) * log_times - n,
        log_likelihood_steady=n * math.log(n / history.end.sum()) - n,
        shape_unbiased=unbiased,
        shape_lower=float(gammaincinv(inner, tail)) / total,
        shape_upper=float(gammaincinv(inner, 1 - tail)) / total,
        coefficient_modified=coefficient_modified,
        mtbf_end=mtbf,
        mtbf_end_modified=exposure_modified * end / (n * unbiased),
        mtbf_end_lower=lower,
        mtbf_end_upper=upper,
        trend_statistic=2 * total,
        trend_freedom=2 * inner,
        p_value=2 * min(worse, better),
        p_worse=worse,
        p_better=better,
        cramer_von_mises=float(_cramer_von_mises(logs[None, :])[0]),
    )


def _shape(history: EventHistory, end: float) -> float:
    """The maximum likelihood shape: the root of a falling function, by halving.

    n/β − Σ ln(end/t) − n·(mean of ln(T/end), weighted by (T/end)^β) = 0.
    """
    n = history.events
    logs = sum(float(np.log(end / times).sum()) for times in history.times)
    ratio = np.log(history.end / end)

    def slope(shape: float) -> float:
        weight = np.exp(shape * ratio)
        return n / shape - logs - n * float(weight @ ratio) / float(weight.sum())

    low = n / logs if logs > 0 else 1.0  # the root itself when all were watched equally long
    if np.all(ratio == 0):
        return low
    high = 2 * low
    while slope(high) > 0:
        low, high = high, 2 * high
        if high > 1e6:
            raise NotEnoughData(
                _("Every event lies at the end of its watch: no finite trend fits.")
            )
    for _step in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if slope(middle) > 0 else (low, middle)
    return (low + high) / 2


def _mtbf_limits(
    history: EventHistory,
    terminated: str,
    total: float,
    shape: float,
    mtbf: float,
    level: float,
) -> tuple[float, float]:
    """Limits of one unit's mean time between events at the end of the longest watch."""
    n, end, units = history.events, float(history.end.max()), len(history.end)
    z = NormalDist().inv_cdf((1 + level) / 2)
    if terminated == "time" and (history.end == end).all():
        # Equal watches add up to one process with `units` times the intensity.
        scaled = units * end * total
        widest = n - math.sqrt(n / 2) * z
        below = n + z**2 / 4 + math.sqrt(n * z**2 / 2 + z**4 / 16)
        return scaled / below**2, scaled / widest**2 if widest > 0 else math.inf
    if units == 1:
        tail = (1 - level) / 2
        scaled = end * total
        return scaled / _product_quantile(n, 1 - tail), scaled / _product_quantile(n, tail)
    ratio = np.log(history.end / end)
    weight = np.exp(shape * ratio)
    weight *= n / weight.sum()
    cross, square = float(weight @ ratio), n / shape**2 + float(weight @ ratio**2)
    information = np.array([[n, cross], [cross, square]])
    gradient = np.array([1.0, 1 / shape])
    spread = math.exp(z * math.sqrt(float(gradient @ np.linalg.solve(information, gradient))))
    return mtbf / spread, mtbf * spread


def _product_quantile(n: int, p: float) -> float:
    """Quantile of the product of independent Gamma(n − 1) and Gamma(n) variables.

    At the last event of a failure-terminated watch, intensity · T · Σ ln(T/t) is such a product.
    """
    from scipy.optimize import brentq
    from scipy.special import gammainc, gammaincinv

    nodes, weights = np.polynomial.legendre.leggauss(64)
    second = gammaincinv(n, (nodes + 1) / 2)  # equal-chance steps of the second variable

    def excess(log_product: float) -> float:
        below = gammainc(n - 1, math.exp(log_product) / second)
        return float(weights @ below) / 2 - p

    # Both factors below their p/2 quantiles are rarer than p; likewise above. So the root lies
    # between those products.
    tails = np.array([p / 2, 1 - (1 - p) / 2])
    bracket = np.log(gammaincinv(n - 1, tails) * gammaincinv(n, tails))
    return math.exp(float(brentq(excess, *bracket)))


def _cramer_von_mises(logs: Array) -> Array:
    """The statistic of each row of ln(T/t) values, the shape estimated without bias."""
    m = logs.shape[1]
    shape = (m - 1) / logs.sum(axis=1, keepdims=True)
    share = np.sort(np.exp(-shape * logs), axis=1)
    middle = (2 * np.arange(1, m + 1) - 1) / (2 * m)
    return 1 / (12 * m) + ((share - middle) ** 2).sum(axis=1)
