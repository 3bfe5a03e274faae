"""How often was a task done on each printer, or on each part, before every step of the calendar?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Bools, Ints
from tracker.lives.exposure.table import (
    Calendar,
    blocks,
    log2_of_sevenths,
    trailing_actions,
)
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.coded import Coded, Rows, some_rows
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
    """The actions of a task that count, as arrays: ``unit`` (0-based printer), ``day`` (since
    1970-01-01) and ``position`` ("" for the whole printer); ``counts_in``: the readings of the log
    in which each does, a bit for each; None where each does in all of them.

    They may be millions: numbers are no wider than they need be.
    """

    unit: NDArray[np.signedinteger[Any]]
    day: NDArray[np.int32]
    position: Coded
    counts_in: Ints | None

    @classmethod
    def of(
        cls, records: Records, task: str, printers: pd.Index, last_day: int, *, planned_only: bool
    ) -> TaskLog:
        """Actions on these printers up to ``last_day``."""
        table = "maintenance"
        asked = [(records.codes(table, "task"), task)]
        read_twice = planned_only and records.has_column(table, COUNTS_IN)
        if planned_only and not read_twice:
            asked.append((records.codes(table, "why"), "planned"))
        day, position = records.day_numbers(table, "done_on"), records.codes(table, "position")
        printer = records.codes(table, "printer")
        unit_of = printer.places(printers)

        def few(rows: slice) -> tuple[NDArray[Any], ...]:
            """Of these rows the unit, the day, the position and the readings."""
            kept = day[rows] <= last_day
            for column, word in asked:
                kept &= column.take(rows).is_word(word)
            places = np.flatnonzero(kept)
            found = [unit_of[printer.codes[rows][places]]]
            found += [cells[rows][places] for cells in (day, position.codes)]
            if read_twice:
                found.append(records.cells(table, COUNTS_IN)[rows][places].astype(np.int64))
            counted = (found[0] >= 0) & (found[-1] > 0 if read_twice else True)
            return tuple(found) if counted.all() else tuple(cells[counted] for cells in found)

        pieces = [few(rows) for rows in some_rows(len(day))]
        unit, on, at, *counts_in = map(np.concatenate, zip(*pieces, strict=True))
        return cls(unit, on, Coded(at, position.words), counts_in[0] if read_twice else None)

    def take(self, rows: Rows) -> TaskLog:
        """Some of the actions, in whichever reading they count."""
        return TaskLog(self.unit[rows], self.day[rows], self.position.take(rows), None)

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

    def readings(self) -> list[TaskLog]:
        """The actions that count in each reading, all of them once where they count in all."""
        if self.counts_in is None or (self.counts_in == IN_ALL).all():
            return [self]
        bits = (self.counts_in >> np.arange(READINGS)[:, None]) & 1 > 0
        return [self.take(own) for own in bits]


@dataclass(frozen=True, eq=False)
class TaskTable:
    """log2 rate before each day, of printers, or of places where actions were noted for single
    positions; ``places`` has then the printer and the position of each. ``sevenths``: how often in
    each window by each reading of the log, of some of them: (lines, days); ``shape``: of them all.
    """

    sevenths: Sequence[Callable[[Ints], NDArray[np.int32]]]
    window_days: int
    shape: tuple[int, int]
    places: pd.MultiIndex | None

    def of(self, lines: Ints) -> NDArray[np.float32]:
        """The mean over all readings of log2 of the rates that each gives: (lines, days).

        What a hazard needs is the mean of the exposure itself, given all that was written down
        (regression calibration: Carroll, Ruppert, Stefanski & Crainiceanu 2006, chapter 4): the
        exposure of the likeliest reading alone is wrong by more, and pulls the effect toward none.
        """
        told = (log2_of_sevenths(read(lines), self.window_days) for read in self.sevenths)
        if len(self.sevenths) == 1:
            return next(told)
        total = sum(each.astype(np.float64) for each in told)
        return np.asarray(total / len(self.sevenths), dtype=np.float32)

    @cached_property
    def by_day(self) -> NDArray[np.float32]:
        """Of all of them."""
        found = np.empty(self.shape, dtype=np.float32)
        every = np.arange(len(found))
        for some in blocks(len(found)):
            found[some] = self.of(every[some])
        return found

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

    def sevenths(read: TaskLog) -> Callable[[Ints], NDArray[np.int32]]:
        noted, at_place = read.noted, _at_place(read, parts_at)
        whole: Rows = slice(None)  # millions that need not be laid down again
        if noted.any():
            whole = ~at_place
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
            return of_printer.sevenths
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
        return lambda lines: own.sevenths(lines) + of_printer.sevenths(printer_of[lines])

    shape = n_printers if places is None else len(places), calendar.by_day.steps
    told = [sevenths(read) for read in log.readings()]
    return TaskTable(told, window_days, shape, places)


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
