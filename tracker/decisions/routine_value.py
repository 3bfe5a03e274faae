"""Does doing a task more or less often pay? The effect on failures, and what it is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.routine_change import RoutineHistory
from tracker.decisions.routine_cost import FailureCost, Saving, TaskCost, expected
from tracker.decisions.routine_evidence import NO_SPREAD, log_ratio
from tracker.decisions.routine_interval import BreakEven, CostsByInterval, LeastCost
from tracker.decisions.routine_study import RoutineStudy, routine_study
from tracker.decisions.routine_words import Finding, disagreement, notes, verdict
from tracker.errors import UsageError
from tracker.models.evidence import EValue, e_value, events_for_exposure
from tracker.models.intervals import Estimate
from tracker.records import vocabulary as words
from tracker.records.model import Records

Floats = NDArray[np.float64]

_NORMAL_975 = 1.959963984540054
# The least change worth planning for: a third fewer (or half as many more) failures.
_WORTH_DETECTING = math.log(1.5)
_NEVER = 1e-6  # failures per printer and year that are none


@dataclass(frozen=True)
class RoutineEffect:
    """One schedule of a task against another: failures, money, and how sure that is.

    ``hazard_ratio``: how many times the risk of failing is under ``every_days`` as against
    ``instead_of_days`` at the same age, posterior median with 95 % limits; ``cox_…`` the check
    without a life shape (NaN where it cannot tell). ``failures_ratio``: the same for failures per
    year in the long run, with its limits; nearer to 1, for a part changed late fails late.
    ``failures`` it rests on; ``events_needed`` how many in all would tell the estimated change (or
    a third fewer, whichever is larger) from none with 80 % power, infinite when the task was always
    done at one pace; ``further_failures`` what is missing. ``lags``: the hazard ratio with the
    window ending 0, 3, 7, 14 days before.

    ``with_spare`` and ``without_spare``: the saving per printer and year if a spare lies on the
    shelf when a part fails, and if it has to be delivered; ``spare_on_shelf`` says which one
    ``saving`` is. ``extra_work``: what the task costs more per printer and year;
    ``break_even_failures``: so many failures per printer and year have to be avoided to earn it.
    ``break_even_ratio``: the ratio of failures per year at which it is earned.
    """

    part_kind: str
    task: str
    every_days: float
    instead_of_days: float
    lag_days: int
    as_of: date
    hazard_ratio: float
    lower: float
    upper: float
    failures_ratio: Estimate
    chance_it_helps: float
    cox_hazard_ratio: float
    cox_lower: float
    cox_upper: float
    failures: int
    events_needed: float
    further_failures: float
    spare_on_shelf: bool
    with_spare: Saving
    without_spare: Saving
    failures_per_year: float
    failures_per_year_instead: float
    cost_of_failure: FailureCost
    cost_of_task: TaskCost
    extra_work: float
    break_even_failures: float
    break_even_ratio: float
    e_value: EValue
    proportional_p_value: float
    observed_days: tuple[float, float]
    lags: pd.DataFrame
    history: RoutineHistory
    disagreement: str
    verdict: str
    notes: tuple[str, ...]
    by_interval: CostsByInterval = field(repr=False)

    @property
    def is_told(self) -> bool:
        """True when the 95 % limits leave out "no effect"."""
        return self.upper < 1 or self.lower > 1

    @property
    def is_enough(self) -> bool:
        """False while so few failures were seen that a cost curve would show belief only."""
        return self.is_told or self.further_failures == 0

    @property
    def saving(self) -> Saving:
        """The saving per printer and year with, or without, a spare, as was asked."""
        return self.with_spare if self.spare_on_shelf else self.without_spare

    @property
    def saving_per_printer_year(self) -> float:
        """Its mean."""
        return self.saving.mean

    @property
    def saving_p10(self) -> float:
        """Its 10 % point."""
        return self.saving.p10

    @property
    def saving_p90(self) -> float:
        """Its 90 % point."""
        return self.saving.p90

    @property
    def chance_it_pays(self) -> float:
        """The chance that it is above 0."""
        return self.saving.chance_it_pays

    def least_cost(self, intervals: tuple[float, ...] | None = None) -> LeastCost:
        """How often should the task be done so that work and failures together cost least?"""
        costs = self.by_interval
        if intervals is not None:
            costs = CostsByInterval.of(costs.schedules, intervals)
        return costs.least_cost(self.cost_of_failure.total, self.cost_of_task.total)

    def break_even(self) -> BreakEven:
        """Which intervals cost less than ``instead_of_days``, and where does that end?"""
        return self.by_interval.break_even(
            self.instead_of_days, self.cost_of_failure.total, self.cost_of_task.total
        )

    def interval_lines(self) -> tuple[str, str]:
        """The interval of least cost and the one that breaks even, as sentences."""
        part = words.part_label(self.part_kind).lower()
        return self.least_cost().sentence(part, self.observed_days), self.break_even().sentence()

    def lines(self) -> tuple[str, ...]:
        """What stands under the verdict: intervals, doubts, before and after; as sentences."""
        before_after = self.history.sentences()
        return (
            *(self.interval_lines() if self.is_enough else ()),
            *([self.disagreement] if self.disagreement else ()),
            *(["Before and after the schedule changed:"] if before_after else ()),
            *before_after,
            *self.history.remarks(),
            *self.notes,
        )


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
        failures_per_year=expected(fit, here),
        failures_per_year_instead=expected(fit, there),
        cost_of_failure=cost,
        cost_of_task=study.task_cost,
        extra_work=extra_work,
        break_even_failures=finding.break_even_failures,
        break_even_ratio=_break_even(expected(fit, there) * cost.total, extra_work),
        e_value=e_value(ratio.estimate, ratio.lower, ratio.upper, common=True),
        proportional_p_value=study.proportional_p_value,
        observed_days=evidence.observed_days,
        lags=_by_lag(study, change),
        history=study.history,
        disagreement=disagreement(ratio, cox, cox_error, fit.failures),
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


def _failures_ratio(study: RoutineStudy, here: Floats, there: Floats) -> Estimate:
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
