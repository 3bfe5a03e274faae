"""Exposures of printers day by day, and stretches of days on which they hardly change."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.lives.exposure.area import printed_area
from tracker.lives.exposure.days import ExposureDays
from tracker.lives.exposure.logged_window import TrailingWindow, end_of_log, log_began
from tracker.lives.exposure.table import Calendar, DayTable, blocks
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

WINDOW_DAYS = 30
_LEAST_AREA = 1 / 16  # of the usual one: as far as idle days are told apart by their area


class LaterLog(NamedTuple):
    """What was ``known`` on a later day, ``as_of``, of the same records: up to the earlier day its
    maintenance log tells the same, so that tables by the day need not be counted twice.
    """

    known: Records
    as_of: date


@dataclass(frozen=True, eq=False)
class LogWindow:
    """The days looked at, and what is looked back on from each.

    ``calendar`` has one step a day, up to the last one on which anything was written down,
    ``until``; ``gaps``: silent days of the maintenance log; ``later``: where that log, as it was
    written, may be counted from too.
    """

    trailing: TrailingWindow
    calendar: Calendar
    until: date
    gaps: LogGaps
    later: LaterLog | None = None

    @classmethod
    def of(
        cls,
        known: Records,
        as_of: date,
        printers: pd.Index,
        first_day: int,
        lag_days: int,
        *,
        gaps: LogGaps = NO_GAPS,
        later: LaterLog | None = None,
    ) -> LogWindow:
        """From ``first_day`` on, for these printers in this order. ``gaps``: silent days of
        the maintenance log, passed over where a task is counted."""
        until = end_of_log(known, known, as_of)
        trailing = TrailingWindow.of(known, printers, log_began(known), WINDOW_DAYS, lag_days)
        last = max(day_number(until), first_day)
        return cls(trailing, Calendar.over(first_day, last, 1), until, gaps, later)

    @property
    def printers(self) -> pd.Index:
        """The printers, in the order of all tables."""
        return self.trailing.printers

    def task(self, known: Records, task: str, some: slice = slice(None)) -> NDArray[np.float32]:
        """log2 of the task's planned actions per 30 days, of ``some`` of the printers: (printers,
        days). What was noted part by part on one day is one time of doing it.
        """
        records, days = self.counted_later or (known, self._days(known))
        return days.task_of_printers(
            records, task, self.printers[some], self.calendar, self.trailing.lag_days
        )

    def _days(self, known: Records) -> ExposureDays:
        reach = int(self.calendar.begins[-1]) - day_number(self.until) + 1
        return ExposureDays.of(known, self.until, WINDOW_DAYS, gaps=self.gaps, step_days=reach)

    @cached_property
    def counted_later(self) -> tuple[Records, ExposureDays] | None:
        """The later log and its days, where they hold here: no day of these was closed but in what
        was written down afterwards.
        """
        if self.later is None:
            return None
        known, as_of = self.later
        days = ExposureDays.of(known, end_of_log(known, known, as_of), WINDOW_DAYS)
        end, mine = int(self.calendar.begins[-1]), self.trailing.open_numbers
        theirs = days.logged_numbers.take(days.lines(self.printers))
        holds = end <= day_number(days.until) and mine.are_those_of(theirs, end)
        return (known, days) if holds else None

    def area(self, known: Records) -> NDArray[np.float32] | None:
        """log2 of m² printed per open day: (printers, days); None where no counter was read."""
        if not known.count("counters"):
            return None
        area = printed_area(
            known, self.printers, self.calendar, WINDOW_DAYS, self.trailing.lag_days,
            open_numbers=self.trailing.open_numbers,
        ).per_day  # fmt: skip
        printed = area[area > 0]
        if not len(printed):
            return None
        least = _LEAST_AREA * np.median(printed, overwrite_input=True)
        return np.log2(np.maximum(area, least, out=area), out=area)

    def whole(self, table: DayTable, some: slice) -> DayTable:
        """A table of ``some`` printers (printers, days) with the first whole window's values before
        it, NaN where the log is too short for one.
        """
        first = self.trailing.first_whole[some] - self.calendar.first_day
        for printer in np.nonzero(first > 0)[0]:
            at = int(first[printer])
            begun = table[printer, at] if at < table.shape[1] else np.nan
            table[printer, :at] = begun
        return table


@dataclass(frozen=True, eq=False)
class DaySums:
    """What a table of days adds up to from each bound to the next one, ``total``, and over how many
    ``days`` known: (printers, bounds).
    """

    total: Array
    days: Ints

    @classmethod
    def of(cls, table: DayTable, bounds: Ints) -> DaySums:
        """Of a table (printers, days) of few printers."""
        total = np.add.reduceat(table, bounds, axis=1, dtype=np.float64)
        days = np.empty(total.shape, dtype=np.int64)
        days[:] = np.diff(bounds, append=table.shape[1])
        if np.isnan(total).any():
            known = ~np.isnan(table)
            filled = np.where(known, table, table.dtype.type(0))
            total = np.add.reduceat(filled, bounds, axis=1, dtype=np.float64)
            days = np.add.reduceat(known.astype(np.int64), bounds, axis=1)
        return cls(total, days)

    @classmethod
    def joined(cls, sums: Sequence[DaySums]) -> DaySums:
        """Of the printers of all, one after the other."""
        total, days = zip(*((each.total, each.days) for each in sums), strict=True)
        return cls(np.concatenate(total), np.concatenate(days))

    @property
    def mean(self) -> Array:
        """The mean over the days known; NaN where none is."""
        return _mean(self.total, self.days)


def stretches(
    tables: Iterable[DayTable], bounds: Ints, alike: float | Array
) -> tuple[Ints, Ints, Array]:
    """Stretches of days on which all exposures of a printer stay within ``alike`` of the first
    day's: the printer, the column of the first day and the mean value (rows, exposures) of each.

    ``tables``: of each exposure (printers, days); days between two ``bounds`` stay together.
    """
    sums = ([DaySums.of(table[some], bounds) for some in blocks(len(table))] for table in tables)
    return stretches_of([DaySums.joined(each) for each in sums], bounds, alike)


def stretches_of(
    sums: Sequence[DaySums], bounds: Ints, alike: float | Array
) -> tuple[Ints, Ints, Array]:
    """The same from the sums of each exposure."""
    total = np.stack([each.total for each in sums], axis=2)
    days = np.stack([each.days for each in sums], axis=2)
    starts = _starts(_mean(total, days), alike)
    unit, step = np.nonzero(starts)
    at = np.flatnonzero(starts)
    total, days = (
        np.add.reduceat(each.reshape(starts.size, -1), at, axis=0) for each in (total, days)
    )
    return unit, bounds[step], _mean(total, days)


def _mean(total: Array, days: Ints) -> Array:
    return np.where(days > 0, total / np.maximum(days, 1), np.nan)


def _starts(values: Array, alike: float | Array) -> Bools:
    """Where a stretch begins: (printers, steps)."""
    starts = np.zeros(values.shape[:2], dtype=bool)
    starts[:, 0] = True
    # Step by step all printers at once, what is looked at together lying together in memory.
    now = np.ascontiguousarray(np.nan_to_num(values, nan=np.inf).transpose(1, 2, 0))
    least = np.broadcast_to(alike, values.shape[2])[:, None]
    held = now[0].copy()
    with np.errstate(invalid="ignore"):  # unknown before and now is no change
        for step in range(1, len(now)):
            anew = (np.abs(now[step] - held) > least).any(axis=0)
            starts[anew, step] = True
            np.copyto(held, now[step], where=anew)
    return starts
