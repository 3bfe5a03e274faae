"""What every printer was exposed to, day by day, seen from the evening before.

One table per exposure, printers by days, built with a count and a running sum, so that 10 million
actions on 5 000 printers take a second and parts only index into it. Every value of a day looks
back over a window that ends before that day, so nothing that a failure caused can enter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
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
from tracker.lives.open_numbers import A_WEEK, ALWAYS_OPEN, OpenCalendar, OpenNumbers
from tracker.workshop.columns.coded import some_rows

DayTable: TypeAlias = "NDArray[np.floating]"  # an exposure: (printers, days)

HALF_AN_ACTION = 0.5  # added so that "never" has a logarithm (design: "add half an action")
PER_DAYS = 30.0  # rates are actions per 30 days
AT_ONCE = 300_000  # numbers worked on together
_PRINTERS_AT_ONCE = 256  # few enough for what is worked out of them to stay in the cache


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


@dataclass(frozen=True, eq=False)
class TrailingActions:
    """How often each printer saw an action, looking back from each step.

    ``done (units, days + 1)``: how many on each day from ``first`` on; column 0 is empty, so that
    the running sum at column c counts the days before ``first`` + c.
    """

    done: NDArray[np.signedinteger[Any]]
    first: int
    calendar: Calendar
    window_days: int
    lag_days: int
    open_numbers: OpenNumbers

    def sevenths(self, units: Ints | None = None) -> NDArray[np.int32]:
        """Seven times what lies in each window, a whole number, of these units or of all: (units,
        steps)."""
        units = np.arange(len(self.done)) if units is None else units
        ends = self.calendar.begins - self.lag_days
        found = np.empty((len(units), len(ends)), dtype=np.int32)
        at_once = -(-AT_ONCE // self.done.shape[1])
        for rows, own in self.open_numbers.take(units).together():
            closed = closed_windows(own, self.calendar, self.lag_days, self.window_days)
            for low in range(0, len(rows), at_once):
                few = rows[low : low + at_once]
                before = np.cumsum(self.done[units[few]], axis=1, dtype=np.int32)
                found[few] = in_windows(before, self.first, ends, self.window_days, closed)
        return found


def log2_of_sevenths(sevenths: NDArray[np.int32], window_days: int) -> NDArray[np.float32]:
    """The exposure to a task that was done so many sevenths of times in a window: a logarithm of
    each whole number once, not of each day.

    >>> log2_of_sevenths(np.array([0, 7 * 14], dtype=np.int32), 28).tolist()[0]
    -1.0
    """
    per_days = np.float32(A_WEEK * window_days / PER_DAYS)
    rates = np.arange(sevenths.max(initial=0) + 1, dtype=np.float32) / per_days
    found: NDArray[np.float32] = log2_rate(rates, out=rates).take(sevenths)
    return found


def trailing_actions(
    unit: NDArray[np.integer[Any]],
    day: NDArray[np.integer[Any]],
    n_units: int,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: OpenNumbers | None = None,
) -> TrailingActions:
    """How often did each printer see an action, looking back from each step?

    ``unit`` (0-based printer) and ``day`` of each action. For a step beginning on day d the window
    ends on d − lag − 1: the day before with lag 0.
    ``open_numbers``: the units' days without closed ones; a window holds so many open days, for a
    closed day is no day without care.

    A window counts whole weeks and a share of one more, each day of the week as often (see
    ``whole_weeks``).
    """
    calendars = open_numbers or OpenNumbers([ALWAYS_OPEN] * n_units)
    back = days_before(window_days, lag_days, calendars)
    first = calendar.first_day - back
    done = _counted(unit, day, first, n_units, calendar.steps * calendar.step_days + back)
    return TrailingActions(done, first, calendar, window_days, lag_days, calendars)


def blocks(printers: int) -> Iterator[slice]:
    """Some printers after the other, so few that what is worked out of them stays in the cache."""
    for low in range(0, printers, _PRINTERS_AT_ONCE):
        yield slice(low, low + _PRINTERS_AT_ONCE)


@lru_cache(maxsize=64)  # asked for some printers at a time, of one task after the other
def closed_windows(
    own: OpenCalendar, calendar: Calendar, lag_days: int, window_days: int
) -> tuple[CountedDays, ...]:
    """How the days count in the windows that reach over closed ones."""
    return tuple(over_closed_days(own, calendar.begins - lag_days, window_days))


def _counted(
    unit: NDArray[np.integer[Any]],
    day: NDArray[np.integer[Any]],
    first: int,
    n_units: int,
    n_days: int,
) -> NDArray[np.signedinteger[Any]]:
    """How often each unit has each of so many days from ``first`` on, in numbers as narrow as the
    counts allow: (units, days + 1), column 0 left empty.
    """
    for numbers in (np.int8, np.int32):
        counts, many = np.zeros((n_units, n_days + 1), dtype=numbers), 0
        for few in some_rows(len(unit)):
            inside = (day[few] >= first) & (day[few] < first + n_days)
            place = unit[few] * np.int64(n_days + 1) + (day[few] - (first - 1))
            np.add.at(counts.ravel(), place if inside.all() else place[inside], numbers(1))
            many += int(np.count_nonzero(inside))
        if counts.sum(dtype=np.int64) == many:  # none ran over
            break
    return counts


def in_windows(
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


def days_before(window_days: int, lag_days: int, calendars: OpenNumbers) -> int:
    """How many days before the first step may any window reach?"""
    return lag_days + days_looked_back(window_days) + A_WEEK * calendars.most_weeks_closed


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
