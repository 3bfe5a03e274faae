"""Does the fitted curve follow the lives? A probability plot for censored lives, ready to draw.

Each failure age is set against the share that had failed by then, on axes on which the family is a
straight line. The share is the middle of the Kaplan–Meier step, 1 − (S before + S after) / 2
(Meeker & Escobar 1998, section 6.4), which for lives that have all failed is (i − ½) / n.

With delayed entry the steps only tell about lives that reached the first watched age; they are
set on the fitted curve there (Meeker & Escobar 1998, section 11.6), so their slope, not their
height, speaks for the fit. The steps start where no later risk set runs empty.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tracker.arrays import Array
from tracker.errors import NotEnoughData
from tracker.language import _
from tracker.models.curves.risk_sets import given_alive_at, risk_table
from tracker.models.fit.families import Family
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.fitting import fit_outcomes
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes

if TYPE_CHECKING:
    import pandas as pd


_SHARES = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99)


@dataclass(frozen=True, eq=False)
class ProbabilityPlot:
    """A probability plot as frames.

    ``points``: age, failures, failed_share, x, y for each age at which a failure was seen.
    ``line``: age, failed_share, lower, upper, x, y, y_lower, y_upper of the fitted curve with its
    pointwise likelihood-ratio band. ``y_ticks``: failed_share, y for the axis. x is log₁₀ age (age
    itself for the exponential). ``start_age`` > 0 where the points are set on the curve. ``note``
    says in words what the points are.
    """

    fit: LifeFit
    points: pd.DataFrame
    line: pd.DataFrame
    y_ticks: pd.DataFrame
    start_age: float
    note: str


def probability_plot(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    family: str = "weibull",
    level: float = 0.95,
    points: int = 60,
) -> ProbabilityPlot:
    """Do the failures lie along the fitted curve?

    A failure found between two checks is set at the middle of its interval for the points; the
    fitted line uses the interval itself.

    Raises as ``fit_life``.

    >>> plot = probability_plot([54, 187, 240, 500], [1, 1, 1, 0])
    >>> plot.points["failed_share"].tolist()
    [0.125, 0.375, 0.625]
    """
    import pandas as pd

    lives = check_outcomes(age, failed, entry, last_ok, weight)
    fit = fit_outcomes(lives, family)
    at, failures, share, start_age = plotting_positions(lives, fit)
    shown = pd.DataFrame({"age": at, "failures": failures, "failed_share": share})
    shown["x"] = _x(fit.kind, at)
    shown["y"] = _y(fit.kind, share)

    low = fit.remaining_life(min(0.5 * float(share.min()), 0.05), 0.0)
    first = max(min(float(at.min()), low), 1e-9)
    last = max(float(lives.age.max()), float(at.max()), first * 1.01)
    if fit.kind.fixed_shape is not None:
        ages = np.linspace(first, last, points)
    else:
        ages = np.geomspace(first, last, points)
    band = fit.survival_band(ages, level)
    line = pd.DataFrame(
        {
            "age": ages,
            "failed_share": 1.0 - band["survival"],
            "lower": 1.0 - band["upper"],
            "upper": 1.0 - band["lower"],
            "x": _x(fit.kind, ages),
        }
    )
    for name, source in (("y", "failed_share"), ("y_lower", "lower"), ("y_upper", "upper")):
        line[name] = _y(fit.kind, line[source].to_numpy())
    ticks = pd.DataFrame({"failed_share": _SHARES, "y": _y(fit.kind, np.array(_SHARES))})
    return ProbabilityPlot(fit, shown, line, ticks, start_age, _note(lives, fit, start_age))


def plotting_positions(lives: Outcomes, fit: LifeFit) -> tuple[Array, Array, Array, float]:
    """(ages of failures, failures there, share failed by the middle of the step, start age)."""
    middle = np.where(lives.interval, 0.5 * (lives.last_ok + lives.age), lives.age)
    exact = np.full(len(lives), np.nan)
    dated = Outcomes(middle, lives.failed, lives.entry, exact, lives.weight)
    dated = dated.take(dated.weight > 0)
    start_age = float(dated.entry.min())
    collapses = risk_table(dated).collapse_ages
    if len(collapses):
        start_age = max(start_age, float(collapses[-1]))
    table = risk_table(given_alive_at(dated, start_age))
    seen = table.failures > 0
    if not seen.any():
        raise NotEnoughData(
            _(
                "no failure was seen past age {start_age}, from where on enough lives were "
                "watched together: a probability plot needs lives watched over the same ages.",
                start_age=f"{start_age:g}",
            )
        )
    alive = np.cumprod(1.0 - table.failures / table.at_risk)
    before = np.concatenate([[1.0], alive[:-1]])
    reached = float(fit.survival(start_age)) if start_age > 0 else 1.0
    share = 1.0 - reached * 0.5 * (before + alive)[seen]
    return table.age[seen], table.failures[seen].astype(np.float64), share, start_age


def _x(family: Family, age: Array) -> Array:
    return age if family.fixed_shape is not None else np.log10(age)


def _y(family: Family, share: Array) -> Array:
    """The axis on which the family is straight; NaN where nothing or all has failed."""
    inside = (share > 0.0) & (share < 1.0)
    y = np.full(len(share), np.nan)
    if family.fixed_shape is not None:
        y[inside] = -np.log1p(-share[inside])
    else:
        y[inside] = family.standard_quantile(share[inside])
    return y


def _note(lives: Outcomes, fit: LifeFit, start_age: float) -> str:
    text = _("Points: the middle of each Kaplan–Meier step.")
    if start_age > 0:
        text += _(
            " No life was watched soundly before age {start_age}, so the points are set "
            "on the fitted curve there: judge their slope, not their height.",
            start_age=f"{start_age:g}",
        )
    if lives.interval.any():
        text += _(" Failures found at a check are drawn at the middle of their interval.")
    return text
