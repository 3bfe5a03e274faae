"""On which days does the workshop work, as it says or its log shows, and who else is closed?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

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
WEEKDAYS_WORKED = "weekdays_worked"  # the setting
FEW_ENTRIES = 28  # fewer log entries do not show the working week
BY_LUCK = 0.05  # nor do weeks in which a weekday like the busiest lacks any entry that likely
USUAL_SHARE = 0.2  # a weekday is worked when it has this share of the busiest one's entries
LEAST_WORKED = 4  # on fewer weekdays a log is written, not work done
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
        """As the workshop says, else read off the maintenance and nozzle checks of the last months.

        ``known``: the records as known on ``as_of``. ``unknown``: the weekdays where the log holds
        too little to tell, as in its first two weeks. A task that is not offered is not logged
        either, so a weekday is taken out only where the log of four others or more is kept so
        regularly that an entry would be there.

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
    if said := weekdays_in(known.setting(WEEKDAYS_WORKED)):
        return said
    counts = _entries(known, as_of)
    if counts.sum() < FEW_ENTRIES:
        return unknown
    kept = counts[counts.any(axis=1)] > 0
    weeks = len(kept)
    usual = (kept.sum(axis=0).max() + 1) / (weeks + 2)
    if (1 - usual) ** weeks > BY_LUCK:
        return unknown
    entries = counts.sum(axis=0)
    found = frozenset(np.flatnonzero(entries >= USUAL_SHARE * entries.max()).tolist())
    return found if len(found) >= LEAST_WORKED else found | MONDAY_TO_FRIDAY


def _entries(known: Records, as_of: date) -> NDArray[np.int64]:
    """Entries of the routine in the last months: (weeks, 7), Monday first."""
    since = day_number(as_of) - LOOK_BACK_DAYS
    weeks = LOOK_BACK_DAYS // 7 + 2
    counts = np.zeros((weeks, 7), dtype=np.int64)
    first_week = (since + _FIRST_WEEKDAY) // 7
    for table, column in (("maintenance", "done_on"), ("nozzle_checks", "checked_on")):
        rows = known.sum_of(table, ByDay(column)).since(since)
        day = rows.first + np.arange(len(rows.counts)) + _FIRST_WEEKDAY
        there = day // 7 - first_week < weeks
        np.add.at(counts, (day[there] // 7 - first_week, day[there] % 7), rows.counts[there])
    return counts


def weekdays_in(text: str) -> frozenset[int]:
    """The weekdays (0 = Monday) of a setting such as ``1 2 3 4 5`` (ISO 8601: Monday is 1).

    ValueError where it holds anything else.

    >>> sorted(weekdays_in("1 2 3 4 5"))
    [0, 1, 2, 3, 4]
    """
    said = text.replace(",", " ").split()
    if any(day not in set("1234567") for day in said):
        raise ValueError(text)
    return frozenset(int(day) - 1 for day in said)


def days_worked(records: Records, first: date, last: date) -> pd.DatetimeIndex:
    """Monday to Friday, or the weekdays that the workshop says, and every other day on which
    something was written down.

    Days gone by, on which a printer could have worked.
    """
    return records.finding(_days_worked, first, last)


def _days_worked(records: Records, first: date, last: date) -> pd.DatetimeIndex:
    every = pd.date_range(first, last, freq="D")
    said = weekdays_in(records.setting(WEEKDAYS_WORKED)) or MONDAY_TO_FRIDAY
    is_worked = every.dayofweek.isin(list(said))
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


def of_workshop(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which nobody works here."""
    return closures[closures["supplier"] == ""]


def of_suppliers(closures: pd.DataFrame) -> pd.DataFrame:
    """Rows of ``closures`` on which a supplier sends nothing."""
    return closures[closures["supplier"] != ""]


def suppliers_named(*tables: pd.DataFrame) -> list[str]:
    """Every supplier that these tables of records name, in order."""
    return sorted({name.strip() for table in tables for name in table["supplier"]} - {""})
