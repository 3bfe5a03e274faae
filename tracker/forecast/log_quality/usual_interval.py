"""How far apart is a task usually done on a printer, and which entries come off that schedule?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.task_days import PrinterLog, TaskDays
from tracker.lives.open_days import day_of
from tracker.workshop.schedules import RoutineSchedules

_NEIGHBOURS = 13  # gaps about a day whose median is usual there


@dataclass(frozen=True, eq=False)
class Occasions:
    """The entries of one task on one printer: places ``at`` in its log, in order, and the
    ``usual`` days between two of them on every day of the log (NaN where nothing tells);
    ``told`` says that a routine does.
    """

    at: Ints
    usual: Array
    told: Bools

    @classmethod
    def of(
        cls, schedules: RoutineSchedules, tasks: TaskDays, log: PrinterLog, task: str
    ) -> Occasions:
        """As the routine says; where none is in force as the neighbouring entries lie apart."""
        at = np.flatnonzero(log.done[tasks.tasks.index(task)])
        usual, told = np.full(log.days, np.nan), np.zeros(log.days, dtype=bool)
        first, last = day_of(log.first), day_of(log.last)
        for begins, ends in schedules.stretches(task, log.printer, first, last):
            rule = schedules.on(task, log.printer, begins)
            if rule is not None and rule.interval_days is not None:
                here = slice((begins - first).days, (ends - first).days + 1)
                usual[here], told[here] = rule.interval_days, True
        if len(at) > 1 and not told.all():
            day = np.flatnonzero(~told)
            usual[day] = np.interp(day, at[1:], _middle(np.diff(at)))
        return cls(at, usual, told)

    def off_schedule(self) -> Array:
        """How much each entry looks put in between: 1 where its two neighbours lie no further
        apart than is usual from one to the next, 0 where they lie twice as far.
        """
        if len(self.at) < 3:
            return np.zeros(len(self.at))
        apart = np.full(len(self.at), np.inf)
        apart[1:-1] = self.at[2:] - self.at[:-2]
        return np.nan_to_num(np.clip(2 - apart / self.usual[self.at], 0, 1))


def _middle(gaps: Ints) -> Array:
    """The median of each gap and its neighbours, as many as there are on both sides."""
    half = _NEIGHBOURS // 2
    beyond = np.full(half, np.inf)
    around = np.concatenate((beyond, gaps, beyond))
    around = np.sort(np.lib.stride_tricks.sliding_window_view(around, _NEIGHBOURS), axis=1)
    row, many = np.arange(len(gaps)), np.isfinite(around).sum(axis=1)
    return np.asarray((around[row, (many - 1) // 2] + around[row, many // 2]) / 2)


def off_schedule(tasks: TaskDays, schedules: RoutineSchedules, log: PrinterLog) -> Array:
    """How much each day's entry looks put in between: (tasks, days), 0 where there is none."""
    found = np.zeros(log.done.shape)
    for row, task in enumerate(tasks.tasks):
        own = Occasions.of(schedules, tasks, log, task)
        found[row, own.at] = own.off_schedule()
    return found
