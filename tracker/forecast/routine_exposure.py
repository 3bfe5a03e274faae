"""How often was each task done, and how much was printed, as the whole life model reads it?

A task has one exposure for each part kind it is expected to protect, so that what dampers taught
says nothing about heads; printed area is one for all kinds. Steps are half a month long, and
neighbours that are nearly alike are one: finer ones cost time and tell a forecast nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import NamedTuple

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.errors import UsageError
from tracker.forecast.exposure_tables import (
    WINDOW_DAYS,
    DaySums,
    LaterLog,
    LogWindow,
    stretches_of,
)
from tracker.forecast.log_quality.counted_log import CountedLog
from tracker.forecast.log_quality.judged_log import JudgedLog, counted_log
from tracker.language import _
from tracker.lives.exposure.table import HALF_AN_ACTION, PER_DAYS, DayTable, blocks, log2_rate
from tracker.models.life_model.whole.calendar_time import QUARTER
from tracker.models.life_model.whole.history import Steps
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.coded import some_rows
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

AREA = "printed_area"
LEAST_ACTIONS = 20  # a task done more seldom than that tells nothing
_STEP = QUARTER / 6  # quarters are whole steps, so that lives are not cut twice
_MANY_PRINTERS = 200  # from so many on a step lasts half a quarter: the printers tell enough
_ALIKE = 0.3  # of log2: a fifth more or fewer actions


class Exposure(NamedTuple):
    """A task and the part kind it protects; ``AREA`` and "" for printed area, which all share."""

    what: str
    part_kind: str


@dataclass(frozen=True, eq=False)
class RoutineExposure:
    """The exposures by name, and the steps that the model reads, in the same order."""

    names: tuple[Exposure, ...]
    steps: Steps


def planned_counts(known: Records) -> pd.Series:
    """How many planned actions of each task there are, of those often enough done to tell."""
    task, why = (known.codes("maintenance", name) for name in ("task", "why"))
    counted = np.zeros(len(task.words), dtype=np.int64)
    for rows in some_rows(len(task.codes)):
        told, planned = task.take(rows), why.take(rows).is_word("planned")
        done = [np.count_nonzero(planned & told.is_word(word)) for word in task.words]
        counted += np.array(done, dtype=np.int64)
    counts = pd.Series(counted, task.words)
    return counts[counts >= LEAST_ACTIONS].sort_values(ascending=False, kind="stable")


def routine_exposure(
    known: Records,
    as_of: date,
    printers: Sequence[str],
    part_kinds: Sequence[str],
    first_day: int,
    *,
    judged: JudgedLog | None = None,
    later: LaterLog | None = None,
) -> RoutineExposure | None:
    """What was each printer exposed to from ``first_day`` on, and what goes on from today?

    A task's exposure is log2 of its planned actions per 30 open days in the trailing window, half
    an action added; that of printed area log2 of m² per open day, NaN where no counter tells.
    ``printers`` are the model's units in order, ``part_kinds`` the kind of each of its groups.
    Actions are counted as where a task's effect is asked: from the log once it is judged
    (``judged``: what was found in it on a day not long before). ``later``: where a log that is
    counted as it was written may be counted from, if it was before.
    Before a whole window is in the log its first whole one holds. From the end of ``as_of`` on the
    mean of the last quarter goes on. None where no exposure is known.
    """
    kinds = list(dict.fromkeys(part_kinds))
    log = counted_log(known, as_of, judged=judged)
    protected = {
        task: [kind for kind in kinds if kind in words.TASKS[task].likely_helps]
        for task in sorted(planned_counts(log.records).index)
        if task in words.TASKS
    }
    names = [Exposure(task, kind) for task, helped in protected.items() for kind in helped]
    tasks = list(dict.fromkeys(name.what for name in names))
    window = LogWindow.of(
        known, as_of, pd.Index(printers), first_day, log.lag_of(*tasks), gaps=log.gaps,
        later=later if log.is_as_written(known) else None,
    )  # fmt: skip
    today = day_number(as_of) + 1
    bounds, since = _bounds(window, today), max(window.calendar.steps - round(QUARTER), 0)
    told = [_told(window, rows, bounds, since) for rows in _exposures(window, known, log, tasks)]
    if not told:
        return None
    if len(told) > len(tasks):
        names.append(Exposure(AREA, ""))
    unit, day, value = stretches_of([sums for sums, _ in told], bounds, _ALIKE)
    goes_on = np.column_stack([last.mean for _, last in told])
    units = np.arange(len(printers))
    column = {what: place for place, what in enumerate([*tasks, AREA])}
    acts = [[name.part_kind in ("", kind) for kind in part_kinds] for name in names]
    steps = Steps(
        np.concatenate((unit, units)),
        np.concatenate((first_day + day, np.full(len(units), today))).astype(np.float64),
        np.concatenate((value, goes_on))[:, [column[name.what] for name in names]],
        np.array(acts, dtype=bool),
    )
    return RoutineExposure(tuple(names), steps)


def _exposures(
    window: LogWindow, known: Records, log: CountedLog, tasks: Sequence[str]
) -> Iterator[Callable[[slice], DayTable]]:
    """The exposures to all tasks and, where it is known, to printed area, of some printers each."""
    for task in tasks:
        yield partial(window.task, log.records, task)
    area = window.area(known)
    if area is not None:
        yield area.__getitem__


def _told(
    window: LogWindow, rows: Callable[[slice], DayTable], bounds: Ints, since: int
) -> tuple[DaySums, DaySums]:
    """What an exposure adds up to from bound to bound, and from the column ``since`` on."""
    pieces = []
    for some in blocks(len(window.printers)):  # a table of all their days is long
        table = window.whole(rows(some), some)
        last = DaySums.of(table[:, since:], np.zeros(1, np.int64))
        pieces.append((DaySums.of(table, bounds), last))
    steps, last = (DaySums.joined(each) for each in zip(*pieces, strict=True))
    return steps, last


def _bounds(window: LogWindow, today: int) -> Ints:
    """Where a step begins, counted back from today: columns of the window."""
    first = window.calendar.first_day
    length = _STEP if len(window.printers) < _MANY_PRINTERS else 3 * _STEP
    back = np.round(np.arange(1, (today - first) / length + 1) * length).astype(np.int64)
    bounds = np.unique(np.maximum(today - back, first)) - first
    return bounds[bounds < window.calendar.steps]


def schedule_exposure(every_days: float, working_share: float) -> float:
    """The exposure of a printer on which a task is done every so many days; "every day" means
    every working day.

    Raises UsageError for days that cannot lie between two times of doing a task.

    >>> schedule_exposure(20, 5 / 7)
    1.0
    """
    check_interval("every_days", every_days)
    return float(log2_rate(np.array([PER_DAYS * min(1 / every_days, working_share)]))[0])


def check_interval(name: str, days: float) -> None:
    """Raises UsageError for days that cannot lie between two times of doing a task."""
    if not 0 < days <= 3650:
        raise UsageError(
            _(
                "{name}: {days} days cannot be an interval; give days above 0 and up to 3650.",
                name=name,
                days=f"{days:g}",
            )
        )


def steps_if(
    exposure: RoutineExposure, every: Mapping[str, float], today: float, working_share: float
) -> Steps:
    """Exposures to come if these tasks are done every so many days from today on, on all printers;
    everything else goes on as it would.

    The trailing window fills as time goes: for its length the mean of both frequencies holds.

    Raises UsageError for a task that is no exposure, and for impossible intervals.
    """
    steps, column = exposure.steps, pd.Series([name.what for name in exposure.names], dtype=object)
    for task in every:
        if task == AREA or not (column == task).any():
            known = sorted(set(column) - {AREA})
            raise UsageError(
                _(
                    "{task}: nothing in the log tells what it does for a part; give one of "
                    "{known}.",
                    task=task,
                    known=", ".join(known),
                )
                if known
                else _(
                    "{task}: nothing in the log tells what it does for a part; give no task, "
                    "for none is in the log.",
                    task=task,
                )
            )
    last = np.nonzero(steps.from_day == today)[0]
    full, filling = steps.value[last].copy(), steps.value[last].copy()
    for task, days in every.items():
        own = (column == task).to_numpy()
        full[:, own] = schedule_exposure(days, working_share)
        now, then = (2 ** values[:, own] - HALF_AN_ACTION for values in (filling, full))
        filling[:, own] = np.where(np.isnan(now), full[:, own], log2_rate((now + then) / 2))
    return Steps(
        np.tile(steps.unit[last], 2),
        np.repeat((today, today + WINDOW_DAYS), len(last)),
        np.concatenate((filling, full)),
        steps.acts,
        steps.spread,
    )
