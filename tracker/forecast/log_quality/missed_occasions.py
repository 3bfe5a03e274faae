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

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.task_days import PrinterLog, TaskDays
from tracker.forecast.log_quality.usual_interval import Occasions
from tracker.lives.open_days import day_of
from tracker.workshop.schedules import RoutineSchedules

_LEAST_GAPS = 20
_GATHERED = 0.3  # mean resultant of the gaps on the circle of one interval
_LONGEST = 4  # intervals; further on, days late add up
_OFTEN_DAYS = 4  # intervals shorter than that are counted in working days
# A gap is a rest where the geometric law brings one as long in so few logs. (Judged each by itself,
# one gap in a hundred was left open: several in every log, each read as weeks without any care.)
_UNLIKELY = 0.05
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
        clocks = {
            name: _DueClock.of(Occasions.of(schedules, tasks, log, task), log)
            for name, log in tasks.printers.items()
        }
        clocks = {name: clock for name, clock in clocks.items() if len(clock.gaps)}
        if not clocks:
            continue
        gaps = np.concatenate([clock.gaps for clock in clocks.values()])
        if len(gaps) < _LEAST_GAPS or not _at_multiples(gaps):
            continue
        share, half = _share(gaps)
        longest = np.log(_UNLIKELY / len(gaps)) / np.log(max(1 - share, _UNLIKELY / len(gaps)))
        days = {name: clock.missing(longest) for name, clock in clocks.items()}
        found[task] = MissedOccasions(
            task, share, max(share - half, 0.0), min(share + half, 1.0), len(gaps), days
        )
    return found


@dataclass(frozen=True, eq=False)
class _DueClock:
    """A clock that gains 1 from one time the task is due to the next, whatever rule is in force.

    It stands on closed days and while no routine is. ``before`` each day of the log, from day
    ``first`` on, and at its end; ``entries``: at each entry. ``gaps``: what it gains between two
    entries under one rule.
    """

    first: int
    before: Array
    entries: Array
    gaps: Array

    @classmethod
    def of(cls, own: Occasions, log: PrinterLog) -> _DueClock:
        usual, runs = own.usual, own.told & ~log.closed
        often = own.told & (usual < _OFTEN_DAYS)
        if often.any() and len(own.at):
            # Short intervals are counted in working days.
            usual = np.where(often, np.maximum(np.rint(usual * 5 / 7), 1), usual)
            runs &= ~often | _is_worked(own, log)
        before = np.concatenate(([0.0], np.cumsum(np.where(runs, 1 / usual, 0.0))))
        entries, rule = before[own.at], own.usual[own.at]
        same = own.told[own.at[1:]] & own.told[own.at[:-1]] & (rule[1:] == rule[:-1])
        return cls(log.first, before, entries, np.diff(entries)[same])

    def missing(self, longest: float) -> Ints:
        """The days of the occasions without an entry, in gaps of no more intervals than that: a
        longer one may be a real rest. Before the first entry and after the last one they follow
        each other as the rule says.
        """
        entries = self.entries
        begin = entries[0] - np.floor(entries[0]) - 1
        end = entries[-1] + np.floor(self.before[-1] - entries[-1]) + 1
        last = np.concatenate(([begin], entries))
        gap = np.concatenate((entries, [end])) - last
        number = _multiples(gap)
        told = np.flatnonzero(number <= longest)
        each = number[told].astype(np.int64) - 1
        gaps = np.repeat(told, each)
        place = np.arange(len(gaps)) - np.repeat(np.cumsum(each) - each, each) + 1
        at = last[gaps] + gap[gaps] * place / number[gaps]
        at = at[(at >= 0) & (at < self.before[-1])]
        # Sums of fractions of a day fall short of whole intervals by rounding only.
        return np.asarray(self.first + np.searchsorted(self.before, at + 1e-6, side="right") - 1)


def _is_worked(own: Occasions, log: PrinterLog) -> Bools:
    """Working days: those weekdays on which the task is done at all."""
    weekday = (day_of(log.first).weekday() + np.arange(log.days)) % 7
    often = np.bincount(weekday[own.at], minlength=7)
    return np.asarray((often >= 0.2 * often.max())[weekday] & ~log.closed)


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
