"""Is a task written down only some of the times it is due?

Where a routine is kept but not every occasion is written down, the days between two entries are
whole multiples of its interval, and the multiples follow a geometric law whose parameter is the
share written down (the number of trials to the first success). Somebody who works at no fixed
interval leaves other gaps: they do not gather at the multiples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays
from tracker.forecast.log_quality.usual_interval import Occasions
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
    ``gaps``; where far too many are missing, the ``days`` of the occasions without one per printer
    (whole days since 1970-01-01).
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
    every: dict[str, list[Array]] = {task: [] for task in tasks.tasks}
    for block in tasks.blocks():
        for task, own in every.items():
            own.append(_DueClock.of(Occasions.of(schedules, block, task), block).gaps)
    found = {}
    for task, of_task in every.items():
        gaps = np.concatenate([*of_task, np.zeros(0)])
        if len(gaps) < _LEAST_GAPS or not _at_multiples(gaps):
            continue
        share, half = _share(gaps)
        missed = MissedOccasions(
            task, share, max(share - half, 0.0), min(share + half, 1.0), len(gaps)
        )
        if missed.are_many:
            longest = np.log(_UNLIKELY / len(gaps)) / np.log(max(1 - share, _UNLIKELY / len(gaps)))
            missed = replace(missed, days=_missing(tasks, schedules, task, longest))
        found[task] = missed
    return found


def _missing(
    tasks: TaskDays, schedules: RoutineSchedules, task: str, longest: float
) -> dict[str, Ints]:
    """See ``_DueClock.missing``."""
    days: dict[str, Ints] = {}
    for block in tasks.blocks():
        days |= _DueClock.of(Occasions.of(schedules, block, task), block).missing(longest)
    return days


@dataclass(frozen=True, eq=False)
class _DueClock:
    """A clock on each printer that gains 1 from one time the task is due to the next, whatever rule
    is in force.

    It stands on closed days and while no routine is. ``before`` each day of the log and at its end,
    so that a printer has one more than days. ``gaps``: what it gains between two entries under one
    rule; on the printers ``told`` there are such, and so ``many`` entries each: the clock at these
    is ``entries``.
    """

    logged: LoggedDays
    before: Array
    told: Ints
    many: Ints
    entries: Array
    gaps: Array

    @classmethod
    def of(cls, own: Occasions, tasks: TaskDays) -> _DueClock:
        logged, usual = tasks.logged, own.usual
        runs = own.told & ~tasks.closed
        often = own.told & (usual < _OFTEN_DAYS)
        if often.any():
            # Short intervals are counted in working days.
            usual = np.where(often, np.maximum(np.rint(usual * 5 / 7), 1), usual)
            runs &= ~often | _is_worked(own, tasks)
        gained = np.divide(1, usual, out=np.zeros(logged.total), where=runs)
        before = np.zeros(logged.total + len(logged.printers))
        for number, days in enumerate(logged.slices()):
            # Each printer's own sum: whether an entry is due to the day hangs on its rounding.
            gained[days].cumsum(out=before[days.start + number + 1 : days.stop + number + 1])
        entries, rule = before[own.at + own.printer], own.usual[own.at]
        is_told = own.told[own.at]
        same = is_told[1:] & is_told[:-1] & (rule[1:] == rule[:-1]) & own.same_printer
        told = np.zeros(len(logged.printers), dtype=bool)
        told[own.printer[1:][same]] = True
        many = np.bincount(own.printer, minlength=len(told))[told]
        gaps = np.diff(entries)[same]
        return cls(logged, before, np.flatnonzero(told), many, entries[told[own.printer]], gaps)

    def missing(self, longest: float) -> dict[str, Ints]:
        """The days of the occasions without an entry, in gaps of no more intervals than that: a
        longer one may be a real rest. Before the first entry and after the last one they follow
        each other as the rule says.
        """
        ends = np.cumsum(self.many)
        begins, entries = ends - self.many, self.entries
        bounds = self.logged.begins + np.arange(len(self.logged.begins))
        whole = self.before[bounds[1:] - 1][self.told]
        first, final = entries[begins], entries[ends - 1]
        last = np.insert(entries, begins, first - np.floor(first) - 1)
        gap = np.insert(entries, ends, final + np.floor(whole - final) + 1) - last
        of = np.repeat(np.arange(len(self.told)), self.many + 1)
        number = _multiples(gap)
        short = np.flatnonzero(number <= longest)
        each = number[short].astype(np.int64) - 1
        gaps = np.repeat(short, each)
        place = np.arange(len(gaps)) - np.repeat(np.cumsum(each) - each, each) + 1
        at = last[gaps] + gap[gaps] * place / number[gaps]
        there = (at >= 0) & (at < whole[of[gaps]])
        # Sums of fractions of a day fall short of whole intervals by rounding only.
        at, of = at[there] + 1e-6, of[gaps][there]
        own = np.searchsorted(of, np.arange(len(self.told) + 1)).tolist()
        days = {}
        for printer, (begin, end) in zip(self.told.tolist(), pairwise(own), strict=True):
            before = self.before[bounds[printer] : bounds[printer + 1]]
            day = before.searchsorted(at[begin:end], side="right") - 1
            days[self.logged.printers[printer]] = int(self.logged.first[printer]) + day
        return days


def _is_worked(own: Occasions, tasks: TaskDays) -> Bools:
    """Working days of each printer: those weekdays on which the task is done there at all."""
    logged = tasks.logged
    cell = logged.printer_weekday
    times = np.bincount(cell[own.at], minlength=7 * len(logged.printers)).reshape(-1, 7)
    often = times >= 0.2 * times.max(axis=1, keepdims=True)
    return np.asarray(often.ravel()[cell] & ~tasks.closed)


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
