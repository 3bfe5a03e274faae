"""Does doing a task more or less often pay? The effect on failures, and what it is worth."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.answer import RoutineEffect
from tracker.decisions.routine.cost import Saving, middle
from tracker.decisions.routine.evidence import NO_SPREAD, log_ratio
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.errors import UsageError
from tracker.models.fit.profile_limits import Estimate
from tracker.models.regression.needed_evidence import e_value, events_for_exposure
from tracker.say.routine import Finding, disagreement, notes, verdict
from tracker.workshop.records import Records

__all__ = ["RoutineEffect", "compare", "routine_effect"]


_NORMAL_975 = 1.959963984540054
# The least change worth planning for: a third fewer (or half as many more) failures.
_WORTH_DETECTING = math.log(1.5)
_NEVER = 1e-6  # failures per printer and year that are none


def routine_effect(
    records: Records,
    as_of: date,
    part_kind: str,
    task: str,
    every_days: float,
    instead_of_days: float,
    lag_days: int | None = None,
    spare_on_shelf: bool | None = None,
    rng: np.random.Generator | None = None,
) -> RoutineEffect:
    """What does doing the task every so many days, instead of another interval, change and save?

    ``lag_days`` None: 0 where the log tells planned actions from those a symptom called for, else
    7. ``spare_on_shelf`` None: as the stock stands (no stock written down counts as a spare).
    ``rng`` draws the posterior; left out, always the same draws.

    Raises:
        UsageError: intervals that make no sense or are the same.
        NotEnoughData: no part of the kind was watched long enough.
    """
    _check(every_days, instead_of_days)
    study = routine_study(records, as_of, part_kind, task, lag_days, rng)
    return compare(study, every_days, instead_of_days, spare_on_shelf)


def compare(
    study: RoutineStudy,
    every_days: float,
    instead_of_days: float,
    spare_on_shelf: bool | None = None,
) -> RoutineEffect:
    """The same from a study already made; quick.

    Raises UsageError for intervals that make no sense, are the same, or come to the same on the
    days on which the workshop works.
    """
    _check(every_days, instead_of_days)
    schedules, evidence, fit = study.schedules, study.evidence, study.evidence.weibull
    step = schedules.exposure_at(every_days) - schedules.exposure_at(instead_of_days)
    if step == 0:
        raise UsageError(
            f"every {every_days:g} and every {instead_of_days:g} days come to the same where work "
            f"is done on {7 * schedules.working_share:.0f} days a week; give intervals further "
            "apart."
        )
    change = {evidence.exposure: step}
    ratio = fit.hazard_ratio(change)
    cox, cox_error = log_ratio(evidence.cox, change)
    here, there = (schedules.failures_per_year(days) for days in (every_days, instead_of_days))
    extra_work = study.task_cost.total * (
        schedules.actions_per_year(every_days) - schedules.actions_per_year(instead_of_days)
    )
    with_spare, without_spare = (
        Saving.of(fit, cost.total * (there - here) - extra_work)
        for cost in (study.with_spare, study.without_spare)
    )
    spare = study.has_spare if spare_on_shelf is None else spare_on_shelf
    cost = study.with_spare if spare else study.without_spare
    needed = _events_needed(ratio, step, evidence.spread)
    told = ratio.upper < 1 or ratio.lower > 1
    finding = Finding(
        study=study,
        every_days=every_days,
        instead_of_days=instead_of_days,
        exposure_at=(schedules.exposure_at(every_days), schedules.exposure_at(instead_of_days)),
        ratio=ratio,
        failures_ratio=_failures_ratio(study, here, there),
        further_failures=0.0 if told else max(0.0, needed - fit.failures),
        saving=with_spare if spare else without_spare,
        extra_work=extra_work,
        break_even_failures=_share(extra_work, cost.total),
        spare_on_shelf=spare,
        checked=math.isfinite(cox),
    )
    return RoutineEffect(
        part_kind=study.part_kind,
        task=study.task,
        every_days=every_days,
        instead_of_days=instead_of_days,
        lag_days=evidence.lag_days,
        as_of=study.as_of,
        hazard_ratio=ratio.estimate,
        lower=ratio.lower,
        upper=ratio.upper,
        failures_ratio=finding.failures_ratio,
        chance_it_helps=fit.chance(fit.log_hazard_ratio(change) < 0),
        cox_hazard_ratio=math.exp(cox),
        cox_lower=math.exp(cox - _NORMAL_975 * cox_error),
        cox_upper=math.exp(cox + _NORMAL_975 * cox_error),
        failures=fit.failures,
        events_needed=needed,
        further_failures=finding.further_failures,
        spare_on_shelf=spare,
        with_spare=with_spare,
        without_spare=without_spare,
        failures_per_year=middle(fit, here),
        failures_per_year_instead=middle(fit, there),
        cost_of_failure=cost,
        cost_of_task=study.task_cost,
        extra_work=extra_work,
        break_even_failures=finding.break_even_failures,
        break_even_ratio=_break_even(middle(fit, there) * cost.total, extra_work),
        e_value=e_value(ratio.estimate, ratio.lower, ratio.upper, common=True),
        proportional_p_value=study.proportional_p_value,
        observed_days=evidence.observed_days,
        lags=_by_lag(study, change),
        history=study.history,
        disagreement=disagreement(
            ratio, cox, cox_error, fit.failures, evidence.printers_differ_much
        ),
        verdict=verdict(finding),
        notes=notes(finding),
        by_interval=study.by_interval,
    )


def _check(every_days: float, instead_of_days: float) -> None:
    for name, value in (("every", every_days), ("instead_of", instead_of_days)):
        if not 0 < value <= 3650:
            raise UsageError(
                f"{name}: {value:g} days cannot be an interval; give days above 0 and up to 3650."
            )
    if every_days == instead_of_days:
        raise UsageError(
            f"every {every_days:g} days instead of every {instead_of_days:g} days is no change; "
            "give two different intervals."
        )


def _failures_ratio(study: RoutineStudy, here: Array, there: Array) -> Estimate:
    # Draws in which nothing ever fails have the same number of failures under both: none.
    ratios = (here + _NEVER) / (there + _NEVER)
    lower, middle, upper = study.evidence.weibull.quantiles(ratios, (0.025, 0.5, 0.975))
    return Estimate(
        float(middle), float(lower), float(upper), (math.nan, math.nan), kind="posterior"
    )


def _events_needed(ratio: Estimate, step: float, spread: float) -> float:
    """Failures in all that tell the change with 80 % power: the estimated one if larger than the
    least worth planning for. Whole; infinite where the task was always done at one pace."""
    if spread < NO_SPREAD:
        return math.inf
    size = max(abs(math.log(ratio.estimate)), _WORTH_DETECTING)
    return float(math.ceil(events_for_exposure(math.exp(size / abs(step)), spread)))


def _break_even(cost_instead: float, extra_work: float) -> float:
    """The ratio of failures at which the extra work just pays for itself."""
    return max(0.0, 1 - _share(extra_work, cost_instead)) if cost_instead > 0 else math.nan


def _share(part: float, whole: float) -> float:
    return part / whole if whole > 0 else math.nan


def _by_lag(study: RoutineStudy, change: dict[str, float]) -> pd.DataFrame:
    """The hazard ratio with the window ending 0, 3, 7 and 14 days before each day."""
    lines = []
    for lag, fit in study.by_lag.items():
        ratio = fit.hazard_ratio(change)
        helps = fit.chance(fit.log_hazard_ratio(change) < 0)
        lines.append((lag, ratio.estimate, ratio.lower, ratio.upper, helps, fit.failures))
    names = ["lag_days", "hazard_ratio", "lower", "upper", "chance_it_helps", "failures"]
    return pd.DataFrame(lines, columns=names)
