"""Which smooth life curve fits these lives, and how sure is it?

Maximum likelihood for the exponential, Weibull, lognormal and log-logistic families with
right-censored lives, failures found between two checks, delayed entry and weights; limits by the
likelihood ratio. Source: Meeker & Escobar, Statistical Methods for Reliability Data (1998),
chapters 7, 8 and 11.
"""

from __future__ import annotations

import math

import numpy as np

from tracker.errors import NotEnoughData
from tracker.language import _
from tracker.models.fit.families import family_named
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.likelihood import LifeCounts, count_lives
from tracker.models.fit.maximum import highest
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes


def fit_life(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    family: str = "weibull",
) -> LifeFit:
    """Which curve of one family makes these lives most likely?

    ``age`` at the end of watching, ``failed`` (True = failed then, False = right-censored),
    ``entry`` age when watching began, ``last_ok`` age at the last good check (the failure lies in
    (last_ok, age]), ``weight`` equal lives per row.

    Raises ModelError for numbers that cannot be lives; NotEnoughData where no maximum exists (no
    failure, one failure, all failures at the greatest age, a shape running to zero under delayed
    entry), with what is possible instead.

    >>> age = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10
    >>> fit = fit_life(age, [True] * 10 + [False] * 10)  # NIST/SEMATECH e-Handbook 8.4.1
    >>> fit
    LifeFit(weibull: shape 1.721, scale 606.53; 10 failures of 20 lives, log-likelihood -75.1346)
    >>> print(fit.quantile(0.1))
    164 (95%: 59.85 to 271.9)
    """
    return fit_outcomes(check_outcomes(age, failed, entry, last_ok, weight), family)


def fit_outcomes(outcomes: Outcomes, family: str = "weibull") -> LifeFit:
    """``fit_life`` for lives that passed the gate already."""
    return fit_counts(count_lives(outcomes), family)


def fit_counts(counts: LifeCounts, family: str = "weibull") -> LifeFit:
    """``fit_life`` for lives that were counted already (several families on one count)."""
    kind = family_named(family)
    peak = highest(counts, kind)
    log_scale = counts.centre - peak.a / peak.b
    if abs(log_scale) > 690.0:
        raise NotEnoughData(
            _(
                "{events} failures among {lives} lives put the {title} scale at "
                "10^{log_scale}: no life is that long. Wait for more failures.",
                events=f"{counts.events:g}",
                lives=f"{counts.lives:g}",
                title=_(kind.title),
                log_scale=f"{log_scale / math.log(10):.0f}",
            )
        )
    shape, scale = peak.b, math.exp(log_scale)
    # mu = centre − a / b: covariance of (shape, scale) by the delta method
    by_a, by_b = -scale / shape, scale * peak.a / shape**2
    cross = by_a * peak.covariance + by_b * peak.variance_b
    of_scale = (
        by_a**2 * peak.variance_a + 2 * by_a * by_b * peak.covariance + by_b**2 * peak.variance_b
    )
    if kind.fixed_shape is not None:
        covariance = np.array([[of_scale]])
    else:
        covariance = np.array([[peak.variance_b, cross], [cross, of_scale]])
    return LifeFit(
        kind.name, shape, scale, peak.value, counts.events, counts.lives, covariance, counts, peak
    )
