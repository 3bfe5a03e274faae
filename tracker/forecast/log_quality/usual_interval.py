"""How far apart is a task usually done on a printer, and which entries come off that schedule?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays
from tracker.workshop.columns.day_numbers import day_of
from tracker.workshop.schedules import RoutineSchedules

_NEIGHBOURS = 13  # gaps about a day whose median is usual there


@dataclass(frozen=True, eq=False)
class Occasions:
    """The entries of one task on all printers: places ``at`` among all logged days, in order, and
    the ``printer`` of each; the ``usual`` days between two of them on every one of all days (NaN
    where nothing tells); ``told`` says that a routine does.
    """

    at: Ints
    printer: Ints
    usual: Array
    told: Bools

    @classmethod
    def of(cls, schedules: RoutineSchedules, tasks: TaskDays, task: str) -> Occasions:
        """As the routine says; where none is in force as the neighbouring entries lie apart."""
        logged, at = tasks.logged, tasks.done_at(task)
        usual, told = _as_routines_say(schedules, logged, task)
        printer = logged.printer[at]
        begins, untold = np.searchsorted(printer, np.arange(len(logged.printers) + 1)), ~told
        for number, own in enumerate(logged.slices()):
            mine = at[begins[number] : begins[number + 1]]
            if len(mine) > 1 and untold[own].any():
                day = own.start + np.flatnonzero(untold[own])
                usual[day] = np.interp(day, mine[1:], _middle(np.diff(mine)))
        return cls(at, printer, usual, told)

    @property
    def same_printer(self) -> Bools:
        """Is each entry on the same printer as the next one?"""
        return np.asarray(self.printer[1:] == self.printer[:-1])

    def off_schedule(self, entry: Ints) -> Array:
        """How much these entries look put in between: 1 where its two neighbours lie no further
        apart than is usual from one to the next, 0 where they lie twice as far.
        """
        apart = np.full(len(entry), np.inf)
        inner = (entry > 0) & (entry < len(self.at) - 1)
        own = entry[inner]
        same = self.printer[own - 1] == self.printer[own + 1]
        apart[inner] = np.where(same, self.at[own + 1] - self.at[own - 1], np.inf)
        return np.nan_to_num(np.clip(2 - apart / self.usual[self.at[entry]], 0, 1))


def _as_routines_say(
    schedules: RoutineSchedules, logged: LoggedDays, task: str
) -> tuple[Array, Bools]:
    """The days between two times on each of all days, and on which a routine tells them."""
    usual, told = np.full(logged.total, np.nan), np.zeros(logged.total, dtype=bool)
    common: dict[tuple[date, date], list[tuple[int, int, int]]] = {}
    rows = zip(logged.printers, logged.first.tolist(), logged.slices(), strict=True)
    for name, first, own in rows:
        span = day_of(first), day_of(first + own.stop - own.start - 1)
        if schedules.is_own(task, name):
            rules = _rules(schedules, task, name, *span)
        elif span in common:
            rules = common[span]
        else:  # the rules for all printers, where this one has none of its own
            rules = common[span] = _rules(schedules, task, name, *span)
        for begin, end, days in rules:
            here = slice(own.start + begin, own.start + end)
            usual[here], told[here] = days, True
    return usual, told


def _rules(
    schedules: RoutineSchedules, task: str, printer: str, first: date, last: date
) -> list[tuple[int, int, int]]:
    """From which to before which day of a printer's log a task is due every so many days."""
    found = []
    for begins, ends in schedules.stretches(task, printer, first, last):
        rule = schedules.on(task, printer, begins)
        if rule is not None and rule.interval_days is not None:
            found.append(((begins - first).days, (ends - first).days + 1, rule.interval_days))
    return found


def _middle(gaps: Ints) -> Array:
    """The median of each gap and its neighbours, as many as there are on both sides."""
    half = _NEIGHBOURS // 2
    beyond = np.full(half, np.inf)
    around = np.concatenate((beyond, gaps, beyond))
    around = np.sort(np.lib.stride_tricks.sliding_window_view(around, _NEIGHBOURS), axis=1)
    row, many = np.arange(len(gaps)), np.isfinite(around).sum(axis=1)
    return np.asarray((around[row, (many - 1) // 2] + around[row, many // 2]) / 2)
