"""What was played: in each possible future, which position needs a part on which day, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Bools, Ints


class Cause(IntEnum):
    """Why a part comes out: ``OTHER`` is by plan at no certain age, or for a reason nobody noted;
    ``PLANNED`` at the age at which the workshop changes the kind; ``WITH`` along with another part;
    ``EMPTY``: none is in, the position waits for one.
    """

    WEAR = 0
    ACCIDENT = 1
    OTHER = 2
    PLANNED = 3
    WITH = 4
    EMPTY = 5


UNPLANNED = (Cause.WEAR, Cause.ACCIDENT, Cause.WITH, Cause.EMPTY)


@dataclass(frozen=True, eq=False)
class Futures:
    """``size`` equally likely futures up to ``horizon`` days from today.

    One row per need, by future and day: ``future``, ``row`` (of the positions played), ``day``
    from the end of today, ``cause``.
    """

    size: int
    horizon: float
    future: Ints
    row: Ints
    day: Array
    cause: Ints

    @classmethod
    def of_needs(
        cls, size: int, horizon: float, future: Ints, row: Ints, day: Array, cause: Ints
    ) -> Futures:
        """From needs in any order."""
        order = np.argsort(future * (horizon + 1.0) + day)
        return cls(size, horizon, future[order], row[order], day[order], cause[order])

    def __repr__(self) -> str:
        return f"Futures({self.size} up to day {self.horizon:g}, {len(self.day)} needs)"

    def of(self, rows: Bools, causes: tuple[Cause, ...] | None = None) -> Futures:
        """Only the needs of these positions (True or False for each), and for these reasons."""
        kept = np.asarray(rows, dtype=bool)[self.row]
        if causes is not None:
            kept &= np.isin(self.cause, [int(cause) for cause in causes])
        return Futures(
            self.size,
            self.horizon,
            self.future[kept],
            self.row[kept],
            self.day[kept],
            self.cause[kept],
        )

    def counts(self, days: float | Array) -> Ints:
        """How many are needed by that day, or by a day of each future's own: (size,)."""
        limit = np.broadcast_to(np.asarray(days, dtype=float), self.size)
        within = self.day <= limit[self.future]
        return np.bincount(self.future[within], minlength=self.size).astype(np.int64)

    @cached_property
    def at_once(self) -> int:
        """How many are needed today whatever comes."""
        return int(self.counts(0.0).min())

    def law(self, days: float | Array) -> Array:
        """The chance that exactly k are needed by that day (or each future's own)."""
        law: Array = np.bincount(self.counts(days)) / self.size
        return law

    def at_least(self, number: int, times: Array) -> Array:
        """The chance of so many needs or more by each time, from 1 on: (times,)."""
        days = np.sort(self.nth_day(number))
        found: Array = np.searchsorted(days, times, side="right") / self.size
        return found

    def nth_day(self, number: int) -> Array:
        """The day of the so-manyth need in each future; infinite where there is none: (size,)."""
        first = self._first
        at = first[:-1] + number - 1
        there = at < first[1:]
        days = np.full(self.size, np.inf)
        days[there] = self.day[at[there]]
        return days

    @cached_property
    def _first(self) -> Ints:
        """Where each future's needs begin, and the end of them all."""
        found: Ints = np.searchsorted(self.future, np.arange(self.size + 1))
        return found

    def number(self) -> Ints:
        """Which need of its future each row is, from 1 on."""
        count: Ints = np.arange(len(self.day)) - self._first[self.future] + 1
        return count

    def short_moments(self, days: float | Array, levels: int) -> Array:
        """On how many moments up to that day (or each future's own) is a piece missing, on average,
        with 0, 1, … pieces there at the start? (levels,). What is needed at one moment is missed
        at once.
        """
        limit = np.broadcast_to(np.asarray(days, dtype=float), self.size)
        within = self.day <= limit[self.future]
        future, day, number = self.future[within], self.day[within], self.number()[within]
        # The last piece of a moment is the one for which the most has to be there.
        last = np.ones(len(day), dtype=bool)
        last[:-1] = (future[1:] != future[:-1]) | (day[1:] != day[:-1])
        count = np.bincount(np.minimum(number[last], levels), minlength=levels + 1)
        beyond: Array = np.cumsum(count[::-1])[::-1][1 : levels + 1] / self.size
        return beyond
