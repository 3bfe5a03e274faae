"""What is done now: how often each task, on which printer, by the log or by a routine.

What is done costs work and keeps parts alive, not what is meant to be done. So the log speaks where
it is kept and holds enough, and the routine in force where it does not, or where the two agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.whole_routine.logged_times import LoggedTimes
from tracker.forecast.routine_exposure import planned_counts
from tracker.lives.exposure.table import PER_DAYS, log2_rate
from tracker.lives.open_days import closed_share
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules
from tracker.workshop.working_days import WorkingDays

_TENTH = 10
_ALIKE = 1.25  # two paces of the log that differ by less are one (common practice, no source)


@dataclass(frozen=True, eq=False)
class Practice:
    """How often each task is done on each printer at work.

    ``per_day``: times per open day, 0 where it is not done; ``rule_days``: the interval of the
    routine in force, infinite without one; both (tasks, printers). ``besides``: times per open day
    of tasks that count as this one too. ``working_share`` of the open days are worked,
    ``closed_share`` of all days are closed.
    """

    tasks: tuple[str, ...]
    printers: tuple[str, ...]
    per_day: Array
    rule_days: Array
    besides: Array
    working_share: float
    closed_share: float

    @classmethod
    def of(cls, known: Records, as_of: date, closed_share: float) -> Practice:
        """As known on that day; tasks in the order of the trade, then one's own."""
        schedules, share = RoutineSchedules(known), WorkingDays.of(known, as_of).share
        tasks, printers = _tasks(known, schedules, as_of), printers_at_work(known, as_of)
        log = LoggedTimes.of(known, as_of, printers)
        logged = log.per_day
        per_day = np.zeros((len(tasks), len(printers)))
        rule_days = np.full(per_day.shape, np.inf)
        for row, task in enumerate(tasks):
            for column, printer in enumerate(printers):
                rule = schedules.on(task, printer, as_of)
                if rule is None or not np.isfinite(rule.every_days):
                    per_day[row, column] = logged.get((printer, task), 0.0)
                    continue
                rule_days[row, column] = rule.every_days
                meant = min(1 / rule.every_days, share)
                done = log.instead_of(meant, task, printer, rule.starts_on)
                per_day[row, column] = meant if done is None else done
        besides, place = np.zeros(per_day.shape), {name: at for at, name in enumerate(printers)}
        for (printer, task), rate in logged.items():
            usual = vocabulary.TASKS.get(task)
            if usual is not None and usual.counts_as in tasks:
                besides[tasks.index(usual.counts_as), place[printer]] += rate
        return cls(tasks, printers, per_day, rule_days, besides, share, closed_share)

    def exposure(self, task: str, per_day: Array) -> Array:
        """The exposure of every printer on which the task is done so often."""
        also = self.besides[self.tasks.index(task)]
        return np.asarray(log2_rate(PER_DAYS * (per_day + also)), dtype=np.float64)

    def per_day_at(self, every_days: float) -> float:
        """Times per open day of doing a task every so many days; "every day": each working day."""
        return min(1 / every_days, self.working_share)

    def unkept(self, task: str) -> dict[str, float]:
        """The printers on which the log tells another pace than the routine in force, each with
        the routine's days."""
        row = self.tasks.index(task)
        meant = np.minimum(1 / self.rule_days[row], self.working_share)
        other = np.isfinite(self.rule_days[row]) & (self.per_day[row] != meant)
        return {self.printers[at]: float(self.rule_days[row, at]) for at in np.flatnonzero(other)}

    @cached_property
    def usual_days(self) -> dict[str, float]:
        """Days between two times on most printers, of several the one nearest the middle; inf
        where it is not done."""
        return {
            task: _usual(self._days(rates))
            for task, rates in zip(self.tasks, self.per_day, strict=True)
        }

    def is_done(self, task: str) -> bool:
        """On any printer, as far as log and routine say?"""
        return bool(self.per_day[self.tasks.index(task)].any())

    def days_on(self, task: str) -> dict[str, float]:
        """Days between two times on each printer; inf: not done."""
        rates = self.per_day[self.tasks.index(task)]
        return dict(zip(self.printers, map(float, self._days(rates)), strict=True))

    def meant(self, task: str) -> list[float]:
        """The intervals in days of the routines in force on these printers, in rising order."""
        days = self.rule_days[self.tasks.index(task)]
        return [float(each) for each in np.unique(days[np.isfinite(days)])]

    def paces(self, task: str) -> list[float]:
        """Whole days between two times where the task is done, each pace once, in rising order; of
        many printers without the tenth that is farthest out on either side. Where it is done
        nowhere, those of the routines in force.

        Paces read off the log that hardly differ are one, the usual one.
        """
        if task not in self.tasks:
            return []
        days = self._days(self.per_day[self.tasks.index(task)])
        days = days[np.isfinite(days)]
        if not len(days):
            return self.meant(task)
        out = len(days) // _TENTH
        days = np.sort(days)[out : len(days) - out]
        found = np.unique(np.maximum(np.round(days), 1.0))
        if len(found) > 1 and found[-1] <= _ALIKE * found[0] and self.unkept(task):
            found = np.maximum(np.round([_usual(days)]), 1.0)
        return [float(each) for each in found]

    def _days(self, per_day: Array) -> Array:
        with np.errstate(divide="ignore"):
            days = np.where(per_day > 0, 1 / per_day, np.inf)
        # On every working day is what people call every day.
        return np.where(per_day >= self.working_share, 1.0, days)


