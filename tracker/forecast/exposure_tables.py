"""Exposures of printers day by day, and stretches of days on which they hardly change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.lives.exposure.logged_window import TrailingWindow, end_of_log, log_began
from tracker.lives.exposure.table import (
    Calendar,
    DayTable,
    printed_area,
    trailing_actions,
)
from tracker.lives.exposure.task import TaskLog
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

WINDOW_DAYS = 30
_LEAST_AREA = 1 / 16  # of the usual one: as far as idle days are told apart by their area


@dataclass(frozen=True, eq=False)
class LogWindow:
    """The days looked at, and what is looked back on from each.

    ``calendar`` has one step a day, up to the last one on which anything was written down;
    ``logged_numbers`` are day numbers without closed and silent days.
    """

    trailing: TrailingWindow
    calendar: Calendar
    logged_numbers: OpenNumbers

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
    ) -> LogWindow:
        """From ``first_day`` on, for these printers in this order. ``gaps``: silent days of
        the maintenance log, passed over where a task is counted."""
        last = max(day_number(end_of_log(known, known, as_of)), first_day)
        trailing = TrailingWindow.of(known, printers, log_began(known), WINDOW_DAYS, lag_days)
        logged = gaps.open_numbers(Closures.of(known), printers)
        return cls(trailing, Calendar.over(first_day, last, 1), logged)

    @property
    def printers(self) -> pd.Index:
        """The printers, in the order of all tables."""
        return self.trailing.printers

    def task(self, known: Records, task: str) -> NDArray[np.float32]:
        """log2 of the task's planned actions per 30 days: (printers, days). What was noted part by
        part on one day is one time of doing it.
        """

        def rates(log: TaskLog) -> NDArray[np.float32]:
            if log.noted.any():
                log = log.take(~log.noted | log.anew())
            return trailing_actions(
                log.unit,
                log.day,
                len(self.printers),
                self.calendar,
                WINDOW_DAYS,
                self.trailing.lag_days,
                open_numbers=self.logged_numbers,
            )

        last = self.calendar.first_day + self.calendar.steps - 1
        log = TaskLog.of(known, [task], self.printers, last, planned_only=True)
        return log.mean_log2_rate(rates)

    def area(self, known: Records) -> NDArray[np.float32] | None:
        """log2 of m² printed per open day: (printers, days); None where no counter was read."""
        if known.counters.empty:
            return None
        area = printed_area(
            known.counters, self.printers, self.calendar, WINDOW_DAYS, self.trailing.lag_days,
            open_numbers=self.trailing.open_numbers,
        ).per_day  # fmt: skip
        printed = area[area > 0]
        if not len(printed):
            return None
        area = np.maximum(area, _LEAST_AREA * np.median(printed, overwrite_input=True))
        return np.log2(area, out=area)

    def whole(self, table: DayTable) -> DayTable:
        """A table (printers, days) with the first whole window's values before it, NaN where the
        log is too short for one.
        """
        first = self.trailing.first_whole - self.calendar.first_day
        for printer in np.nonzero(first > 0)[0]:
            at = int(first[printer])
            begun = table[printer, at] if at < table.shape[1] else np.nan
            table[printer, :at] = begun
        return table


def stretches(
    tables: Sequence[DayTable], bounds: Ints, alike: float | Array
) -> tuple[Ints, Ints, Array]:
    """Stretches of days on which all exposures of a printer stay within ``alike`` of the first
    day's: the printer, the column of the first day and the mean value (rows, exposures) of each.

    ``tables``: of each exposure (printers, days); days between two ``bounds`` stay together.
    """
    total, days = _summed(tables, bounds)
    starts = _starts(_mean(total, days), alike)
    unit, step = np.nonzero(starts)
    at = np.flatnonzero(starts)
    total, days = (
        np.add.reduceat(sums.reshape(starts.size, -1), at, axis=0) for sums in (total, days)
    )
    return unit, bounds[step], _mean(total, days)


def means(tables: Sequence[DayTable], bounds: Ints) -> Array:
    """Means from each bound to the next one over the days known: (printers, bounds, exposures)."""
    return _mean(*_summed(tables, bounds))


def _mean(total: Array, days: Ints) -> Array:
    return np.where(days > 0, total / np.maximum(days, 1), np.nan)


def _summed(tables: Sequence[DayTable], bounds: Ints) -> tuple[Array, Ints]:
    """Sums from each bound to the next one, and over how many days known: (printers, bounds,
    exposures).
    """
    shape = (len(tables[0]), len(bounds), len(tables))
    total, days = np.empty(shape), np.empty(shape, dtype=np.int64)
    for each, table in enumerate(tables):
        sums = np.add.reduceat(table, bounds, axis=1, dtype=np.float64)
        days[:, :, each] = np.diff(bounds, append=table.shape[1])
        if np.isnan(sums).any():
            known = ~np.isnan(table)
            filled = np.where(known, table, table.dtype.type(0))
            sums = np.add.reduceat(filled, bounds, axis=1, dtype=np.float64)
            days[:, :, each] = np.add.reduceat(known.astype(np.int64), bounds, axis=1)
        total[:, :, each] = sums
    return total, days


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
