"""Does an effect stay the same as parts age? The exact score test of proportional hazards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.models.regression.cox_risk_sets import CoxState, RiskSets

Transform = Literal["identity", "log", "km"]


@dataclass(frozen=True)
class HazardDrift:
    """Score statistics against "the effect is the same at every age".

    ``by_covariate`` has the columns statistic (chi-square, 1 degree of freedom) and p_value;
    ``statistic``, ``degrees_of_freedom`` and ``p_value`` are for all covariates together.
    """

    transform: str
    by_covariate: pd.DataFrame
    statistic: float
    degrees_of_freedom: int
    p_value: float


def hazard_drift(
    state: CoxState, names: tuple[str, ...], penalty: Array, transform: Transform
) -> HazardDrift:
    """Score test of adding x·g(age) to the fit, for each covariate and for all.

    The test of Grambsch & Therneau (1994) in its exact form (Therneau, survival 3.0 and later):
    the information of the enlarged model at the fitted coefficients, not its average.
    """
    from scipy.special import chdtrc

    g = _scale_of_age(state.sets, transform)
    g = g - np.average(g, weights=state.sets.ties) if len(g) else g
    score = state.score(g)
    plain = state.full_information + np.diag(penalty)
    crossed = state.information(g)
    squared = state.information(g * g)
    left = squared - crossed @ np.linalg.solve(plain, crossed) if names else squared
    own = np.diag(left)
    with np.errstate(invalid="ignore", divide="ignore"):
        # Nothing to test where age does not vary over the failures (one failure time).
        single = np.where(own > 1e-12 * (1 + np.diag(squared)), score**2 / own, np.nan)
    if names and np.isfinite(single).all():
        statistic = float(score @ np.linalg.solve(left, score))
    else:
        statistic = float("nan")
    table = pd.DataFrame(
        {"statistic": single, "p_value": chdtrc(1, single)}, index=list(names), dtype=np.float64
    )
    return HazardDrift(
        transform, table, statistic, len(names), float(chdtrc(max(len(names), 1), statistic))
    )


def _scale_of_age(sets: RiskSets, transform: str) -> Array:
    if transform == "identity":
        return sets.times
    if transform == "log":
        return np.log(sets.times)
    if transform == "km":
        return _share_failed_before(sets)
    raise ModelError(f"transform: {transform!r} is not known; use 'identity', 'log' or 'km'.")


def _share_failed_before(sets: RiskSets) -> Array:
    """One minus Kaplan and Meier's survival just before each failure time, strata pooled."""
    at_risk = sets.over_risk_sets(sets.cell_rows.astype(np.float64))
    times, which = np.unique(sets.times, return_inverse=True)
    pooled_risk = _pooled_at_risk(sets, at_risk, times, which)
    failures = np.bincount(which, sets.ties, minlength=len(times))
    survival = np.cumprod(1 - failures / pooled_risk)
    before = np.concatenate([[1.0], survival[:-1]])
    shares: Array = 1 - before[which]
    return shares


def _pooled_at_risk(sets: RiskSets, at_risk: Array, times: Array, which: Ints) -> Array:
    """At risk over all strata at each distinct time.

    A stratum without a failure at that time still has parts at risk; its number at its next
    failure time is the closest count the sums hold.
    """
    if len(times) == len(sets.times):
        return at_risk
    ends = np.flatnonzero(np.append(np.diff(sets.times) <= 0, True))
    begins = np.concatenate([[0], ends[:-1] + 1])
    pooled = np.zeros(len(times))
    for begin, end in zip(begins, ends + 1, strict=True):
        own = sets.times[begin:end]
        nearest = np.minimum(np.searchsorted(own, times), len(own) - 1)
        inside = times <= own[-1]
        pooled[inside] += at_risk[begin:end][nearest[inside]]
    return pooled
