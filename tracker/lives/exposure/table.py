"""What every printer was exposed to, day by day, seen from the evening before.

One table per exposure, printers by days, built with a count and a running sum, so that 10 million
actions on 5 000 printers take a second and parts only index into it. Every value of a day looks
back over a window that ends before that day, so nothing that a failure caused can enter.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.lives.exposure.whole_weeks import (
    CountedDays,
    days_looked_back,
    over_closed_days,
    window_weights,
)
from tracker.lives.open_numbers import A_WEEK, ALWAYS_OPEN, OpenNumbers

DayTable: TypeAlias = "NDArray[np.floating]"  # an exposure: (printers, days)

HALF_AN_ACTION = 0.5  # added so that "never" has a logarithm (design: "add half an action")
PER_DAYS = 30.0  # rates are actions per 30 days
_FAR = 1 << 20  # days; keeps printers apart in one array
_AT_ONCE = 300_000  # numbers worked on together
PRINTERS_AT_ONCE = 256  # few enough for what is worked out of them to stay in the cache


def log2_rate(
    actions_per_30_days: NDArray[np.floating], out: NDArray[np.floating] | None = None
) -> NDArray[np.floating]:
    """The exposure to a task: log2 of its actions per 30 days plus half an action.

    One unit more is about twice the actions; none at all is −1. ``out``: where it is put.

    >>> log2_rate(np.array([0.0, 1.5, 3.5])).tolist()
    [-1.0, 1.0, 2.0]
    """
    rate: NDArray[np.floating] = np.add(actions_per_30_days, np.float32(HALF_AN_ACTION), out=out)
    return np.log2(rate, out=rate)


@dataclass(frozen=True)
class Calendar:
    """The days of the log in steps: ``steps`` of ``step_days`` days from ``first_day``.

    Days are whole numbers (days since 1970-01-01); ``begins`` is the first day of each step.
    """

    first_day: int
    step_days: int
    steps: int

    @classmethod
    def over(cls, first_day: int, last_day: int, step_days: int) -> Calendar:
        """The calendar that covers first_day … last_day."""
        return cls(first_day, step_days, (last_day - first_day) // step_days + 1)

    @property
    def by_day(self) -> Calendar:
        """The same days, one to a step."""
        return Calendar(self.first_day, 1, self.steps * self.step_days)

    @property
    def begins(self) -> Ints:
        """First day of each step."""
        return self.first_day + self.step_days * np.arange(self.steps)

    def step_of(self, day: Ints) -> Ints:
        """The step a day lies in."""
        return (day - self.first_day) // self.step_days


def wavering(every_days: int, window_days: int) -> float:
    """By how much does the exposure waver where a task is done exactly every so many days?

    Its standard deviation over the days on which the window may end: how often a whole number of
    actions lies in it.

    >>> wavering(7, 30), round(wavering(30, 30), 2)
    (0.0, 0.26)
    """
    weights = window_weights(window_days)
    counts = np.array([weights[first::every_days].sum() for first in range(every_days)])
    return float(np.std(log2_rate(counts * PER_DAYS / window_days)))


def trailing_actions(
    unit: Ints | NDArray[np.int32],
    day: Ints | NDArray[np.int32],
    n_units: int,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: OpenNumbers | None = None,
) -> NDArray[np.float32]:
    """How many actions did each printer see per 30 days, looking back from each step?

    ``unit`` (0-based printer) and ``day`` of each action. For a step beginning on day d the window
    ends on d − lag − 1: the day before with lag 0. Shape (units, steps).
    ``open_numbers``: the units' days without closed ones; a window holds so many open days, for a
    closed day is no day without care.

    A window counts whole weeks and a share of one more, each day of the week as often (see
    ``whole_weeks``).
    """
    calendars = open_numbers or OpenNumbers([ALWAYS_OPEN] * n_units)
    back = _days_before(window_days, lag_days, calendars)
    first, ends = calendar.first_day - back, calendar.begins - lag_days
    n_days = calendar.steps * calendar.step_days + back
    inside = (day >= first) & (day < first + n_days)
    if not inside.all():
        unit, day = unit[inside], day[inside]
    # Column 0 stays empty, so that the running sum at column c counts the days before first + c.
    done = _counted(unit.astype(np.int64) * (n_days + 1) + (day - first + 1), n_units, n_days + 1)
    counts = np.empty((n_units, calendar.steps), dtype=np.float32)
    at_once = -(-_AT_ONCE // (n_days + 1))
    for units, own in calendars.together():
        closed = list(over_closed_days(own, ends, window_days))
        for low in range(0, len(units), at_once):
            few = units[low : low + at_once]
            before = np.cumsum(done[few], axis=1, dtype=np.int32)
            counts[few] = _in_windows(before, first, ends, window_days, closed)
    counts /= np.float32(A_WEEK * window_days / PER_DAYS)
    return counts


def _counted(place: Ints, *shape: int) -> NDArray[np.signedinteger[Any]]:
    """How often each place of a table occurs, in numbers as narrow as the counts allow."""
    for numbers in (np.int16, np.int32):
        counts = np.zeros(shape, dtype=numbers)
        np.add.at(counts.ravel(), place, numbers(1))
        if counts.sum(dtype=np.int64) == len(place):  # none ran over
            break
    return counts


def _in_windows(
    before: NDArray[Any], first: int, ends: Ints, window_days: int, closed: Sequence[CountedDays]
) -> NDArray[Any]:
    """Seven times what happened in the windows that end before the days ``ends``, which lie evenly:
    (units, windows). Of actions that is a whole number.

    ``before``: running sums (units, days + 1), at column c of the days before ``first`` + c;
    ``closed``: the windows that reach over closed days.
    """
    weeks, rest = divmod(window_days, A_WEEK)
    step = int(ends[1] - ends[0]) if len(ends) > 1 else 1

    def back(days: int) -> NDArray[Any]:
        begin = int(ends[0]) - first - days
        return before[:, begin : begin + step * (len(ends) - 1) + 1 : step]

    total: NDArray[Any] = A_WEEK * back(0)
    total -= (A_WEEK - rest) * back(A_WEEK * weeks)
    if rest:
        total -= rest * back(A_WEEK * (weeks + 1))
    for counted in closed:
        since = counted.first - first
        by_day = np.diff(before[:, since : since + len(counted.sevenths) + 1], axis=1)
        numbers = np.result_type(by_day, np.float32) if by_day.dtype.kind == "f" else np.float32
        total[:, counted.places] = by_day.astype(numbers) @ counted.sevenths
    return total


def _days_before(window_days: int, lag_days: int, calendars: OpenNumbers) -> int:
    """How many days before the first step may any window reach?"""
    return lag_days + days_looked_back(window_days) + A_WEEK * calendars.most_weeks_closed


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
        back = _days_before(window, self.lag_days, self.open_numbers)
        first, ends = calendar.first_day - back, calendar.begins - self.lag_days
        days = np.arange(first, first + back + calendar.steps * calendar.step_days + 1)
        at_once = -(-_AT_ONCE // len(days))
        for rows, own in self.open_numbers.together():
            closed = list(over_closed_days(own, ends, window))
            place = np.full(printers, -1)
            place[rows] = np.arange(len(rows))
            # What is read at the end of a day holds before the next one begins.
            unit, read, number = place[self.unit], own.number(self.read) - 1, own.number(days) - 1
            kept = np.append((np.diff(unit) != 0) | (np.diff(read) != 0), True)[: len(unit)]
            kept &= unit >= 0  # of one number the last reading counts
            unit, read, total = unit[kept], read[kept], self.total[kept]
            follows = np.diff(unit, prepend=-1) == 0
            printed = np.where(follows, np.maximum(np.diff(total, prepend=0.0), 0.0), 0.0)
            apart = np.where(follows, np.diff(read, prepend=0), 0)
            gained = np.cumsum(amount(printed, apart))
            # One rising scale for all printers: each one's days stand far from the next one's.
            scale = read + unit * _FAR
            bounds = np.searchsorted(unit, np.arange(len(rows) + 1))
            told = np.flatnonzero(np.diff(bounds) > 1)
            for few in (told[low : low + at_once] for low in range(0, len(told), at_once)):
                # Days before the first reading and after the last are not known.
                earliest, latest = (read[bounds[few + by] - by, None] for by in (0, 1))
                known = np.clip(number, earliest, latest)
                asked = known + few[:, None] * float(_FAR)
                running = np.interp(asked.ravel(), scale, gained).reshape(asked.shape)
                got, seen = (
                    _in_windows(each, first, ends, window, closed) for each in (running, known)
                )
                is_known = seen >= A_WEEK * window / 2  # a window needs half
                found[rows[few]] = np.where(is_known, got / np.maximum(seen, A_WEEK), np.nan)
        return found


def printed_area(
    counters: pd.DataFrame,
    printers: pd.Index,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: OpenNumbers | None = None,
) -> PrintedArea:
    """Printed area and idle share of each printer in the window before each step.

    ``counters`` has ``printer, read_on, area_m2`` (running total). Between readings the area is
    spread evenly; a total that fell (a counter that was set back) adds nothing. ``open_numbers``
    as in ``trailing_actions``: of those printers area and idle days are counted over open days.
    """
    code = printers.get_indexer(pd.Index(counters["printer"]))
    day = days_since_epoch(counters["read_on"])
    area = counters["area_m2"].to_numpy(dtype=np.float64)
    known = (code >= 0) & np.isfinite(area) & counters["read_on"].notna().to_numpy()
    key = code[known] * _FAR + day[known]
    order = np.argsort(key, kind="stable")
    key = key[order]
    # The highest reading of a day, which was the last, stands for the day.
    first = np.flatnonzero(np.diff(key, prepend=-1))
    total = np.maximum.reduceat(area[known][order], first) if len(first) else area[known]
    unit, read = np.divmod(key[first], _FAR)
    calendars = open_numbers or OpenNumbers([ALWAYS_OPEN] * len(printers))
    return PrintedArea(unit, read + 1, total, calendar, window_days, lag_days, calendars)


def trailing_mean(
    unit: Ints,
    day: Ints,
    value: Array,
    n_units: int,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
) -> Array:
    """The mean of what was noted (humidity, white share) in the window before each step.

    NaN where nothing was noted in the window. Shape (units, steps).
    """
    first = calendar.first_day - lag_days - window_days
    n_days = calendar.steps * calendar.step_days + lag_days + window_days
    kept = np.isfinite(value) & (day >= first) & (day < first + n_days)
    place = unit[kept] * (n_days + 1) + (day[kept] - first + 1)
    size = n_units * (n_days + 1)
    ends = calendar.step_days * np.arange(calendar.steps) + window_days
    sums = []
    for weight in (value[kept], np.ones(int(kept.sum()))):
        before = np.bincount(place, weight, minlength=size).reshape(n_units, n_days + 1)
        np.cumsum(before, axis=1, out=before)
        sums.append(before[:, ends] - before[:, ends - window_days])
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(sums[1] > 0, sums[0] / sums[1], np.nan)


def days_since_epoch(moments: pd.Series) -> Ints:
    """Whole days since 1970-01-01; a missing day comes out far in the past."""
    return moments.to_numpy().astype("datetime64[D]").astype(np.int64)
