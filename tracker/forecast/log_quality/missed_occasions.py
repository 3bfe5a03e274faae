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

from tracker.arrays import Array, Ints
from tracker.forecast.log_quality.task_days import PrinterLog, TaskDays
from tracker.forecast.log_quality.usual_interval import Occasions
from tracker.lives.open_days import day_of
from tracker.workshop.schedules import RoutineSchedules

_LEAST_GAPS = 20
_GATHERED = 0.3  # mean resultant of the gaps on the circle of one interval
_LONGEST = 4  # intervals; further on, days late add up
_OFTEN_DAYS = 4  # intervals shorter than that are counted in working days
_UNLIKELY = 0.01  # a gap that the geometric law makes rarer is a rest
_OFTEN_MISSED = 0.75  # below that the share is told; somebody who skips one in ten stays above
# Occasions that are really skipped where a routine is kept (common practice, no source).
SKIPPED = 0.1
SKIPPED_AT_MOST = 0.2


@dataclass(frozen=True, eq=False)
class MissedOccasions:
    """The ``share`` of a task's due occasions that have an entry, with 95 % limits, from so many
    ``gaps``; ``days`` of the occasions without one per printer (whole days since 1970-01-01).
    """

    task: str
    share: float
    lower: float
    upper: float
    gaps: int
    days: Mapping[str, Ints] = field(default_factory=dict, repr=False)

    @property
    def are_many(self) -> bool:
        """True when far more are missing than anyone skips who keeps a routine."""
        return self.upper < _OFTEN_MISSED


def missed_occasions(tasks: TaskDays, schedules: RoutineSchedules) -> dict[str, MissedOccasions]:
    """For every task whose entries keep to multiples of its routine's interval."""
    found = {}
    for task in tasks.tasks:
        by_printer = {
            name: own
            for name, log in tasks.printers.items()
            if len((own := _Gaps.of(Occasions.of(schedules, tasks, log, task), log)).intervals)
        }
        if not by_printer:
            continue
        gaps = np.concatenate([own.intervals for own in by_printer.values()])
        if len(gaps) < _LEAST_GAPS or not _at_multiples(gaps):
            continue
        share, half = _share(gaps)
        longest = np.log(_UNLIKELY) / np.log(max(1 - share, _UNLIKELY))
        days = {name: own.between(longest) for name, own in by_printer.items()}
        found[task] = MissedOccasions(
            task, share, max(share - half, 0.0), min(share + half, 1.0), len(gaps), days
        )
    return found


@dataclass(frozen=True, eq=False)
class _Gaps:
    """Between two entries under one rule: their days, and how many of its intervals lie between,
    closed days not counted.
    """

    begins: Ints
    ends: Ints
    intervals: Array

    @classmethod
    def of(cls, own: Occasions, log: PrinterLog) -> _Gaps:
        if len(own.at) < 2:
            return cls(own.at[:0], own.at[:0], np.array([]))
        open_days = np.concatenate(([0], np.cumsum(~log.closed)))
        apart = np.diff(open_days[own.at]).astype(np.float64)
        usual = own.usual[own.at]
        same = own.told[own.at[1:]] & own.told[own.at[:-1]] & (usual[1:] == usual[:-1])
        often = usual[1:] < _OFTEN_DAYS
        if (often & same).any():
            apart = np.where(often, _worked_between(own, log), apart)
        working = np.maximum(np.rint(usual[1:] * 5 / 7), 1)
        intervals = apart / np.where(often, working, usual[1:])
        days = log.first + own.at
        return cls(days[:-1][same], days[1:][same], intervals[same])

    def between(self, longest: float) -> Ints:
        """Where the occasions without an entry were, in gaps of no more intervals than that: a
        longer one may be a real rest."""
        found: list[int] = []
        many = _multiples(self.intervals).astype(np.int64)
        for begin, end, number in zip(self.begins, self.ends, many, strict=True):
            if number <= longest:
                found += [round(begin + (end - begin) * k / number) for k in range(1, number)]
        return np.array(found, dtype=np.int64)


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
