"""Which smooth life curve fits these lives, and how sure is it?

Maximum likelihood for the exponential, Weibull, lognormal and log-logistic families with
right-censored lives, failures found between two checks, delayed entry and weights; limits by the
likelihood ratio. Source: Meeker & Escobar, Statistical Methods for Reliability Data (1998),
chapters 7, 8 and 11.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from tracker.errors import NotEnoughData
from tracker.models.fit.families import FAMILIES, family_named
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.likelihood import LifeCounts, count_lives
from tracker.models.fit.maximum import highest
from tracker.models.fit.profile_limits import Estimate
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Estimate", "LifeFit", "compare_families", "fit_counts", "fit_life", "fit_outcomes"]


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
            f"{counts.events:g} failures among {counts.lives:g} lives put the {kind.title} scale "
            f"at 10^{log_scale / math.log(10):.0f}: no life is that long. Wait for more failures."
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


def compare_families(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    families: tuple[str, ...] = tuple(FAMILIES),
) -> pd.DataFrame:
    """Which life family fits best? One row per family, best first.

    Columns: parameters (how many), log_likelihood, aic, aicc, weight (Akaike weight: relative
    support, sums to 1), shape, scale, b10, mean_life, why_not ("" where it was fitted). Sorted by
    AICc. A difference below 2 says nothing; from 4 on the worse one has little support
    (Burnham & Anderson 2002, section 2.6).

    >>> compare_families([54, 187, 240, 500], [1, 1, 1, 0]).index.tolist()[0]
    'exponential'
    """
    import pandas as pd

    counts = count_lives(check_outcomes(age, failed, entry, last_ok, weight))
    rows: list[dict[str, Any]] = []
    for name in families:
        try:
            fit = fit_counts(counts, name)
        except NotEnoughData as problem:
            rows.append({"family": name, "aicc": math.inf, "why_not": str(problem)})
            continue
        rows.append(
            {
                "family": name,
                "parameters": fit.parameter_count,
                "log_likelihood": fit.log_likelihood,
                "aic": fit.aic,
                "aicc": fit.aicc,
                "shape": fit.shape,
                "scale": fit.scale,
                "b10": fit.remaining_life(0.1, 0.0),
                "mean_life": fit.mean_life,
                "why_not": "",
            }
        )
    fitted = [row for row in rows if not row["why_not"]]
    if not fitted:
        raise NotEnoughData(rows[0]["why_not"])
    order = ["parameters", "log_likelihood", "aic", "aicc", "weight", "shape", "scale"]
    table = pd.DataFrame(rows).set_index("family")
    criterion = table["aicc"].to_numpy()
    if not np.isfinite(criterion).any():  # too few lives for the correction
        criterion = table["aic"].to_numpy()
    support = np.exp(-0.5 * (criterion - np.nanmin(criterion)))
    table["weight"] = np.nan_to_num(support) / np.nansum(support)
    table["rank"] = np.where(np.isnan(criterion), np.inf, criterion)
    table = table.sort_values(["rank", "parameters"], kind="stable")
    return table[[*order, "b10", "mean_life", "why_not"]]
