"""On which days does the workshop work? Read off its log, one place for every answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.columns.sums import ByDay
from tracker.workshop.records import Records

# Every column whose day says that somebody was there and wrote.
WRITTEN = (
    ("fittings", "fitted_on"),
    ("fittings", "removed_on"),
    ("maintenance", "done_on"),
    ("counters", "read_on"),
    ("nozzle_checks", "checked_on"),
    ("stoppages", "began_at"),
    ("stoppages", "ended_at"),
)
EVERY_DAY = frozenset(range(7))
MONDAY_TO_FRIDAY = frozenset(range(5))
FEW_ENTRIES = 28  # fewer log entries do not show the working week
USUAL_SHARE = 0.2  # a weekday is worked when it has this share of the busiest one's entries
LOOK_BACK_DAYS = 120
_FIRST_WEEKDAY = 3  # 1970-01-01, from which days are counted, was a Thursday


@dataclass(frozen=True)
class WorkingDays:
    """The weekdays (0 = Monday) on which the routine of the workshop is done."""

    weekdays: frozenset[int]

    @classmethod
    def of(
        cls, known: Records, as_of: date, *, unknown: frozenset[int] = MONDAY_TO_FRIDAY
    ) -> WorkingDays:
        """Read off the maintenance and nozzle checks of the last months.

        ``known``: the records as known on ``as_of``. ``unknown``: the weekdays where the log holds
        too few entries to tell.

        >>> WorkingDays.of(Records(), date(2026, 3, 2)).share
        0.7142857142857143
        """
        return cls(known.finding(_weekdays, as_of, unknown))

    @property
    def share(self) -> float:
        """The share of all days that are worked."""
        return len(self.weekdays) / 7

    def first_from(self, day: date) -> date:
        """That day, or the next one on which the workshop works."""
        while day.weekday() not in self.weekdays:
            day += timedelta(days=1)
        return day


def _weekdays(known: Records, as_of: date, unknown: frozenset[int]) -> frozenset[int]:
    since = day_number(as_of) - LOOK_BACK_DAYS
    counts = np.zeros(7, dtype=np.int64)
    for table, column in (("maintenance", "done_on"), ("nozzle_checks", "checked_on")):
        rows = known.sum_of(table, ByDay(column)).since(since)
        days = rows.first + np.arange(len(rows.counts))
        np.add.at(counts, (days + _FIRST_WEEKDAY) % 7, rows.counts)
    if counts.sum() < FEW_ENTRIES:
        return unknown
    return frozenset(np.flatnonzero(counts >= USUAL_SHARE * counts.max()).tolist())


def days_worked(records: Records, first: date, last: date) -> pd.DatetimeIndex:
    """Monday to Friday, and every other day on which something was written down.

    Days gone by, on which a printer could have worked: wider than ``WorkingDays``, for a log that
    is written on Mondays only says nothing against the other days.
    """
    return records.finding(_days_worked, first, last)


def _days_worked(records: Records, first: date, last: date) -> pd.DatetimeIndex:
    every = pd.date_range(first, last, freq="D")
    is_worked = every.dayofweek.isin(list(MONDAY_TO_FRIDAY))
    begin = day_number(first)
    for table, column in WRITTEN:
        day = records.days_written(table, column)
        is_worked[day[(day >= begin) & (day < begin + len(every))] - begin] = True
    return every[is_worked]


def first_of(records: Records, columns: tuple[tuple[str, str], ...]) -> pd.Timestamp | None:
    """The earliest day in these columns (table, column); None where they hold none."""
    return records.finding(_first_of, columns)


def _first_of(records: Records, columns: tuple[tuple[str, str], ...]) -> pd.Timestamp | None:
    days = [records.oldest(table, column) for table, column in columns]
    written = [day for day in days if day is not None]
    return min(written) if written else None
