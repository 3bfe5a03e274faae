"""What every printer was exposed to, day by day, seen from the evening before.

One table per exposure, printers by days, built with a count and a running sum, so that 10 million
actions on 5 000 printers take a second and parts only index into it. Every value of a day looks
back over a window that ends before that day, so nothing that a failure caused can enter.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints

# Day numbers on a calendar without closed days (``Closures.open_number`` of one printer).
OpenNumber: TypeAlias = Callable[[Ints], Ints]
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


def trailing_actions(
    unit: Ints,
    day: Ints,
    n_units: int,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    *,
    open_numbers: Mapping[int, OpenNumber] | None = None,
) -> NDArray[np.float32]:
    """How many actions did each printer see per 30 days, looking back from each step?

    ``unit`` (0-based printer) and ``day`` of each action. For a step beginning on day d the window
    is d − lag − window … d − lag − 1: up to the day before with lag 0. Shape (units, steps).
    ``open_numbers``: of the units that have closed days, day numbers without them; their window
    holds so many open days, for a closed day is no day without care.
    """
    counts = _trailing(unit, day, n_units, calendar, window_days, lag_days)
    for number, own in _closing_together(open_numbers or {}):
        # What a closed calendar cuts out is the same for all these printers: counted at once.
        place = np.full(n_units, -1)
        place[own] = np.arange(len(own))
        at = place[unit]
        begins = number(calendar.begins - lag_days)
        low = int(begins[0]) - window_days
        width = int(begins[-1]) - low
        open_day = number(day) - low
        kept = (at >= 0) & (open_day >= 0) & (open_day < width)
        before = _before(at[kept], open_day[kept], len(own), width)
        seen = before[:, begins - low] - before[:, begins - low - window_days]
        counts[own] = seen * np.float32(PER_DAYS / window_days)
    return counts


def _closing_together(
    open_numbers: Mapping[int, OpenNumber],
) -> list[tuple[OpenNumber, Ints]]:
    """The units that share one calendar of open days, with it."""
    found: dict[int, tuple[OpenNumber, list[int]]] = {}
    for own, number in open_numbers.items():
        found.setdefault(id(number), (number, []))[1].append(own)
    return [(number, np.array(units)) for number, units in found.values()]


def _before(unit: Ints, column: Ints, n_units: int, columns: int) -> NDArray[np.int32]:
    """How many of these lie before each column: (units, columns + 1)."""
    flat = np.bincount(unit * (columns + 1) + column + 1, minlength=n_units * (columns + 1))
    before = flat.astype(np.int32).reshape(n_units, columns + 1)
    return np.cumsum(before, axis=1, out=before)


def _trailing(
    unit: Ints, day: Ints, n_units: int, calendar: Calendar, window_days: int, lag_days: int
) -> NDArray[np.float32]:
    first = calendar.first_day - lag_days - window_days
    n_days = calendar.steps * calendar.step_days + lag_days + window_days
    inside = (day >= first) & (day < first + n_days)
    if not inside.all():
        unit, day = unit[inside], day[inside]
    before = _before(unit, day - first, n_units, n_days)
    step, span = calendar.step_days, calendar.steps * calendar.step_days
    counts = before[:, window_days : window_days + span : step] - before[:, :span:step]
    return counts.astype(np.float32) * np.float32(PER_DAYS / window_days)


@dataclass(frozen=True)
class PrintedArea:
    """What the counters tell, looking back from each step; (printers, steps), NaN where unknown.

    ``per_day``: printed area per day of the window, m². ``idle_share``: share of the window's days
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
    open_numbers: Mapping[int, OpenNumber] | None = None,
) -> PrintedArea:
    """Printed area and idle share of each printer in the window before each step.

    ``counters`` has ``printer, read_on, area_m2`` (running total). Between readings the area is
    spread evenly; a total that fell (a counter that was set back) adds nothing. ``open_numbers``
    as in ``trailing_actions``: of those printers area and idle days are counted over open days.
    """
    shape = (len(printers), calendar.steps)
    per_day, idle_share = np.full(shape, np.nan), np.full(shape, np.nan)
    ends = calendar.begins - lag_days - 1  # readings are taken at the end of a day
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
    for printer in np.flatnonzero(np.diff(bounds) > 1):
        own = slice(bounds[printer], bounds[printer + 1])
        read, total, until = day[own], area[own], ends
        number = (open_numbers or {}).get(int(printer))
        if number is not None:
            # What is read at the end of a day holds before the next one begins.
            read, until = number(read + 1) - 1, number(ends + 1) - 1
            kept = np.append(np.diff(read) != 0, True)
            read, total = read[kept], total[kept]
            if len(read) < 2:
                continue
        printed = np.maximum(np.diff(total), 0.0)
        idle = np.where(printed > 0, 0.0, np.diff(read))
        # Days before the first reading and after the last are not known; a window needs half.
        from_day = np.clip(until - window_days, read[0], read[-1])
        to_day = np.clip(until, read[0], read[-1])
        seen = to_day - from_day
        enough = seen >= window_days / 2
        with np.errstate(invalid="ignore", divide="ignore"):
            for table, amount in ((per_day, printed), (idle_share, idle)):
                running = np.concatenate([[0.0], np.cumsum(amount)])
                gained = np.interp(to_day, read, running) - np.interp(from_day, read, running)
                table[printer] = np.where(enough, gained / seen, np.nan)
    return PrintedArea(per_day, idle_share)


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
