"""When is a task due on a printer, and was each occasion kept? On days on which somebody works."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

import numpy as np
import pandas as pd

from tracker.decisions.shutdown_tasks import Shutdown, first_open, shutdown_near
from tracker.lives.open_days import Closures, day_number
from tracker.lives.usage import AreaReadings
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules, Rule
from tracker.workshop.working_days import EVERY_DAY, WorkingDays

FARTHEST_DAYS = 3650  # an area due date further ahead is not worth a date
GRACE = 0.2  # share of the interval an action may be late and still count as in time


@dataclass(frozen=True, eq=False)
class TaskClock:
    """Everything a due day is computed from, as known on one day."""

    known: Records
    as_of: date
    schedules: RoutineSchedules
    working: WorkingDays
    readings: AreaReadings
    actions: dict[tuple[str, str], list[date]]
    closures: Closures

    @classmethod
    def of(cls, known: Records, as_of: date, closures: Closures) -> TaskClock:
        done = known.maintenance[["printer", "task", "done_on"]].dropna().drop_duplicates()
        done = done.sort_values("done_on", kind="stable")
        actions: dict[tuple[str, str], list[date]] = {}
        for printer, task, day in zip(
            done["printer"], done["task"], done["done_on"].dt.date, strict=True
        ):
            actions.setdefault((printer, task), []).append(day)
        return cls(
            known, as_of, RoutineSchedules(known), WorkingDays.of(known, as_of, unknown=EVERY_DAY),
            AreaReadings.from_records(known), actions, closures,
        )  # fmt: skip

    def done(self, printer: str, task: str) -> list[date]:
        return self.actions.get((printer, task), [])

    def closed(self, printer: str) -> bool:
        """Is the printer closed on the day that is asked about?"""
        return self.closures.closed_on(printer, self.as_of)

    def first_from(self, printer: str, day: date) -> date:
        """That day, or the next one on which somebody works at the printer."""
        return first_open(self.closures, self.working, printer, day)

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

    def for_shutdown(self, printer: str) -> dict[str, Shutdown]:
        """What should be done on the printer today for a shutdown, and is not done yet."""
        usual = WorkingDays.of(self.known, self.as_of)
        near = shutdown_near(self.closures, usual, printer, self.as_of)
        if near is None:
            return {}
        done = {task: self.done(printer, task) for task in near.tasks}
        return {task: near for task, days in done.items() if not days or days[-1] < near.since}

    def anchor(self, began: date, rule: Rule) -> date:
        """From when a task that was never done is counted."""
        days = [began, rule.starts_on, self.known.log_began_on]
        return max(day for day in days if day is not None)

    def area(self, printer: str, start: date, end: date) -> float:
        """m² printed between two days; NaN where not known."""
        return float(self._areas(printer, start, [end])[0])

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
        printed = self.area(printer, last, self.as_of)
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
        before = bisect_right(self.done(printer, task), counted)
        done = self.done(printer, task)[before - 1] if before else None
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

    def occasions(
        self, printer: str, task: str, began: date, start: date, end: date
    ) -> tuple[int, int, int]:
        """Occasions with a day in the time, and how many of them were late or missed."""
        done = self.done(printer, task)
        before = bisect_left(done, start) - 1
        last = done[before] if before >= 0 else None
        day = last or began
        due_count = late = missed = 0
        while True:
            rule = self.schedules.on(task, printer, day)
            if rule is None:
                following = self.schedules.next_start(task, printer, day)
                if following is None or following > end:
                    return due_count, late, missed
                day, last = following, None
                continue
            base = last or self.anchor(max(began, day), rule)
            ends = self.interval_ends(printer, base, rule)
            due = ends and self.first_from(printer, ends)
            newer = self.schedules.on(task, printer, due) if due else rule
            if due is not None and newer is not rule:
                # The rule changed first: what follows it says when the task is due.
                change = self._change(task, printer, base, rule)
                newer = self.schedules.on(task, printer, change)
                if newer is None:
                    if change > end:
                        return due_count, late, missed
                    day, last = change, None
                    continue
                rule = newer
                ends = self.interval_ends(printer, base, rule)
                ends = ends and max(ends, change)
                due = ends and self.first_from(printer, ends)
            if ends is None or due is None:
                return due_count, late, missed
            # A weekend makes the interval longer, a shutdown does not.
            interval = max(1, (self.working.first_from(ends) - base).days)
            limit = self.first_from(printer, self.later(printer, due, int(GRACE * interval)))
            place = bisect_right(done, base)
            action = done[place] if place < len(done) else None
            roll = self.first_from(printer, self.later(printer, due, interval))
            if action is not None and action < roll:
                if start <= min(action, due):
                    due_count += 1
                    late += action > limit
                base = action
            else:
                if due > end or limit > end:
                    return due_count, late, missed
                if due >= start:
                    due_count += 1
                    missed += 1
                base = due
            day = last = base
