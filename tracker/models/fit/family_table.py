"""Which life family fits best? Every family's fit side by side, the best first.

Once with our own fits throughout (``compare_families``), once for people to look at
(``family_table``), where the families beside the Weibull are lifelines'.
"""

from __future__ import annotations

import math
import warnings
from typing import TYPE_CHECKING, Any

import numpy as np

from tracker.errors import NotEnoughData
from tracker.models.fit.families import FAMILIES
from tracker.models.fit.fitted_life import akaike
from tracker.models.fit.fitting import fit_counts
from tracker.models.fit.life_curve import LifeCurve
from tracker.models.fit.likelihood import LifeCounts, count_lives
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes

if TYPE_CHECKING:
    import pandas as pd

_MOST_LIVES = 2000  # with more, lifelines' three fits take longer than 0.3 s


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
    counts = count_lives(check_outcomes(age, failed, entry, last_ok, weight))
    return _ranked([_own(counts, name) for name in families])


def family_table(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
) -> pd.DataFrame:
    """``compare_families`` for people to look at, with lifelines' fits where they can be trusted.

    The Weibull stays ours: its limits are shown beside the table, and no number may stand there
    twice. So do lives whose failures lie between two checks: lifelines cuts the chance of such a
    failure off at 1e-25 and, together with delayed entry, then runs to a rate without end.

    >>> family_table([54, 187, 240, 500], [1, 1, 1, 0])["aicc"].round(2).to_dict()["lognormal"]
    56.08
    """
    lives = check_outcomes(age, failed, entry, last_ok)
    counts = count_lives(lives)
    trusted = not lives.interval.any() and lives.events > 1 and len(lives) <= _MOST_LIVES
    rows = []
    for name in FAMILIES:
        theirs = _by_lifelines(lives, name) if trusted and name != "weibull" else None
        rows.append(theirs or _own(counts, name))
    return _ranked(rows)


def _own(counts: LifeCounts, name: str) -> dict[str, Any]:
    try:
        fit = fit_counts(counts, name)
    except NotEnoughData as problem:
        return {"family": name, "aicc": math.inf, "why_not": str(problem)}
    return _row(fit, fit.log_likelihood, fit.lives)


def _by_lifelines(lives: Outcomes, name: str) -> dict[str, Any] | None:
    """The row of a family that lifelines fits; None where its search did not settle."""
    from lifelines import ExponentialFitter, LogLogisticFitter, LogNormalFitter
    from lifelines.exceptions import ConvergenceError, StatisticalWarning

    fitters = {
        "exponential": ExponentialFitter,
        "lognormal": LogNormalFitter,
        "loglogistic": LogLogisticFitter,
    }
    entry = lives.entry if lives.has_entry else None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", StatisticalWarning)
            fit = fitters[name]().fit(lives.age, lives.failed, entry=entry)
    except (ConvergenceError, StatisticalWarning):
        return None
    first, second = [*fit.params_, 1.0][:2]
    if name == "lognormal":  # its own parameters are mu and sigma
        first, second = math.exp(first), 1.0 / second
    return _row(LifeCurve(name, float(second), float(first)), fit.log_likelihood_, lives.lives)


def _row(curve: LifeCurve, log_likelihood: float, lives: float) -> dict[str, Any]:
    parameters = 2 if curve.kind.fixed_shape is None else 1
    aic, aicc = akaike(log_likelihood, parameters, lives)
    return {
        "family": curve.family,
        "parameters": parameters,
        "log_likelihood": log_likelihood,
        "aic": aic,
        "aicc": aicc,
        "shape": curve.shape,
        "scale": curve.scale,
        "b10": curve.remaining_life(0.1, 0.0),
        "mean_life": curve.mean_life,
        "why_not": "",
    }


def _ranked(rows: list[dict[str, Any]]) -> pd.DataFrame:
    import pandas as pd

    fitted = [row for row in rows if not row["why_not"]]
    if not fitted:
        raise NotEnoughData(rows[0]["why_not"])
    table = pd.DataFrame(rows).set_index("family")
    criterion = table["aicc"].to_numpy()
    if not np.isfinite(criterion).any():  # too few lives for the correction
        criterion = table["aic"].to_numpy()
    support = np.exp(-0.5 * (criterion - np.nanmin(criterion)))
    table["weight"] = np.nan_to_num(support) / np.nansum(support)
    table["rank"] = np.where(np.isnan(criterion), np.inf, criterion)
    table = table.sort_values(["rank", "parameters"], kind="stable")
    order = ["parameters", "log_likelihood", "aic", "aicc", "weight", "shape", "scale"]
    return table[[*order, "b10", "mean_life", "why_not"]]