def practice_now(records: Records, as_of: date) -> Practice:
    """What is done now, the log taken as it is."""
    known = records.known_at(as_of)
    return Practice.of(known, as_of, closed_share(known, as_of))


def printers_at_work(known: Records, as_of: date) -> tuple[str, ...]:
    """The printers that are there on that day."""
    rows = known.printers
    there = rows["retired_on"].isna() | (rows["retired_on"] > pd.Timestamp(as_of))
    return tuple(dict.fromkeys(map(str, rows.loc[there, "printer"])))


def with_stand_ins(known: Records) -> Records:
    """The same records with each task that counts as a lighter one logged as that one."""
    counts_as = {name: task.counts_as for name, task in vocabulary.TASKS.items() if task.counts_as}
    log = known.maintenance
    if not log["task"].isin(list(counts_as)).any():
        return known
    return known.but(maintenance=log.assign(task=log["task"].replace(counts_as)))


def names_of(task: str) -> tuple[str, ...]:
    """The task, and those that count as it as well."""
    stand_ins = (name for name, other in vocabulary.TASKS.items() if other.counts_as == task)
    return (task, *stand_ins)


def _tasks(known: Records, schedules: RoutineSchedules, as_of: date) -> tuple[str, ...]:
    """Tasks with a routine in force, and those done by plan often enough to be one; what only
    stands in for another is none of its own."""
    in_force = {
        task
        for task in schedules.tasks
        if any(schedules.on(task, printer, as_of) for printer in printers_at_work(known, as_of))
    }
    done = {str(task) for task in planned_counts(known).index}
    stand_ins = {name for name, task in vocabulary.TASKS.items() if task.counts_as}
    found = in_force | (done - stand_ins)
    usual = [task for task in vocabulary.BUILT_IN_TASKS if task in found]
    return (*usual, *sorted(found - set(usual)))


def _usual(days: Array) -> float:
    if not len(days):
        return float("inf")
    middle = float(np.sort(days)[(len(days) - 1) // 2])
    tries, counts = np.unique(np.round(days, 1), return_counts=True)
    far = np.abs(np.log(tries) - np.log(middle)) if np.isfinite(middle) else np.isfinite(tries)
    return float(tries[np.lexsort((far, -counts))[0]])
