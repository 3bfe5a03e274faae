"""What is due today, by days or by printed area, and how well the routine was kept.

An action counts whatever it was done for: a flush because of a symptom is a flush. Due days fall
on days on which the workshop works, as the log shows them, and never on a closed day; a day closed
is no day late. A printer's own routine goes before the one for all printers.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

import numpy as np
import pandas as pd

from tracker.decisions.routine.schedules import RoutineSchedules, Rule
from tracker.decisions.shutdown_tasks import Shutdown, first_open, shutdown_near
from tracker.errors import UsageError
from tracker.lives.open_days import Closures, day_number
from tracker.lives.usage import AreaReadings
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.working_days import EVERY_DAY, WorkingDays

COLUMNS = (
    "task",
    "label",
    "printer",
    "last_done",
    "due_on",
    "days_late",
    "every_days",
    "every_m2",
    "area_since_m2",
    "minutes",
    "cautions",
    "shutdown",
)
ADHERENCE_COLUMNS = ("printer", "task", "label", "due", "in_time", "late", "missed", "share")

FARTHEST_DAYS = 3650  # an area due date further ahead is not worth a date
GRACE = 0.2  # share of the interval an action may be late and still count as in time
OWN_TIMES = 3  # own entries with minutes from which their median replaces the usual minutes


def due_list(records: Records, as_of: date) -> pd.DataFrame:
    """What is due on which printer, and how late is it?

    One row per active printer and task with a routine in force, the latest first: ``task``,
    ``label``, ``printer``; ``last_done`` (NaT when never), ``due_on`` (NaT when due by area and
    the area is not known), ``days_late`` (0 due today, below 0 still ahead; NaN without a due
    day); ``every_days``, ``every_m2`` of the routine and ``area_since_m2`` printed since;
    ``minutes`` it usually takes; ``cautions``, keys of ``vocabulary.CAUTIONS``; ``shutdown``, the
    ``Shutdown`` it is due for (else None): these come first, and are due whatever the routine says.

    With both measures the earlier day counts. Nothing is due before the first day of its routine
    (``starts_on``); a task never done is due on that day, and without one an interval after the
    printer or the log began, whichever is later.
    """
    clock = _Clock.of(records.known_at(as_of), as_of, Closures.of(records))
    minutes = _usual_minutes(clock.known)
    rows = []
    for printer, began in _active(clock.known, as_of):
        asked = clock.for_shutdown(printer)
        for task in dict.fromkeys((*asked, *clock.schedules.tasks)):
            rule = clock.schedules.on(task, printer, as_of)
            if rule is None and task not in asked:
                continue
            done = clock.done(printer, task)
            last = done[-1] if done else None
            anchor = last or (clock.anchor(began, rule) if rule else began)
            due = clock.due_on(printer, last, anchor, rule) if rule else None
            if task in asked:
                due = min(due or as_of, as_of)
            elif due is not None and due <= as_of and clock.closed(printer):
                due = clock.first_from(printer, as_of)
            usual = vocabulary.TASKS.get(task)
            rows.append(
                (
                    task,
                    vocabulary.task_label(task),
                    printer,
                    last,
                    due,
                    np.nan if due is None else float(clock.days_late(printer, due)),
                    rule.every_days if rule else np.nan,
                    rule.every_m2 if rule else np.nan,
                    clock.area(printer, anchor, as_of),
                    minutes.get(task, usual.minutes if usual else np.nan),
                    usual.cautions if usual else (),
                    asked.get(task),
                )
            )
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    for name in ("last_done", "due_on"):
        frame[name] = pd.to_datetime(frame[name]).astype("datetime64[ns]")
    frame["days_late"] = frame["days_late"].astype(float)
    frame["shutdown"] = frame["shutdown"].astype(object).where(frame["shutdown"].notna(), None)
    frame = frame.sort_values("days_late", ascending=False, kind="stable")
    return frame.sort_values("shutdown", key=pd.isna, kind="stable", ignore_index=True)


def adherence(known: Records, start: date, end: date) -> pd.DataFrame:
    """How much of what was due from ``start`` to ``end`` (both included) was done in time?

    One row per printer and task with an occasion in that time: how many were ``due``, done
    ``in_time``, done ``late`` or ``missed`` (not before the next one was due), and the ``share``
    in time. An occasion is in time up to a fifth of the interval late (whole days, closed ones not
    counted). One still open at ``end`` is not counted. ``known``: the records as known on ``end``.

    Raises:
        UsageError: an end before the start.
    """
    if end < start:
        raise UsageError(f"end: {end} lies before start {start}; swap them.")
    clock = _Clock.of(known, end, Closures.of(known))
    rows = []
    for printer, began in _active(clock.known, start, end):
        for task in clock.schedules.tasks:
            due, late, missed = clock.occasions(printer, task, began, start, end)
            if due:
                in_time = due - late - missed
                rows.append(
                    (printer, task, vocabulary.task_label(task), due, in_time, late, missed,
                     in_time / due)
                )  # fmt: skip
    return pd.DataFrame(rows, columns=list(ADHERENCE_COLUMNS))


@dataclass(frozen=True, eq=False)
class _Clock:
    """Everything a due day is computed from, as known on one day."""

    known: Records
    as_of: date
    schedules: RoutineSchedules
    working: WorkingDays
    readings: AreaReadings
    actions: dict[tuple[str, str], list[date]]
    closures: Closures

    @classmethod
    def of(cls, known: Records, as_of: date, closures: Closures) -> _Clock:
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


def _active(known: Records, start: date, end: date | None = None) -> list[tuple[str, date]]:
    """Printers at work on that day, or on a day of that time, each with the day it began."""
    printers = known.printers.drop_duplicates("printer", keep="last")
    there = printers["started_on"] <= pd.Timestamp(end or start)
    kept = printers["retired_on"].isna() | (printers["retired_on"] > pd.Timestamp(start))
    chosen = printers[there & kept]
    return list(zip(chosen["printer"], chosen["started_on"].dt.date, strict=True))


def _usual_minutes(known: Records) -> dict[str, float]:
    """Median minutes of each task in the own log, where written down often enough."""
    noted = known.maintenance.dropna(subset=["minutes"]).groupby("task")["minutes"]
    counts, medians = noted.size(), noted.median()
    return {task: float(medians[task]) for task in counts.index if counts[task] >= OWN_TIMES}
