"""What does an experiment risk in money? Against going on as now, with what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.cost import DAYS_PER_YEAR
from tracker.decisions.routine.task_studies import TaskStudies

Range: TypeAlias = tuple[float, float, float]  # median, 10 % and 90 % points


@dataclass(frozen=True)
class Course:
    """How long it lasts, on how many printers, and how often the task is done now."""

    days: int
    printers: int
    now_days: float

    @property
    def printer_years(self) -> float:
        """Years of all printers together."""
        return self.printers * self.days / DAYS_PER_YEAR


@dataclass(frozen=True)
class MoneyAtRisk:
    """All printers and the whole experiment together, against going on as now; below 0: less.

    ``failures_at_longer``: more failures of all kinds while at the longer interval, and
    ``cost_at_longer`` what they cost; ``work_at_shorter``: what the task costs more while at the
    shorter; ``total``: everything, what is saved on the other side taken off.
    """

    failures_at_longer: Range
    cost_at_longer: Range
    work_at_shorter: Range
    total: Range


def money_at_risk(
    studies: TaskStudies, every_days: float, instead_of_days: float, course: Course
) -> MoneyAtRisk:
    """What does it cost to find out? ``every_days``: the shorter interval, half of the time on each
    printer; the longer the other half. All part kinds that the task protects are counted.
    """
    half = course.printer_years / 2
    yearly = studies.kinds[0].study.yearly
    size = len(studies.work)
    failures, cost, total = np.zeros(size), np.zeros(size), np.zeros(size)
    for one in studies.kinds:
        now, shorter, longer = (
            one.study.yearly.failures_per_year(days)[one.picked]
            for days in (course.now_days, every_days, instead_of_days)
        )
        failures += half * (longer - now)
        cost += half * (longer - now) * one.costs
        total += half * (longer + shorter - 2 * now) * one.costs
    actions = [
        yearly.actions_per_year(days) for days in (course.now_days, every_days, instead_of_days)
    ]
    work = half * (actions[1] - actions[0]) * studies.work
    total += half * (actions[1] + actions[2] - 2 * actions[0]) * studies.work

    def spread(values: Array) -> Range:
        low, middle, high = studies.draws.quantiles(values, (0.1, 0.5, 0.9))
        return float(middle), float(low), float(high)

    return MoneyAtRisk(spread(failures), spread(cost), spread(work), spread(total))
