"""Windows of whole weeks: each day of the week counts as often, whatever was closed.

Plain days would hold now more, now fewer days off, by the day of the week on which a window ends;
as failures too are found on working days, what is done on these would seem to prevent them
(trading-day variation of counts: Young 1965). So would open days in their order after a closure of
no whole weeks: the first days behind it would hold the same weekdays twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.lives.open_numbers import A_WEEK, OpenCalendar

_AT_ONCE = 64  # windows laid out at once: each holds a weight for each day of all of them


def days_looked_back(window_days: int) -> int:
    """How many days back does a window reach that counts so many days of actions?

    >>> days_looked_back(28), days_looked_back(30)
    (28, 35)
    """
    return -(-window_days // A_WEEK) * A_WEEK


def window_weights(window_days: int) -> Array:
    """How much does each day before a step count, from the first day looked back to to the last?

    Whole weeks count in full, what is left of the window beyond them is that share of the week
    before.

    >>> window_weights(9).round(3).tolist()
    [0.286, 0.286, 0.286, 0.286, 0.286, 0.286, 0.286, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
    """
    weights = np.ones(days_looked_back(window_days))
    if rest := window_days % A_WEEK:
        weights[:A_WEEK] = rest / A_WEEK
    return weights


@dataclass(frozen=True, eq=False)
class CountedDays:
    """How much each day counts in some windows: ``sevenths (days, windows)``, the days from
    ``first`` on; ``places``: which of the windows these are.
    """

    places: Ints
    first: int
    sevenths: NDArray[np.float32]


def over_closed_days(calendar: OpenCalendar, ends: Ints, window_days: int) -> Iterator[CountedDays]:
    """How the days count in the windows that reach over closed ones: of each weekday the last open
    ones.

    A window of 30 days holds the last four open Mondays and 2/7 of the fifth, the last four open
    Tuesdays, and so on. ``ends``, in order: the day after the last one of each window. A closed
    day counts as the next open one.
    """
    # One day more: what was done on a closed day counts on the next open one.
    earliest = ends - days_looked_back(window_days) - 1
    places = np.flatnonzero(calendar.closed_before(ends) > calendar.closed_before(earliest))
    # Windows far apart would have all days between them laid out.
    for near in np.split(places, np.flatnonzero(np.diff(places) > 1) + 1):
        for first in range(0, len(near), _AT_ONCE):
            some = near[first : first + _AT_ONCE]
            yield CountedDays(some, *_laid_out(calendar, ends[some], window_days))


def _laid_out(
    calendar: OpenCalendar, ends: Ints, window_days: int
) -> tuple[int, NDArray[np.float32]]:
    """The first day that counts in any of the windows and the sevenths (days, windows)."""
    weeks, rest = divmod(window_days, A_WEEK)
    first = int(ends[0]) - days_looked_back(window_days) - A_WEEK * calendar.weeks_closed
    opened, passed = _by_weekday(calendar, first, int(ends[-1]))
    at = np.searchsorted(opened, np.arange(int(ends[-1]) - first))
    stands_for = opened[np.minimum(at, len(opened) - 1)] if len(opened) else at
    weekday = stands_for % A_WEEK
    back = passed[:, ends - first][weekday] - passed[weekday, stands_for][:, None]
    sevenths = np.where((back >= 1) & (back <= weeks), np.float32(A_WEEK), np.float32(0))
    sevenths[back == weeks + 1] = rest
    sevenths[at >= len(opened)] = 0.0
    return first, sevenths


def first_whole_end(calendar: OpenCalendar, first: Ints, window_days: int) -> Ints:
    """The first day before which a whole window lies that begins on ``first`` or later."""
    reach = days_looked_back(window_days)
    whole = first + reach
    closed = calendar.closed_before(whole) > calendar.closed_before(first)
    for day in np.unique(first[closed]):
        last = int(day) + reach + A_WEEK * calendar.weeks_closed
        _, passed = _by_weekday(calendar, int(day), last)
        enough = int(np.argmax(passed.min(axis=0) >= reach // A_WEEK))
        whole[first == day] = day + enough
    return whole


def _by_weekday(calendar: OpenCalendar, first: int, end: int) -> tuple[Ints, NDArray[np.int32]]:
    """The open days from ``first`` until the day before ``end``, and how many of each weekday lie
    before each day (7, days + 1); days and weekdays are counted from ``first``.
    """
    opened = np.flatnonzero(np.diff(calendar.closed_before(np.arange(first, end + 1))) == 0)
    passed = np.zeros((A_WEEK, end - first + 1), dtype=np.int32)
    passed[opened % A_WEEK, opened + 1] = 1
    return opened, np.cumsum(passed, axis=1, out=passed)
