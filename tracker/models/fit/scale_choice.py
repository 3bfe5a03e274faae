"""Days or printed area: by which scale do lives end more alike?

Both models are judged on one footing, the chance of what was seen on the calendar: an exact
failure at area u has the area model's density times the printing rate there (area per day), a
running life or a failure known to lie between two checks has the same chance on either scale.
The two models do not contain each other, so the difference in log-likelihood is judged by Vuong's
test (1989, Econometrica 57:307) beside the difference in AIC, which is twice it (both models have
the same number of parameters). Both are asked for before a verdict: in simulated fleets (300 each,
10 to 100 lives) AIC alone named a winner for 30 to 80 % of fleets whose lives hung on both scales
alike, both together for 6 to 14 %, and at most 1 % of verdicts were the wrong way round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import special

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.language import _
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.fitting import fit_outcomes
from tracker.models.fit.likelihood import log_likelihood_by_life
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes, numbers

Verdict = Literal["days", "area", "cannot tell"]

# Burnham & Anderson (2002), section 2.6: from 4 on the worse model has little support.
AIC_LIMIT = 4.0
P_LIMIT = 0.05


@dataclass(frozen=True, eq=False)
class ScaleChoice:
    """The two fits and what sets them apart; ``difference`` > 0 speaks for area.

    ``difference`` is the area model's log-likelihood (on the calendar) less the days model's,
    ``p_value`` Vuong's two-sided chance of a difference this large when both are equally near the
    truth.
    """

    days: LifeFit
    area: LifeFit
    log_likelihood_days: float
    log_likelihood_area: float
    difference: float
    statistic: float
    p_value: float
    verdict: Verdict

    @property
    def aic_difference(self) -> float:
        """AIC of the days model less that of the area model: > 0 speaks for area."""
        return 2.0 * self.difference

    def sentence(self) -> str:
        """The finding in words, with its evidence."""
        evidence = _(
            "{failures} failures of {lives} lives; AIC differs by {aic_difference}, "
            "Vuong p = {p_value}",
            failures=f"{self.days.failures:g}",
            lives=f"{self.days.lives:g}",
            aic_difference=f"{abs(self.aic_difference):.1f}",
            p_value=f"{self.p_value:.2g}",
        )
        if self.verdict == "cannot tell":
            return _(
                "The lives cannot tell whether days or printed area explain them ({evidence}).",
                evidence=evidence,
            )
        if self.verdict == "days":
            return _(
                "Days explain these lives better than printed area ({evidence}).", evidence=evidence
            )
        return _(
            "Printed area explains these lives better than days ({evidence}).", evidence=evidence
        )


def choose_scale(
    age_days: Numbers,
    age_area: Numbers,
    failed: Numbers,
    area_per_day: Numbers,
    *,
    entry_days: Numbers | None = None,
    entry_area: Numbers | None = None,
    last_ok_days: Numbers | None = None,
    last_ok_area: Numbers | None = None,
    weight: Numbers | None = None,
    family: str = "weibull",
) -> ScaleChoice:
    """Do these lives end by days or by printed area?

    One value per life: both ages, whether it failed, and ``area_per_day``, the printing rate around
    its failure (looked at for exact failures only; NaN elsewhere). "days" or "area" is said only
    when AIC differs by at least 4 and Vuong's p is at most 0.05; otherwise "cannot tell".

    Raises ModelError for impossible numbers, NotEnoughData where either scale cannot be fitted.
    """
    days = check_outcomes(age_days, failed, entry_days, last_ok_days, weight)
    areas = numbers(age_area, "age_area", len(days))
    area = check_outcomes(areas, failed, entry_area, last_ok_area, weight)
    if not np.array_equal(days.interval, area.interval):
        i = int((days.interval != area.interval).argmax())
        raise ModelError(
            _(
                "last_ok of life {i} is known on one scale only: give it in days and in "
                "area, or leave both empty.",
                i=i,
            )
        )
    exact = days.failed & ~days.interval
    log_rate = _log_rate(area_per_day, exact)
    by_days, by_area = fit_outcomes(days, family), fit_outcomes(area, family)
    seen_by_days = _each(days, by_days)
    seen_by_area = _each(area, by_area) + log_rate
    total_days = float(days.weight @ seen_by_days)
    total_area = float(days.weight @ seen_by_area)
    gain = seen_by_area - seen_by_days
    lives = days.lives
    difference = float(days.weight @ gain)
    variance = float(days.weight @ (gain - difference / lives) ** 2) / lives
    statistic = difference / math.sqrt(lives * variance) if variance > 0 else 0.0
    p_value = float(2.0 * special.ndtr(-abs(statistic)))
    verdict: Verdict = "cannot tell"
    if 2.0 * abs(difference) >= AIC_LIMIT and p_value <= P_LIMIT:
        verdict = "area" if difference > 0 else "days"
    return ScaleChoice(
        by_days, by_area, total_days, total_area, difference, statistic, p_value, verdict
    )


def _each(lives: Outcomes, fit: LifeFit) -> Array:
    return log_likelihood_by_life(lives, fit.kind, fit.shape, fit.scale)


def _log_rate(area_per_day: Numbers, exact: np.ndarray) -> Array:
    rate = numbers(area_per_day, "area_per_day", len(exact))
    bad = exact & ~((rate > 0) & np.isfinite(rate))
    if bad.any():
        i = int(bad.argmax())
        raise ModelError(
            _(
                "area_per_day[{i}] is {rate}: a life that failed needs the printing rate "
                "around its failure, above 0; leave out lives without counter readings.",
                i=i,
                rate=f"{rate[i]:g}",
            )
        )
    result = np.zeros(len(exact))
    result[exact] = np.log(rate[exact])
    return result
