"""When is a task due on a printer, and was each occasion kept? On days on which somebody works."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil
from typing import NamedTuple

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.due_days.shutdown_tasks import Shutdown, first_open, shutdown_near
from tracker.lives.open_days import Closures
from tracker.lives.usage import AreaReadings
from tracker.workshop.columns.day_numbers import NO_DAY, day_number
from tracker.workshop.columns.days_done import DaysDone
from tracker.workshop.columns.sums import LAST_DONE
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once
from tracker.workshop.schedules import RoutineSchedules, Rule
from tracker.workshop.working_days import EVERY_DAY, WorkingDays

FARTHEST_DAYS = 3650  # an area due date further ahead is not worth a date
GRACE = 0.2  # share of the interval an action may be late and still count as in time


def weekdays_due(records: Records, as_of: date) -> WorkingDays:
    """The weekdays on which the routine falls due."""
    return WorkingDays.of(records.known_at(as_of), as_of, unknown=EVERY_DAY)


class Turn(NamedTuple):
    """What follows an action on day number ``base``, or the first day: the task is due again on
    ``due``, in time up to ``limit``, and missed from ``roll`` on. Where that is NO_DAY, a rule
    begins on ``goes_on`` (NO_DAY: nothing more is due)."""

    goes_on: int = NO_DAY
    base: int = NO_DAY
    due: int = NO_DAY
    limit: int = NO_DAY
    roll: int = NO_DAY


@dataclass(frozen=True, eq=False)
class TaskClock:
    """Everything a due day is computed from, as known on one day.

    In a fleet most printers have the same rules and closed days: what follows from a day by these
    alone is worked out once for all of them.
    """

    known: Records
    as_of: date
    schedules: RoutineSchedules
    working: WorkingDays
    usual_days: WorkingDays
    closures: Closures
    _opened: dict[tuple[int, date], date] = field(default_factory=dict, repr=False)
    _shutdowns: dict[int, Shutdown | None] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, known: Records, as_of: date, closures: Closures) -> TaskClock:
        return cls(
            known, as_of, RoutineSchedules(known), weekdays_due(known, as_of),
            WorkingDays.of(known, as_of), closures,
        )  # fmt: skip

    @found_once
    def readings(self) -> AreaReadings:
        """The counters, which only a task by printed area asks for."""
        return AreaReadings.of(self.known)

    def last_days(self, printers: Sequence[str], tasks: Sequence[str]) -> Ints:
        """The number of the last day of each printer (rows) and task (columns); NO_DAY: never."""
        return self.known.sum_of("maintenance", LAST_DONE).of(printers, tasks)

    def closed(self, printer: str) -> bool:
        """Is the printer closed on the day that is asked about?"""
        return self.closures.closed_on(printer, self.as_of)

    def first_from(self, printer: str, day: date) -> date:
        """That day, or the next one on which somebody works at the printer."""
        asked = self.closed_like(printer), day
        found = self._opened.get(asked)
        if found is None:
            found = first_open(self.closures, self.working, printer, day)
            self._opened[asked] = found
        return found

    def closed_like(self, printer: str) -> int:
        """The same number for printers that share their closed days."""
        return id(self.closures.spans.get(printer))

    def alike(self, task: str, printers: Sequence[str]) -> Ints:
        """The same number for printers on which the task's days follow from the same rules."""
        own, by_area = self.schedules.printers_with_own(task), self.schedules.is_by_area(task)
        numbers: dict[object, int] = {}
        each = (name if by_area or name in own else self.closed_like(name) for name in printers)
        return np.array([numbers.setdefault(one, len(numbers)) for one in each], dtype=np.int64)

    def later(self, printer: str, day: date, days: int) -> date:
        """So many days later, closed ones not counted."""
        until = day + timedelta(days=days)
        while (more := self.closures.closed_between(printer, day, until)) and (
            until < day + timedelta(days=days + more)
        ):
            until = day + timedelta(days=days + more)
        return until

    def days_late(self, printer: str, due: date) -> int:
        """Days since it was due, closed ones not counted; below 0: still ahead."""
        late = (self.as_of - due).days
        return late - self.closures.closed_between(printer, due, self.as_of)

    def shutdown_near(self, printer: str) -> Shutdown | None:
        """The shutdown for which something should be done on the printer today."""
        like = self.closed_like(printer)
        if like not in self._shutdowns:
            self._shutdowns[like] = shutdown_near(
                self.closures, self.usual_days, printer, self.as_of
            )
        return self._shutdowns[like]

    def anchor(self, began: date, rule: Rule) -> date:
        """From when a task that was never done is counted."""
        days = [began, rule.starts_on, self.known.log_began_on]
        return max(day for day in days if day is not None)

    def areas_since(self, printers: Sequence[str] | Array, days: Ints) -> Array:
        """m² that each printer printed since the day of that number; NaN where not known."""
        last = np.full(len(days), float(day_number(self.as_of)))
        return self.readings.between(pd.Series(printers, dtype=object), days.astype(float), last)

    def due_on(self, printer: str, last: date | None, anchor: date, rule: Rule) -> date | None:
        """The day on which a task is due that was last done on ``last`` (None: never)."""
        if last is None and anchor == rule.starts_on:
            return self.first_from(printer, anchor)
        due = self.due_after(printer, anchor, rule)
        if due is None or rule.starts_on is None or due >= rule.starts_on:
            return due
        return self.first_from(printer, rule.starts_on)

    def due_after(self, printer: str, last: date, rule: Rule) -> date | None:
        """The day on which a task last done on ``last`` is due again under that rule."""
        day = self.interval_ends(printer, last, rule)
        return None if day is None else self.first_from(printer, day)

    def interval_ends(self, printer: str, last: date, rule: Rule) -> date | None:
        """The day on which the interval that began on ``last`` ends, worked or not."""
        found = []
        if rule.interval_days is not None:
            found.append(last + timedelta(days=rule.interval_days))
        if np.isfinite(rule.every_m2):
            by_area = self._day_of_area(printer, last, rule.every_m2)
            if by_area is not None:
                found.append(by_area)
        return min(found) if found else None

    def _day_of_area(self, printer: str, last: date, area: float) -> date | None:
        """The day on which so much has been printed since ``last``; a forecast when ahead."""
        until = max((self.as_of - last).days, 0)
        printed = float(self.areas_since([printer], np.array([day_number(last)]))[0])
        if np.isnan(printed):
            return None
        if printed >= area:
            by_day = self._areas(
                printer, last, [last + timedelta(days=d) for d in range(until + 1)]
            )
            return last + timedelta(days=int(np.argmax(by_day >= area)))
        rate = float(self.readings.usual_rate(pd.Series([printer]))[0])
        ahead = (area - printed) / rate if rate > 0 else np.inf
        return self.as_of + timedelta(days=ceil(ahead)) if ahead < FARTHEST_DAYS else None

    def _areas(self, printer: str, start: date, ends: Sequence[date]) -> np.ndarray:
        names = pd.Series([printer] * len(ends), dtype=object)
        first = np.full(len(ends), float(day_number(start)))
        last = np.array([float(day_number(day)) for day in ends])
        return self.readings.between(names, first, last)

    def _change(self, task: str, printer: str, day: date, rule: Rule) -> date:
        """The first day after ``day`` on which that rule no longer is the one in force."""
        ended = None if rule.ends_on is None else rule.ends_on + timedelta(days=1)
        started = self.schedules.next_start(task, printer, day)
        return min(found for found in (ended, started) if found is not None)

    def due_days(
        self,
        printer: str,
        task: str,
        began: date,
        first: date,
        last: date,
        *,
        done_by: date | None = None,
    ) -> list[date]:
        """The task's days from ``first`` to ``last``, each occasion done on its day.

        An overdue one comes first. What was done up to ``done_by`` counts, by default up to the
        day before ``first``; ``began``: the printer's first day.
        """
        counted = first - timedelta(days=1) if done_by is None else done_by
        done = DaysDone.since(self.known, counted + timedelta(days=1)).last_before(printer, task)
        days: list[date] = []
        day = first
        while day <= last:
            rule = self.schedules.on(task, printer, day)
            if rule is None:
                following = self.schedules.next_start(task, printer, day)
                if following is None:
                    break
                day = following
                continue
            due = self.due_on(printer, done, done or self.anchor(began, rule), rule)
            if due is None:
                break  # by area, and the area is not known
            due = self.first_from(printer, max(due, day))
            if due > last:
                break
            if not rule.holds_on(due):
                day = due
                continue
            days.append(due)
            done, day = due, due + timedelta(days=1)
        return days

    def turn(self, printer: str, task: str, began: date, day: date, *, is_done: bool) -> Turn:
        """What follows that day, on which the task was done or not; ``began``: the printer's
        first."""
        last = day if is_done else None
        rule = self.schedules.on(task, printer, day)
        if rule is None:
            start = self.schedules.next_start(task, printer, day)
            return Turn() if start is None else Turn(goes_on=day_number(start))
        base = last or self.anchor(max(began, day), rule)
        ends = self.interval_ends(printer, base, rule)
        due = ends and self.first_from(printer, ends)
        newer = self.schedules.on(task, printer, due) if due else rule
        if due is not None and newer is not rule:
            # The rule changed first: what follows it says when the task is due.
            change = self._change(task, printer, base, rule)
            newer = self.schedules.on(task, printer, change)
            if newer is None:
                return Turn(goes_on=day_number(change))
            ends = self.interval_ends(printer, base, newer)
            ends = ends and max(ends, change)
            due = ends and self.first_from(printer, ends)
        if ends is None or due is None:
            return Turn()
        # A weekend makes the interval longer, a shutdown does not.
        interval = max(1, (self.working.first_from(ends) - base).days)
        limit = self.first_from(printer, self.later(printer, due, int(GRACE * interval)))
        roll = self.first_from(printer, self.later(printer, due, interval))
        return Turn(NO_DAY, *map(day_number, (base, due, limit, roll)))
