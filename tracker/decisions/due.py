"""What is due today, by days or by printed area, and how well the routine was kept.

An action counts whatever it was done for: a flush because of a symptom is a flush. Due days fall
on days on which the workshop works, as the log shows them, and never on a closed day; a day closed
is no day late. A printer's own routine goes before the one for all printers.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.decisions.due_days.occasions import occasions
from tracker.decisions.due_days.pairs import Pairs, active_printers, due_days, pairs_asked
from tracker.decisions.due_days.shutdown_tasks import Shutdown, shutdown_near
from tracker.decisions.due_days.task_clock import TaskClock
from tracker.errors import UsageError
from tracker.language import _
from tracker.lives.open_days import Closures
from tracker.workshop import vocabulary
from tracker.workshop.columns.day_numbers import day_number, days_of
from tracker.workshop.columns.sums import MINUTES
from tracker.workshop.experiments import phases_on
from tracker.workshop.records import Records

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
    "phase",
)
ADHERENCE_COLUMNS = ("printer", "task", "label", "due", "in_time", "late", "missed", "share")

# Tasks at shorter intervals are told ahead by their next day only: a list of every morning's tasks
# hides the others.
OFTEN_DAYS = 5

OWN_TIMES = 3  # own entries with minutes from which their median replaces the usual minutes


def due_list(records: Records, as_of: date) -> pd.DataFrame:
    """What is due on which printer, and how late is it?

    One row per active printer and task with a routine in force, or with none but one that begins
    later, the latest first: ``task``, ``label``, ``printer``; ``last_done`` (NaT when never),
    ``due_on`` (NaT when due by area and the area is not known),
    ``days_late`` (0 due today, below 0 still ahead; NaN without a due day); ``every_days``,
    ``every_m2`` of the routine and, where it has that, ``area_since_m2`` printed since (else NaN);
    ``minutes`` it usually takes; ``cautions``, keys of ``vocabulary.CAUTIONS``; ``shutdown``, the
    ``Shutdown`` it is due for (else None): these come first, and are due whatever the routine says;
    ``phase``, the ``Phase`` of the experiment that the printer's interval is part of (else None).

    With both measures the earlier day counts. Nothing is due before the first day of its routine
    (``starts_on``); a task never done is due on that day, and without one an interval after the
    printer or the log began, whichever is later.
    """
    clock = TaskClock.of(records.known_at(as_of), as_of, Closures.of(records))
    pairs = pairs_asked(clock)
    anchors, due, days_late = due_days(clock, pairs)
    printers = np.array([name for name, _ in pairs.printers], dtype=object)[pairs.printer]
    of_task = _OfTasks(pairs.tasks, _usual_minutes(clock.known))
    every = np.array([(rule.every_days, rule.every_m2) for rule in pairs.rules] + [(np.nan,) * 2])
    frame = pd.DataFrame(
        {
            "task": of_task.names[pairs.task],
            "label": of_task.labels[pairs.task],
            "printer": printers,
            "last_done": days_of(pairs.last.astype(np.int32)),
            "due_on": days_of(due.astype(np.int32)),
            "days_late": days_late,
            "every_days": every[pairs.rule, 0],
            "every_m2": every[pairs.rule, 1],
            "area_since_m2": _areas_since(clock, printers, anchors, every[pairs.rule, 1]),
            "minutes": of_task.minutes[pairs.task],
            "cautions": of_task.cautions[pairs.task],
            "shutdown": _objects([*pairs.shutdowns, None])[pairs.shutdown],
            "phase": _phases_followed(clock, pairs, every[pairs.rule, 0]),
        },
        columns=list(COLUMNS),
    )
    frame = frame.sort_values("days_late", ascending=False, kind="stable")
    return frame.sort_values("shutdown", key=pd.isna, kind="stable", ignore_index=True)


def _areas_since(clock: TaskClock, printers: NDArray[Any], anchors: Ints, every_m2: Array) -> Array:
    """What was printed since, of tasks by area alone: no others need the counters read."""
    found = np.full(len(printers), np.nan)
    asked = np.isfinite(every_m2)
    if asked.any():
        since = np.minimum(anchors[asked], day_number(clock.as_of))
        found[asked] = clock.areas_since(printers[asked], since)
    return found


class _OfTasks:
    """What is said of each task: its name, label, minutes and cautions."""

    def __init__(self, tasks: list[str], minutes: dict[str, float]) -> None:
        usual = [vocabulary.TASKS.get(task) for task in tasks]
        self.names = _objects(tasks)
        self.labels = _objects([vocabulary.task_label(task) for task in tasks])
        self.cautions = _objects([one.cautions if one else () for one in usual])
        self.minutes = np.array(
            [
                minutes.get(task, one.minutes if one else np.nan)
                for task, one in zip(tasks, usual, strict=True)
            ],
            dtype=float,
        )


def _objects(values: Sequence[object]) -> NDArray[np.object_]:
    """One element a value, also where the values are sequences."""
    found = np.empty(len(values), dtype=object)
    found[:] = values
    return found


def _phases_followed(clock: TaskClock, pairs: Pairs, every_days: Array) -> NDArray[np.object_]:
    """The phase of an experiment whose interval is the one of the rule; else None."""
    found = np.full(len(pairs.task), None, dtype=object)
    phases = phases_on(clock.known, clock.as_of)
    if not phases:
        return found
    for at, (task, printer) in enumerate(zip(pairs.task, pairs.printer, strict=True)):
        phase = phases.get((pairs.tasks[task], pairs.printers[printer][0]))
        if phase is not None and every_days[at] == phase.every_days:
            found[at] = phase
    return found


def due_ahead(records: Records, as_of: date, days: int) -> pd.DataFrame:
    """On which days will each task be due, from ``as_of`` on over so many days?

    The rows of ``due_list`` once for each occasion, in the order of their days: ``falls_on``, the
    day on which it can be done (today at the earliest, never a closed one), each occasion done on
    its day; ``number``, 1 for the next one. Tasks due more often than every OFTEN_DAYS have their
    next occasion only. What should be done around a shutdown ahead stands there with its
    ``shutdown``, on the first day on which it may be done; ``number`` is 0.

    Raises:
        UsageError: a number of days below 0.
    """
    if days < 0:
        raise UsageError(
            _("days: {days} is below 0; name the days to look ahead, such as 60.", days=days)
        )
    listed = due_list(records, as_of)
    clock = TaskClock.of(records.known_at(as_of), as_of, Closures.of(records))
    began = dict(active_printers(clock.known, as_of))
    last = as_of + timedelta(days=days)
    places: list[int] = []
    falls_on: list[date] = []
    number: list[int] = []
    asked = zip(listed["printer"], listed["task"], listed["every_days"], strict=True)
    for at, (printer, task, every) in enumerate(asked):
        if listed["shutdown"][at] is not None:  # its next day follows from when it is done
            found = [as_of]
        else:
            found = clock.due_days(printer, task, began[printer], as_of, last, done_by=as_of)
        found = found[:1] if every < OFTEN_DAYS else found
        places += [at] * len(found)
        falls_on += found
        number += range(1, len(found) + 1) if listed["shutdown"][at] is None else [0]
    ahead = listed.iloc[places].assign(falls_on=falls_on, number=number)
    ahead = pd.concat([ahead, *_shutdowns_ahead(records, clock, list(began), last)])
    ahead["falls_on"] = pd.to_datetime(ahead["falls_on"]).astype("datetime64[ns]")
    return ahead.sort_values("falls_on", kind="stable", ignore_index=True)


def _shutdowns_ahead(
    records: Records, clock: TaskClock, printers: list[str], last: date
) -> list[pd.DataFrame]:
    """What each shutdown up to that day asks for, on the first day on which it does."""
    first_days: dict[tuple[str, Shutdown], date] = {}
    for printer in printers:
        if not clock.closures.spans_between(printer, clock.as_of, last + timedelta(days=30)):
            continue
        for ahead in range((last - clock.as_of).days + 1):
            day = clock.as_of + timedelta(days=ahead)
            near = shutdown_near(clock.closures, clock.usual_days, printer, day)
            if near is not None:
                first_days.setdefault((printer, near), day)
    found = []
    for day in sorted(set(first_days.values()) - {clock.as_of}):
        rows = due_list(records, day)
        begins = [
            shutdown is not None and first_days.get((printer, shutdown)) == day
            for printer, shutdown in zip(rows["printer"], rows["shutdown"], strict=True)
        ]
        found.append(rows[begins].assign(falls_on=day, number=0))
    return [rows for rows in found if len(rows)]


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
        raise UsageError(
            _("end: {end} lies before start {start}; swap them.", end=end, start=start)
        )
    clock = TaskClock.of(known, end, Closures.of(known))
    printers, tasks = active_printers(clock.known, start, end), clock.schedules.tasks
    counts = [occasions(clock, task, printers, start, end) for task in tasks]
    each = np.array(counts, dtype=np.int64).reshape(len(tasks), 3, len(printers))
    printer, task = np.nonzero(each[:, 0].T)
    due, late, missed = each[task, :, printer].T
    in_time = due - late - missed
    columns = (
        _objects([name for name, _began in printers])[printer], _objects(tasks)[task],
        _objects([vocabulary.task_label(name) for name in tasks])[task], due, in_time, late, missed,
        in_time / due,
    )  # fmt: skip
    return pd.DataFrame(dict(zip(ADHERENCE_COLUMNS, columns, strict=True)))


def _usual_minutes(known: Records) -> dict[str, float]:
    """Median minutes of each task in the own log, where written down often enough."""
    return known.sum_of("maintenance", MINUTES).medians(least=OWN_TIMES)
