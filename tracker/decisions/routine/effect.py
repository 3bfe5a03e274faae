"""Does doing a task more or less often pay? The effect on failures, and what it is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.routine.change import RoutineHistory
from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.effect_apart import AgesApart, PrintersApart
from tracker.decisions.routine.interval import BreakEven, CostsByInterval, LeastCost
from tracker.decisions.routine.kind_study import DRAWS, SEED, KindStudy
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.decisions.routine.task_effect.cox_beside import log_ratio
from tracker.decisions.routine.task_effect.telling import events_needed, leaves_out_none
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.yearly_counts import Saving
from tracker.errors import UsageError
from tracker.forecast.routine_exposure import check_interval
from tracker.language import _
from tracker.models.fit.profile_limits import Estimate
from tracker.models.normal import NORMAL_975
from tracker.models.regression.needed_evidence import EValue, e_value
from tracker.workshop.records import Records

_NEVER = 1e-6  # failures per printer and year that are none
_NO_WALD = (math.nan, math.nan)


@dataclass(frozen=True)
class RoutineEffect:
    """One schedule of a task against another: failures, money, and how sure that is.

    ``hazard_ratio``: how many times the risk of failing is under ``every_days`` as against
    ``instead_of_days`` at the same age, posterior median with 95 % limits; ``cox`` the check
    without a life shape (NaN where it cannot tell). ``failures_ratio``: the same for failures per
    year in the long run, with its limits; nearer to 1, for a part changed late fails late.
    ``printers``: the ratio between printers beside that within; None where all have the task as
    often. ``ages``: younger and older parts, where the log tells that they differ; then
    ``hazard_ratio`` is the mean over failures, and only ``failures_ratio`` says what comes of it.
    ``exposure``, ``exposure_instead``: the task's column under the two schedules.
    ``events_needed`` how many failures in all would tell the estimated change (or a third fewer,
    whichever is larger) from none with 80 % power, infinite when the task was always done at one
    frequency; ``further_failures`` what is missing.

    ``saving`` per printer and year, with what costs may really be, as in ``task_value``, if a
    spare lies on the shelf when a part fails (``spare_on_shelf``), else if it has to be delivered.
    ``extra_work``: what the task costs more per printer and year;
    ``break_even_failures``: so many failures per printer and year have to be avoided to earn it.
    ``break_even_ratio``: the ratio of failures per year at which it is earned.
    """

    study: RoutineStudy = field(repr=False)
    every_days: float
    instead_of_days: float
    exposure: float
    exposure_instead: float
    hazard_ratio: Estimate
    cox: Estimate
    failures_ratio: Estimate
    printers: PrintersApart | None
    ages: AgesApart | None
    chance_it_helps: float
    events_needed: float
    further_failures: float
    spare_on_shelf: bool
    saving: Saving
    failures_per_year: float
    failures_per_year_instead: float
    extra_work: float
    break_even_failures: float
    break_even_ratio: float
    e_value: EValue

    @property
    def part_kind(self) -> str:
        """The part kind whose failures are counted."""
        return self.study.part_kind

    @property
    def task(self) -> str:
        """The task asked about."""
        return self.study.task

    @property
    def as_of(self) -> date:
        """The day up to which the log was read."""
        return self.study.as_of

    @property
    def lag_days(self) -> int:
        """How many days before each day are left out."""
        return self.study.fits.lag_days

    @property
    def failures(self) -> int:
        """Failures it rests on."""
        return self.study.fits.failures

    @property
    def is_more_often(self) -> bool:
        """True when the first schedule asks for more work."""
        return self.every_days < self.instead_of_days

    @property
    def is_told(self) -> bool:
        """True when the 95 % limits leave out "no effect"."""
        return leaves_out_none(_telling(self.hazard_ratio, self.failures_ratio, self.ages))

    @property
    def is_checked(self) -> bool:
        """True when Cox can tell anything from these records."""
        return math.isfinite(self.cox.estimate)

    @property
    def is_enough(self) -> bool:
        """False while so few failures were seen that a cost curve would show belief only."""
        return self.is_told or self.further_failures == 0

    @property
    def cost_of_failure(self) -> FailureCost:
        """What one failure costs with, or without, a spare, as was asked."""
        return self.study.with_spare if self.spare_on_shelf else self.study.without_spare

    @property
    def cost_of_task(self) -> TaskCost:
        """What doing the task once costs."""
        return self.study.task_cost

    @property
    def history(self) -> RoutineHistory:
        """What happened before and after the schedule changed."""
        return self.study.history

    @property
    def lags(self) -> pd.DataFrame:
        """The hazard ratio with the window ending 0, 3, 7 and 14 days before each day."""
        change, lines = {self.study.fits.exposure: self.exposure - self.exposure_instead}, []
        for lag, fit in self.study.by_lag.items():
            ratio = fit.hazard_ratio(change)
            helps = fit.chance(fit.log_hazard_ratio(change) < 0)
            lines.append((lag, ratio.estimate, ratio.lower, ratio.upper, helps, fit.failures))
        names = ["lag_days", "hazard_ratio", "lower", "upper", "chance_it_helps", "failures"]
        return pd.DataFrame(lines, columns=names)

    def least_cost(self, intervals: tuple[float, ...] | None = None) -> LeastCost:
        """How often should the task be done so that work and failures together cost least?"""
        costs = self.study.by_interval
        if intervals is not None:
            costs = CostsByInterval.of(costs.yearly, intervals)
        return costs.least_cost(self.cost_of_failure.total, self.cost_of_task.total)

    def break_even(self) -> BreakEven:
        """Which intervals cost less than ``instead_of_days``, and where does that end?"""
        return self.study.by_interval.break_even(
            self.instead_of_days, self.cost_of_failure.total, self.cost_of_task.total
        )


def routine_effect(
    records: Records,
    as_of: date,
    part_kind: str,
    task: str,
    every_days: float,
    instead_of_days: float,
) -> RoutineEffect:
    """What does doing the task every so many days, instead of another interval, change and save?

    With a spare on the shelf or without, as it mostly was in the last year.

    Raises:
        UsageError: intervals that make no sense or are the same.
        NotEnoughData: no part of the kind was watched long enough.
    """
    check_two_intervals(every_days, instead_of_days)
    return compare(routine_study(records, as_of, part_kind, task), every_days, instead_of_days)


def compare(
    study: RoutineStudy,
    every_days: float,
    instead_of_days: float,
    *,
    spare_on_shelf: bool | None = None,
) -> RoutineEffect:
    """The same from a study already made; quick.

    ``spare_on_shelf`` None: as the shelf mostly was in the last year.

    Raises UsageError for intervals that make no sense, are the same, or come to the same on the
    days on which the workshop works.
    """
    check_two_intervals(every_days, instead_of_days)
    yearly, fits, fit = study.yearly, study.fits, study.fits.model
    exposure, instead = yearly.exposure_at(every_days), yearly.exposure_at(instead_of_days)
    step = exposure - instead
    if step == 0:
        raise UsageError(
            _(
                "every {every_days} and every {instead_of_days} days come to the same where "
                "work is done on {working_days} days a week; give intervals further apart.",
                every_days=f"{every_days:g}",
                instead_of_days=f"{instead_of_days:g}",
                working_days=f"{7 * yearly.working_share:.0f}",
            )
        )
    change = {fits.exposure: step}
    ratio = fit.hazard_ratio(change)
    here, there = (yearly.failures_per_year(days) for days in (every_days, instead_of_days))
    actions = yearly.actions_per_year(every_days) - yearly.actions_per_year(instead_of_days)
    extra_work = study.task_cost.total * actions
    spare = study.has_spare if spare_on_shelf is None else spare_on_shelf
    failure = study.with_spare if spare else study.without_spare
    cost = failure.total
    needed = events_needed(ratio, step, fits.spread)
    failures_ratio = _failures_ratio(study, here, there)
    ages = AgesApart.of(fit, fits.exposure, step)
    is_told = leaves_out_none(_telling(ratio, failures_ratio, ages))
    helps = fit.log_hazard_ratio(change) < 0 if ages is None else here < there
    return RoutineEffect(
        study=study,
        every_days=every_days,
        instead_of_days=instead_of_days,
        exposure=exposure,
        exposure_instead=instead,
        hazard_ratio=ratio,
        cox=_cox_ratio(study, change),
        failures_ratio=failures_ratio,
        printers=PrintersApart.of(fit, fits.exposure, step),
        ages=ages,
        chance_it_helps=fit.chance(helps),
        events_needed=needed,
        further_failures=0.0 if is_told else max(0.0, needed - fit.failures),
        spare_on_shelf=spare,
        saving=_saving(study, failure, there - here, actions),
        failures_per_year=fit.mean(here),
        failures_per_year_instead=fit.mean(there),
        extra_work=extra_work,
        break_even_failures=_share(extra_work, cost),
        break_even_ratio=_break_even(fit.mean(there) * cost, extra_work),
        e_value=e_value(ratio.estimate, ratio.lower, ratio.upper, common=True),
    )


def check_two_intervals(every_days: float, instead_of_days: float) -> None:
    """Raises UsageError for intervals that make no sense or are the same."""
    check_interval("every", every_days)
    check_interval("instead_of", instead_of_days)
    if every_days == instead_of_days:
        raise UsageError(
            _(
                "every {every_days} days instead of every {instead_of_days} days is no "
                "change; give two different intervals.",
                every_days=f"{every_days:g}",
                instead_of_days=f"{instead_of_days:g}",
            )
        )


def _saving(study: RoutineStudy, cost: FailureCost, avoided: Array, actions: float) -> Saving:
    """Of so many failures avoided, one value per draw of the study, for so many more actions."""
    rng = np.random.default_rng(SEED)
    possible = CostDraws.of(study.fits.asked.known, DRAWS, rng)
    kind = KindStudy.of(study, cost, possible, rng)
    work = possible.of_task(study.task_cost) * actions
    return Saving.of(WeightedDraws.even(DRAWS), kind.costs * avoided[kind.picked] - work)


def _telling(hazard: Estimate, failures: Estimate, ages: AgesApart | None) -> Estimate:
    """The ratio whose limits say whether there is an effect: over all ages that of failures."""
    return hazard if ages is None else failures


def _cox_ratio(study: RoutineStudy, change: dict[str, float]) -> Estimate:
    log, std_error = log_ratio(study.fits.cox, change)
    half = NORMAL_975 * std_error
    limits = math.exp(log - half), math.exp(log + half)
    return Estimate(math.exp(log), *limits, wald=limits, kind="Wald")


def _failures_ratio(study: RoutineStudy, here: Array, there: Array) -> Estimate:
    # Draws in which nothing ever fails have the same number of failures under both: none.
    ratios = (here + _NEVER) / (there + _NEVER)
    lower, half, upper = study.fits.model.quantiles(ratios, (0.025, 0.5, 0.975))
    return Estimate(float(half), float(lower), float(upper), _NO_WALD, kind="posterior")


def _break_even(cost_instead: float, extra_work: float) -> float:
    """The ratio of failures at which the extra work just pays for itself."""
    return max(0.0, 1 - _share(extra_work, cost_instead)) if cost_instead > 0 else math.nan


def _share(part: float, whole: float) -> float:
    return part / whole if whole > 0 else math.nan
