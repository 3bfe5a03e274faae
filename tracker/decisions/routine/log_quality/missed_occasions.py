"""Is a task written down only some of the times it is due?

Where a routine is kept but not every occasion is written down, the days between two entries are
whole multiples of its interval, and the multiples follow a geometric law whose parameter is the
share written down (the number of trials to the first success). Somebody who works at no fixed
interval leaves other gaps: they do not gather at the multiples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.log_quality.task_days import PrinterLog, TaskDays
from tracker.decisions.routine.log_quality.usual_interval import Occasions
from tracker.decisions.routine.schedules import RoutineSchedules
from tracker.lives.open_days import day_of

_LEAST_GAPS, _LEAST_OF_PRINTER = 20, 12
_GATHERED = 0.3  # mean resultant of the gaps on the circle of one interval
_LONGEST = 4  # intervals; further on, days late add up
_OFTEN_MISSED = 0.75  # below that the share is told; somebody who skips one in ten stays above
# Occasions that are really skipped where a routine is kept (common practice, no source).
SKIPPED = 0.1
SKIPPED_AT_MOST = 0.2


@dataclass(frozen=True, eq=False)
class MissedOccasions:
    """The ``share`` of a task's due occasions that have an entry, with 95 % limits, from so many
    ``gaps``; ``by_printer`` where its own gaps tell.
    """

    task: str
    share: float
    lower: float
    upper: float
    gaps: int
    by_printer: Mapping[str, float] = field(default_factory=dict)

    @property
    def are_many(self) -> bool:
        """True when far more are missing than anyone skips who keeps a routine."""
        return self.upper < _OFTEN_MISSED


def missed_occasions(tasks: TaskDays, schedules: RoutineSchedules) -> dict[str, MissedOccasions]:
    """For every task whose entries keep to multiples of its routine's interval."""
    found = {}
    for task in tasks.tasks:
        by_printer = {
            name: gaps
            for name, log in tasks.printers.items()
            if len(gaps := _gaps(Occasions.of(schedules, tasks, log, task), log))
        }
        if not by_printer:
            continue
        all_gaps = np.concatenate(list(by_printer.values()))
        if len(all_gaps) < _LEAST_GAPS or not _at_multiples(all_gaps):
            continue
        share, half = _share(all_gaps)
        own = {
            name: _share(gaps)[0]
            for name, gaps in by_printer.items()
            if len(gaps) >= _LEAST_OF_PRINTER
        }
        found[task] = MissedOccasions(
            task, share, max(share - half, 0.0), min(share + half, 1.0), len(all_gaps), own
        )
    return found


def _gaps(own: Occasions, log: PrinterLog) -> Array:
    """Days between two entries in intervals of the routine, closed days not counted."""
    if len(own.at) < 2:
        return np.array([])
    open_days = np.concatenate(([0], np.cumsum(~log.closed)))
    apart = open_days[own.at[1:]] - open_days[own.at[:-1]]
    usual = own.usual[own.at]
    # Both ends under one and the same rule.
    same = own.told[own.at[1:]] & own.told[own.at[:-1]] & (usual[1:] == usual[:-1])
    worked = _worked_between(own, log) if (usual[1:][same] < 4).any() else apart
    number = np.where(usual[1:] < 4, worked, apart)
    interval = np.where(usual[1:] < 4, np.maximum(np.rint(usual[1:] * 5 / 7), 1), usual[1:])
    return np.asarray(number[same] / interval[same], dtype=np.float64)


def _worked_between(own: Occasions, log: PrinterLog) -> Array:
    """The same in working days: the weekdays on which the task is done at all."""
    weekday = (day_of(log.first).weekday() + np.arange(log.days)) % 7
    often = np.bincount(weekday[own.at], minlength=7)
    worked = (often >= 0.2 * often.max())[weekday] & ~log.closed
    before = np.concatenate(([0], np.cumsum(worked)))
    return np.asarray(before[own.at[1:]] - before[own.at[:-1]], dtype=np.float64)


def _multiples(gaps: Array) -> Array:
    return np.maximum(np.rint(gaps), 1)


def _share(gaps: Array) -> tuple[float, float]:
    """The geometric law's maximum likelihood, and 1.96 standard errors."""
    share = len(gaps) / float(_multiples(gaps).sum())
    return share, 1.96 * share * float(np.sqrt((1 - share) / len(gaps)))


def _at_multiples(gaps: Array) -> bool:
    """Do the gaps gather at whole intervals, in shares that fall as the geometric law's do?"""
    near = gaps[gaps < _LONGEST + 0.5]
    if len(near) < _LEAST_GAPS or np.cos(2 * np.pi * near).mean() < _GATHERED:
        return False
    share, half = _share(gaps)
    return abs(float((_multiples(gaps) == 1).mean()) - share) < 2 * half + 0.05
