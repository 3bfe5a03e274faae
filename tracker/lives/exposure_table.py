"""What every printer was exposed to, day by day, seen from the evening before.

One table per exposure, printers by days, built with a count and a running sum, so that 10 million
actions on 5 000 printers take a second and parts only index into it. Every value of a day looks
back over a window that ends before that day, so nothing that a failure caused can enter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.lives.open_numbers import A_WEEK, ALWAYS_OPEN, OpenCalendar, OpenNumbers
from tracker.lives.whole_weeks import (
    days_looked_back,
    over_closed_days,
    reach_over_closed_days,
    window_weights,
)

HALF_AN_ACTION = 0.5  # added so that "never" has a logarithm (design: "add half an action")
PER_DAYS = 30.0  # rates are actions per 30 days


def log2_rate(actions_per_30_days: NDArray[np.floating]) -> NDArray[np.floating]:
    """The exposure to a task: log2 of its actions per 30 days plus half an action.

    One unit more is about twice the actions; none at all is −1.

    >>> log2_rate(np.array([0.0, 1.5, 3.5])).tolist()
    [-1.0, 1.0, 2.0]
    """
    rate: NDArray[np.floating] = np.log2(actions_per_30_days + np.float32(HALF_AN_ACTION))
    return rate


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
    unit: Ints,
    day: Ints,
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
    first = calendar.first_day - back
    n_days = calendar.steps * calendar.step_days + back
    inside = (day >= first) & (day < first + n_days)
    if not inside.all():
        unit, day = unit[inside], day[inside]
    # Column 0 stays empty, so that the running sum at column c counts the days before first + c.
    flat = np.bincount(unit * (n_days + 1) + (day - first + 1), minlength=n_units * (n_days + 1))
    before = flat.astype(np.int32).reshape(n_units, n_days + 1)
    np.cumsum(before, axis=1, out=before)
    ends = calendar.begins - lag_days
    counts = np.empty((n_units, calendar.steps), dtype=np.float32)
    for units, own in calendars.together():
        mine = before if len(units) == n_units else before[units]
        counts[units] = _in_windows(mine, first, ends, window_days, own)
    counts *= np.float32(PER_DAYS / window_days)
    return counts


def _in_windows(
    before: NDArray[Any], first: int, ends: Ints, window_days: int, calendar: OpenCalendar
) -> NDArray[np.floating]:
    """What happened in the windows that end before the days ``ends``: (units, windows).

    ``before``: running sums (units, days + 1), at column c of the days before ``first`` + c.
    """
    weeks, rest = A_WEEK * (window_days // A_WEEK), window_days % A_WEEK
    share = np.float32(rest / A_WEEK)
    at = ends - first
    within = np.take(before, at - weeks, axis=1)
    total = (np.take(before, at, axis=1) - within) * np.float32(1.0)
    if rest:
        within -= np.take(before, at - weeks - A_WEEK, axis=1)
        total += share * within
    places = reach_over_closed_days(calendar, ends, window_days)
    for counted in over_closed_days(calendar, ends, window_days, places):
        since = counted.first - first
        by_day = np.diff(before[:, since : since + len(counted.weights) + 1], axis=1)
        total[:, counted.places] = by_day.astype(total.dtype) @ counted.weights
    return total


def _days_before(window_days: int, lag_days: int, calendars: OpenNumbers) -> int:
    """How many days before the first step may any window reach?"""
    return lag_days + days_looked_back(window_days) + A_WEEK * calendars.most_weeks_closed


@dataclass(frozen=True)
class PrintedArea:
    """What the counters tell, looking back from each step; (printers, steps), NaN where unknown.

    ``per_day``: printed area per known day of the window, m². ``idle_share``: share of those days
    that lie between two readings with no area between them, so a printer read once a week is only
    seen idle when a whole week passed without printing. Closed days are in neither.
    """

    per_day: Array
    idle_share: Array


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
    shape = (len(printers), calendar.steps)
    per_day, idle_share = np.full(shape, np.nan), np.full(shape, np.nan)
    code = printers.get_indexer(pd.Index(counters["printer"]))
    day = days_since_epoch(counters["read_on"])
    area = counters["area_m2"].to_numpy(dtype=np.float64)
    known = (code >= 0) & np.isfinite(area) & counters["read_on"].notna().to_numpy()
    order = np.lexsort((area[known], day[known], code[known]))
    code, day, area = code[known][order], day[known][order], area[known][order]
    # The last reading of a day stands for the day.
    last = np.append((np.diff(code) != 0) | (np.diff(day) != 0), True)[: len(code)]
    code, day, area = code[last], day[last], area[last]
    bounds = np.searchsorted(code, np.arange(len(printers) + 1))
    calendars = open_numbers or OpenNumbers([ALWAYS_OPEN] * len(printers))
    back = _days_before(window_days, lag_days, calendars)
    first, ends = calendar.first_day - back, calendar.begins - lag_days
    told = np.arange(first, first + back + calendar.steps * calendar.step_days + 1)
    for units, own in calendars.together():
        units = units[np.diff(bounds)[units] > 1]
        number = own.number(told) - 1  # what is read at the end of a day holds before the next
        running = np.zeros((3, len(units), len(told)))
        for place, printer in enumerate(units):
            mine = slice(bounds[printer], bounds[printer + 1])
            running[:, place] = _running(own.number(day[mine] + 1) - 1, area[mine], number)
        printed, idle, seen = (_in_windows(each, first, ends, window_days, own) for each in running)
        known_days = np.maximum(seen, 1)
        is_known = seen >= window_days / 2  # a window needs half
        per_day[units] = np.where(is_known, printed / known_days, np.nan)
        idle_share[units] = np.where(is_known, idle / known_days, np.nan)
    return PrintedArea(per_day, idle_share)


def _running(read: Ints, total: Array, number: Ints) -> Array:
    """One printer's area, idle days and known days until each day: (3, days).

    ``read``: the numbers of the days of its readings ``total``; of one number the last counts.
    Days before the first reading and after the last are not known.
    """
    kept = np.append(np.diff(read) != 0, True)
    read, total = read[kept], total[kept]
    if len(read) < 2:
        return np.zeros((3, len(number)))
    printed = np.maximum(np.diff(total), 0.0)
    idle = np.where(printed > 0, 0.0, np.diff(read))
    sums = [np.interp(number, read, np.append(0.0, np.cumsum(each))) for each in (printed, idle)]
    return np.stack((*sums, np.clip(number, read[0], read[-1])))


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
