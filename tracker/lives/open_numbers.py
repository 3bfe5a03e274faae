"""Days numbered without closed days, for all printers that close on the same ones at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Ints

A_WEEK = 7


@dataclass(frozen=True, eq=False)
class OpenCalendar:
    """Days (since 1970-01-01) numbered without the closed ones; a closed day has the number of the
    next open one.

    ``before``: how many closed days lie before the day ``first`` and each one after it, up to the
    one after the last closed day.
    """

    first: int
    before: Ints

    @classmethod
    def without(cls, spans: Ints) -> OpenCalendar:
        """``spans (n, 2)``: first and last closed days, in order and without overlap."""
        first = int(spans[0, 0])
        change = np.zeros(int(spans[-1, 1]) - first + 3, dtype=np.int64)
        change[spans[:, 0] + 1 - first] += 1
        change[spans[:, 1] + 2 - first] -= 1
        return cls(first, np.cumsum(np.cumsum(change))[:-1])

    @property
    def closed(self) -> int:
        """All closed days."""
        return int(self.before[-1])

    @cached_property
    def weeks_closed(self) -> int:
        """How often the weekday was closed that was closed most often."""
        closed = np.flatnonzero(np.diff(self.before))
        return int(np.bincount(closed % A_WEEK, minlength=1).max())

    def closed_before(self, days: Ints) -> Ints:
        """How many closed days lie before each day?"""
        counted: Ints = self.before[np.clip(days - self.first, 0, len(self.before) - 1)]
        return counted

    def number(self, days: Ints) -> Ints:
        """The number of each day."""
        return days - self.closed_before(days)

    def first_with(self, number: Ints) -> Ints:
        """The first day that has each number, or a higher one."""
        numbers = np.arange(self.first, self.first + len(self.before)) - self.before
        at = np.searchsorted(numbers, number)
        inside = self.first + at
        return np.where(at == 0, number, np.where(at == len(numbers), number + self.closed, inside))


ALWAYS_OPEN = OpenCalendar(0, np.zeros(1, dtype=np.int64))


@dataclass(frozen=True, eq=False)
class OpenNumbers:
    """The calendar of each printer, by its number."""

    calendars: Sequence[OpenCalendar]

    @property
    def are_plain(self) -> bool:
        """True where no printer is ever closed."""
        return all(each is ALWAYS_OPEN for each in self.calendars)

    @property
    def most_weeks_closed(self) -> int:
        """The weeks by which closed days push a window further back, at most."""
        return max((each.weeks_closed for _, each in self.together()), default=0)

    def of(self, printer: int) -> OpenCalendar:
        """One printer's calendar."""
        return self.calendars[printer]

    def take(self, printers: Ints) -> OpenNumbers:
        """The calendars of these, in this order."""
        return OpenNumbers([self.calendars[printer] for printer in printers])

    def closed_between(self, first: Ints, after: Ints) -> Ints:
        """How many closed days lie in [first, after) on each printer? (printers,)."""
        found = np.empty(len(self.calendars), dtype=np.int64)
        for rows, calendar in self.together():
            found[rows] = calendar.closed_before(after[rows]) - calendar.closed_before(first[rows])
        return found

    def after_open_days(self, days: Ints, many: Ints) -> Ints:
        """The day before which so ``many`` open days have passed since ``days``: (printers,)."""
        found = np.empty(len(self.calendars), dtype=np.int64)
        for rows, calendar in self.together():
            found[rows] = calendar.first_with(calendar.number(days[rows]) + many[rows])
        return found

    def are_those_of(self, others: OpenNumbers, until: int) -> bool:
        """Does each printer have the same numbers here as there, up to that day?"""
        pairs = {
            (id(mine), id(theirs)): (mine, theirs)
            for mine, theirs in zip(self.calendars, others.calendars, strict=True)
        }
        for mine, theirs in pairs.values():
            days = np.arange(min(mine.first, theirs.first, until), until + 1)
            if (mine.closed_before(days) != theirs.closed_before(days)).any():
                return False
        return True

    def together(self) -> tuple[tuple[Ints, OpenCalendar], ...]:
        """Each calendar with the printers that follow it."""
        return self._together

    @cached_property
    def _together(self) -> tuple[tuple[Ints, OpenCalendar], ...]:
        follow: dict[int, list[int]] = {}
        for printer, calendar in enumerate(self.calendars):
            follow.setdefault(id(calendar), []).append(printer)
        return tuple(
            (np.array(printers, dtype=np.int64), self.calendars[printers[0]])
            for printers in follow.values()
        )
