"""One schedule of a task against another, as one value: effect, money, doubts, sentences."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from tracker.decisions.routine.change import RoutineHistory
from tracker.decisions.routine.cost import FailureCost, Saving, TaskCost
from tracker.decisions.routine.interval import BreakEven, CostsByInterval, LeastCost
from tracker.models.fit.profile_limits import Estimate
from tracker.models.regression.needed_evidence import EValue
from tracker.say import numbers
from tracker.workshop import vocabulary as words

LAGS_TEXT = (
    "Trouble that shows before a failure calls for cleaning; if the ratio moves with the days left "
    "out, that was part of it. Leaving out days the log does not need pulls the effect toward none."
)


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
        """Its median: as likely more as less."""
        return self.saving.median

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

    def lag_line(self) -> str:
        """The ratio with the last days before each day left out, in a sentence."""
        days = ", ".join(map(str, self.lags["lag_days"]))
        ratios = ", ".join(map(numbers.figure, self.lags["hazard_ratio"]))
        return (
            f"With the last {days} days before each day left out the risk is {ratios} times as "
            f"high. {LAGS_TEXT}"
        )

    def lines(self) -> tuple[str, ...]:
        """What stands under the verdict: intervals, doubts, lags, before and after, in words."""
        before_after = self.history.sentences()
        return (
            *(self.interval_lines() if self.is_enough else ()),
            *([self.disagreement] if self.disagreement else ()),
            *([self.lag_line()] if self.is_told else ()),
            *(["Before and after the schedule changed:"] if before_after else ()),
            *before_after,
            *self.history.remarks(),
            *self.notes,
        )
