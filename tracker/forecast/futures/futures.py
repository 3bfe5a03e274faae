"""What was played: in each possible future, which position needs a part on which day, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

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


Causes: TypeAlias = NDArray[np.int8]
NEEDS_AT_ONCE = 60_000  # worked on together: few enough to stay in the cache
UNPLANNED = (Cause.WEAR, Cause.ACCIDENT, Cause.WITH, Cause.EMPTY)


@dataclass(frozen=True, eq=False)
class Needs:
    """Parts that are needed: in which ``future`` and ``row`` (of the positions played), on which
    ``day`` from the end of today, and the ``cause``; columns of one length.
    """

    future: Ints
    row: Ints
    day: Array
    cause: Causes

    def take(self, rows: Ints | Bools | slice) -> Needs:
        """Only these."""
        return Needs(self.future[rows], self.row[rows], self.day[rows], self.cause[rows])

    @classmethod
    def joined(cls, parts: Sequence[Needs]) -> Needs:
        """All of them, one after the other."""
        if not parts:
            none = np.zeros(0, np.int64)
            return cls(none, none, np.zeros(0), none.astype(np.int8))
        names = ("future", "row", "day", "cause")
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


@dataclass(frozen=True, eq=False)
class Futures:
    """``size`` equally likely futures up to ``horizon`` days from today: their ``needs``, in any
    order.
    """

    size: int
    horizon: float
    needs: Needs

    def __repr__(self) -> str:
        return f"Futures({self.size} up to day {self.horizon:g}, {len(self.needs.day)} needs)"

    def of(
        self,
        rows: Bools,
        causes: tuple[Cause, ...] | None = None,
        *,
        until: float | None = None,
    ) -> Futures:
        """Only the needs of these positions (True or False for each), for these reasons, up to that
        day.
        """
        needs, horizon = self.needs, self.horizon if until is None else min(until, self.horizon)
        kept = np.asarray(rows, dtype=bool)[needs.row]
        if causes is not None:
            kept &= np.isin(np.arange(len(Cause)), causes)[needs.cause]
        if horizon < self.horizon:
            kept &= needs.day <= horizon
        return Futures(self.size, horizon, needs.take(kept))

    def by(self, code: Ints, kinds: int, *, until: float) -> list[Futures]:
        """Those of each kind of position (``code``: which one each position is of, −1: none), up to
        that day.
        """
        horizon = min(until, self.horizon)
        soon = np.flatnonzero(self.needs.day <= horizon)
        kind = code[self.needs.row[soon]].astype(np.int16)
        order = np.argsort(kind, kind="stable")  # by their digits: in step with the needs
        ends = np.cumsum(np.bincount(kind + 1, minlength=kinds + 1))
        return [
            Futures(self.size, horizon, self.needs.take(soon[order[low:high]]))
            for low, high in pairwise(ends)
        ]

    def counts_by(self, code: Ints, kinds: int, days: Sequence[float]) -> Ints:
        """How many of each kind of position (see ``by``) are needed by each of these days, which
        rise: (days, kinds, size).
        """
        found = np.zeros(len(days) * kinds * self.size, np.int64)
        for low in range(0, len(self.needs.day), NEEDS_AT_ONCE):
            some = self.needs.take(slice(low, low + NEEDS_AT_ONCE))
            kind, after = code[some.row], np.searchsorted(days, some.day)
            rows = np.flatnonzero((after < len(days)) & (kind >= 0))
            place = (after[rows] * kinds + kind[rows]) * self.size + some.future[rows]
            found += np.bincount(place, minlength=len(found))
        counts: Ints = np.cumsum(found.reshape(len(days), kinds, self.size), axis=0)
        return counts

    def counts(self, days: float | Array) -> Ints:
        """How many are needed by that day, or by a day of each future's own: (size,)."""
        limit = np.broadcast_to(np.asarray(days, dtype=float), self.size)
        within = self.needs.day <= limit[self.needs.future]
        return np.bincount(self.needs.future[within], minlength=self.size).astype(np.int64)

    @cached_property
    def at_once(self) -> int:
        """How many are needed today whatever comes."""
        return int(self.counts(0.0).min())

    def law(self, days: float | Array) -> Array:
        """The chance that exactly k are needed by that day (or each future's own)."""
        law: Array = np.bincount(self.counts(days)) / self.size
        return law

    def at_least(self, number: int | Ints, times: Array) -> Array:
        """The chance of so many needs or more by each of the rising times, from 1 on: (…, times)
        where ``number`` is (…,).
        """
        days = self.nth_day(number)
        place = np.searchsorted(times, days.reshape(-1, self.size))
        row = np.arange(len(place))[:, None] * (len(times) + 1)
        count = np.bincount((row + place).ravel(), minlength=len(place) * (len(times) + 1))
        within = np.cumsum(count.reshape(len(place), -1)[:, :-1], axis=1)
        found: Array = within.reshape(*days.shape[:-1], len(times)) / self.size
        return found

    def nth_day(self, number: int | Ints) -> Array:
        """The day of the so-manyth need in each future; infinite where there is none: (…, size)
        where ``number`` is (…,).
        """
        first = self._first
        at = first[:-1] + np.asarray(number)[..., None] - 1
        there = at < first[1:]
        days = np.full(at.shape, np.inf)
        days[there] = self._in_turn.day[at[there]]
        return days

    @cached_property
    def _turn(self) -> Ints:
        """The needs by future and day."""
        return np.argsort(self.needs.future * (self.horizon + 1.0) + self.needs.day)

    @cached_property
    def _in_turn(self) -> Needs:
        return self.needs.take(self._turn)

    @cached_property
    def _first(self) -> Ints:
        """Where each future's needs begin in turn, and the end of them all."""
        count = np.bincount(self.needs.future, minlength=self.size)
        return np.concatenate(([0], np.cumsum(count)))

    def number(self) -> Ints:
        """Which need of its future each of ``needs`` is, from 1 on."""
        count = np.empty(len(self._turn), np.int64)
        count[self._turn] = self._number_in_turn()
        return count

    def _number_in_turn(self) -> Ints:
        count: Ints = np.arange(len(self._turn)) - self._first[self._in_turn.future] + 1
        return count

    def short_moments(self, days: float | Array, levels: int) -> Array:
        """On how many moments up to that day (or each future's own) is a piece missing, on average,
        with 0, 1, … pieces there at the start? (levels,). What is needed at one moment is missed
        at once.
        """
        limit = np.broadcast_to(np.asarray(days, dtype=float), self.size)
        needs = self._in_turn
        within = needs.day <= limit[needs.future]
        future, day, number = (
            needs.future[within],
            needs.day[within],
            self._number_in_turn()[within],
        )
        # The last piece of a moment is the one for which the most has to be there.
        last = np.ones(len(day), dtype=bool)
        last[:-1] = (future[1:] != future[:-1]) | (day[1:] != day[:-1])
        count = np.bincount(np.minimum(number[last], levels), minlength=levels + 1)
        beyond: Array = np.cumsum(count[::-1])[::-1][1 : levels + 1] / self.size
        return beyond
