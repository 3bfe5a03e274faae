"""How often was a task done on each printer, or on each part, before every step of the calendar?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Bools, Ints
from tracker.lives.exposure.table import (
    Calendar,
    log2_rate,
    trailing_actions,
)
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.coded import Coded, Rows
from tracker.workshop.records import Records

_NO_EFFECT = 0.01  # per unit: the mean hazard of a week is then that of the mean exposure
# Where it is not sure which actions were planned, a maintenance log is read in so many ways, all as
# likely: the column COUNTS_IN of its frame has a bit for each reading in which the action counts.
READINGS = 16
IN_ALL = (1 << READINGS) - 1
COUNTS_IN = "counts_in"
_FAR = 1_000_000  # days; keeps printers apart in one array


@dataclass(frozen=True)
class TaskLog:
    """The actions that count, as arrays, those of a task together: ``task`` (code into the tasks
    asked for), ``unit`` (0-based printer), ``day`` (since 1970-01-01) and ``position`` ("" for the
    whole printer); ``counts_in``: the readings of the log in which it does, a bit for each.

    They may be millions: numbers are no wider than they need be.
    """

    task: NDArray[np.signedinteger[Any]]
    unit: NDArray[np.int32]
    day: NDArray[np.int32]
    position: Coded
    counts_in: Ints

    @classmethod
    def of(
        cls,
        records: Records,
        tasks: Sequence[str],
        printers: pd.Index,
        last_day: int,
        *,
        planned_only: bool,
    ) -> TaskLog:
        """Actions on these printers up to ``last_day``."""
        table = "maintenance"
        told = records.codes(table, "task")
        # Compared row by row as the small numbers they are: of a long log mostly few are wanted.
        kept = np.logical_or.reduce([told.is_word(task) for task in tasks], axis=0)
        kept &= records.day_numbers(table, "done_on") <= last_day
        read_twice = planned_only and records.has_column(table, COUNTS_IN)
        if planned_only and not read_twice:
            kept &= records.codes(table, "why").is_word("planned")
        rows = np.flatnonzero(kept)
        unit = records.codes(table, "printer").take(rows).among(printers)
        counts_in = np.broadcast_to(np.int64(IN_ALL), len(rows))
        if read_twice:
            counts_in = records.cells(table, COUNTS_IN)[rows].astype(np.int64)
        counted = (unit >= 0) & (counts_in > 0)
        if not counted.all():
            rows, unit, counts_in = rows[counted], unit[counted], counts_in[counted]
        task = told.take(rows).among(pd.Index(tasks))
        log = cls(
            task,
            unit.astype(np.int32),
            records.day_numbers(table, "done_on")[rows],
            records.codes(table, "position").take(rows),
            counts_in,
        )
        return log.take(np.argsort(task, kind="stable")) if len(tasks) > 1 else log

    def only(self, task: int) -> TaskLog:
        """The actions of one task."""
        return self.take(slice(*np.searchsorted(self.task, (task, task + 1))))

    def take(self, rows: Rows) -> TaskLog:
        """Some of the actions."""
        return TaskLog(
            self.task[rows],
            self.unit[rows],
            self.day[rows],
            self.position.take(rows),
            self.counts_in[rows],
        )

    @property
    def noted(self) -> Bools:
        """Which actions were noted for a position, and not for the printer."""
        return ~self.position.is_word("")

    def anew(self) -> Bools:
        """Which are the first of their printer and day."""
        key = self.unit.astype(np.int64) * (_FAR + int(self.day.max(initial=0))) + self.day
        first = np.zeros(len(key), dtype=bool)
        first[np.unique(key, return_index=True)[1]] = True
        return first

    def mean_log2_rate(
        self, rates: Callable[[TaskLog], NDArray[np.float32]]
    ) -> NDArray[np.float32]:
        """The mean over all readings of log2 of the ``rates`` that each gives.

        What a hazard needs is the mean of the exposure itself, given all that was written down
        (regression calibration: Carroll, Ruppert, Stefanski & Crainiceanu 2006, chapter 4): the
        exposure of the likeliest reading alone is wrong by more, and pulls the effect toward none.
        """
        if (self.counts_in == IN_ALL).all():
            rate = rates(self)
            return log2_rate(rate, out=rate).astype(np.float32, copy=False)
        bits = (self.counts_in >> np.arange(READINGS)[:, None]) & 1 > 0
        total = sum(log2_rate(rates(self.take(own))).astype(np.float64) for own in bits)
        return np.asarray(total / READINGS, dtype=np.float32)


@dataclass(frozen=True, eq=False)
class TaskTable:
    """log2 rate ``by_day`` before each day: (printers, days), or (places, days) where actions were
    noted for single positions; ``places`` has then the printer and the position of each.
    """

    by_day: NDArray[np.float32]
    places: pd.MultiIndex | None

    def lines(self, unit: Ints, position: NDArray[np.object_]) -> Ints:
        """Where the part in each of these positions of these printers stands."""
        if self.places is None:
            return unit
        at = self.places.get_indexer(pd.MultiIndex.from_arrays([unit, position]))
        return at.astype(np.int64)


@dataclass(frozen=True, eq=False)
class TaskExposure:
    """A task's log2 rate before each day and over each step of a calendar; ``line``: of each part
    the one it has in both.
    """

    by_day: NDArray[np.float32]
    by_step: NDArray[np.float32]
    line: Ints

    @classmethod
    def of(
        cls, by_day: NDArray[np.float32], line: Ints, step_days: int, effect: float = 0.0
    ) -> TaskExposure:
        """Where the task's ``effect`` on the log hazard is known from a first fit, a step has the
        exposure of the mean hazard of its days, else the mean one.
        """
        return cls(by_day, _over_steps(by_day, step_days, effect), line)

    def on_step(self, part: Ints, _unit: Ints, step: Ints) -> NDArray[np.float32]:
        """The exposure of parts over these steps."""
        values: NDArray[np.float32] = self.by_step[self.line[part], step]
        return values

    def on_day(self, part: Ints, _unit: Ints, day: Ints) -> NDArray[np.float32]:
        """The exposure of parts before these days of the calendar, 0-based."""
        values: NDArray[np.float32] = self.by_day[self.line[part], day]
        return values


def task_exposure(
    log: TaskLog,
    n_printers: int,
    part_unit: Ints,
    part_position: NDArray[np.object_],
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: OpenNumbers | None = None,
) -> TaskTable:
    """The exposure to one task, see ``episodes.EXPOSURES``, of parts in these positions.

    An action noted for a position counts for the part in that position; noted for the position of
    another kind of part it counts for the printer, once a day. ``window_days`` are counted in whole
    weeks and a share of one more (``whole_weeks``); ``open_numbers``: of the
    printers (see ``trailing_actions``).
    """
    parts_at = np.unique(part_position.astype(str))
    places = None
    if _at_place(log, parts_at).any():
        _, places = pd.factorize(pd.MultiIndex.from_arrays([part_unit, part_position]))

    def rates(read: TaskLog) -> NDArray[np.float32]:
        at_place = _at_place(read, parts_at)
        noted, whole = read.noted, ~at_place
        if (noted & whole).any():
            whole &= ~noted | read.anew()
        of_printer = trailing_actions(
            read.unit[whole],
            read.day[whole],
            n_printers,
            calendar.by_day,
            window_days,
            lag_days,
            open_numbers=open_numbers,
        )
        if places is None:
            return of_printer
        of_action = places.get_indexer(
            pd.MultiIndex.from_arrays(
                [read.unit[at_place].astype(np.int64), read.position.take(at_place).decoded()]
            )
        ).astype(np.int64)
        found = of_action >= 0
        printer_of = places.get_level_values(0).to_numpy(dtype=np.int64)
        own = trailing_actions(
            of_action[found],
            read.day[at_place][found],
            len(places),
            calendar.by_day,
            window_days,
            lag_days,
            open_numbers=None if open_numbers is None else open_numbers.take(printer_of),
        )
        return own + of_printer[printer_of]

    return TaskTable(log.mean_log2_rate(rates), places)


def _at_place(log: TaskLog, positions: NDArray[np.str_]) -> Bools:
    """Which actions were noted for one of these positions?"""
    words = log.position.words
    return log.position.marked((words != "") & np.isin(words.astype(str), positions))


def _over_steps(by_day: NDArray[np.float32], step_days: int, effect: float) -> NDArray[np.float32]:
    if step_days == 1:
        return by_day
    days = by_day.reshape(len(by_day), -1, step_days)
    equally = np.full(step_days, 1 / step_days, dtype=np.float32)
    if abs(effect) < _NO_EFFECT:
        return days @ equally
    hazard = np.exp(np.float32(effect) * days) @ equally
    return np.log(hazard) / np.float32(effect)
