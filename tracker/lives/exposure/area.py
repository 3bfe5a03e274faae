"""What was printed lately on every printer, read off its counter: area per day and idle days."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.lives.counter_readings import DAYS, in_order, last_of_day
from tracker.lives.exposure.table import (
    AT_ONCE,
    Calendar,
    closed_windows,
    days_before,
    in_windows,
)
from tracker.lives.open_numbers import A_WEEK, ALWAYS_OPEN, OpenNumbers
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class PrintedArea:
    """What the counters tell, looking back from each step; (printers, steps), NaN where unknown.

    ``unit, read, total``: of each reading, in order, the 0-based printer, the day that begins after
    it and the running total.
    """

    unit: Ints
    read: Ints
    total: Array
    calendar: Calendar
    window_days: int
    lag_days: int
    open_numbers: OpenNumbers

    @cached_property
    def per_day(self) -> NDArray[np.float32]:
        """Printed area per known day of the window, m². Closed days are in neither."""
        return self._lately(lambda printed, _: printed)

    @cached_property
    def idle_share(self) -> NDArray[np.float32]:
        """Share of these days that lie between two readings with no area between them, so a
        printer read once a week is only seen idle when a whole week passed without printing.
        """
        return self._lately(lambda printed, days: np.where(printed > 0, 0.0, days))

    def _lately(self, amount: Callable[[Array, Ints], Array]) -> NDArray[np.float32]:
        """What was gained from reading to reading, given the area printed and the days between,
        per known day of the window.
        """
        printers, calendar, window = (
            len(self.open_numbers.calendars),
            self.calendar,
            self.window_days,
        )
        found = np.full((printers, calendar.steps), np.nan, dtype=np.float32)
        back = days_before(window, self.lag_days, self.open_numbers)
        first, ends = calendar.first_day - back, calendar.begins - self.lag_days
        days = np.arange(first, first + back + calendar.steps * calendar.step_days + 1)
        at_once = -(-AT_ONCE // len(days))
        for rows, own in self.open_numbers.together():
            closed = closed_windows(own, calendar, self.lag_days, window)
            place = np.full(printers, -1)
            place[rows] = np.arange(len(rows))
            # What is read at the end of a day holds before the next one begins.
            unit, read = place[self.unit], (own.number(self.read) - 1).astype(np.int32)
            number = (own.number(days) - 1).astype(np.int32)
            kept = np.append((np.diff(unit) != 0) | (np.diff(read) != 0), True)[: len(unit)]
            kept &= unit >= 0  # of one number the last reading counts
            unit, read, total = unit[kept], read[kept], self.total[kept]
            follows = np.diff(unit, prepend=-1) == 0
            printed = np.where(follows, np.maximum(np.diff(total, prepend=0.0), 0.0), 0.0)
            apart = np.where(follows, np.diff(read, prepend=np.int32(0)), 0)
            gained = np.cumsum(amount(printed, apart))
            # One rising scale for all printers: each one's days stand far from the next one's.
            scale = read + unit * float(DAYS)
            bounds = np.searchsorted(unit, np.arange(len(rows) + 1))
            told = np.flatnonzero(np.diff(bounds) > 1)
            for few in (told[low : low + at_once] for low in range(0, len(told), at_once)):
                # Days before the first reading and after the last are not known.
                earliest, latest = (read[bounds[few + by] - by, None] for by in (0, 1))
                known = np.clip(number, earliest, latest)
                asked = known + few[:, None] * float(DAYS)
                near = slice(bounds[few[0]], bounds[few[-1] + 1])
                running = np.interp(asked.ravel(), scale[near], gained[near]).reshape(asked.shape)
                got, seen = (
                    in_windows(each, first, ends, window, closed) for each in (running, known)
                )
                is_known = seen >= A_WEEK * window / 2  # a window needs half
                found[rows[few]] = np.where(is_known, got / np.maximum(seen, A_WEEK), np.nan)
        return found


def printed_area(
    records: Records,
    printers: pd.Index,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: OpenNumbers | None = None,
) -> PrintedArea:
    """Printed area and idle share of each printer in the window before each step.

    Read off the counters of these records. Between readings the area is spread evenly; a total
    that fell (a counter that was set back) adds nothing. ``open_numbers`` as in
    ``trailing_actions``: of those printers area and idle days are counted over open days.
    """
    table = "counters"
    day, area = records.day_numbers(table, "read_on"), records.cells(table, "area_m2")
    code = records.codes(table, "printer").among(printers)
    known = np.flatnonzero((code >= 0) & np.isfinite(area) & (day != NO_DAY))
    key, total = last_of_day(*in_order(code[known], day[known], area[known]))
    unit, read = np.divmod(key, DAYS)
    calendars = open_numbers or OpenNumbers([ALWAYS_OPEN] * len(printers))
    return PrintedArea(unit, read + 1, total, calendar, window_days, lag_days, calendars)
