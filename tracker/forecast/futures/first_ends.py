"""When do the parts fitted now come out, in each future?

The hazard that a part gathers hangs on the draw and not on the future, so it is gathered once per
draw, a day of a table after the other; a future's own life ends where it reaches that future's
share of bad luck. Futures are sorted by how much they gather in a month and their luck is dealt out
in strata of neighbours, so that a chance read from a few thousand futures is right to a tenth of a
per cent; parts are dealt luck independently, each its own (``luck``). Neither the table's days nor
the sorting hang on how far the futures are played: a longer play begins with the shorter one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.forecast.futures.futures import Cause, Causes
from tracker.forecast.futures.luck import Luck, Use
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.gathering import Block, gathering
from tracker.models.life_model.whole.history import Steps

_STRATUM = 128  # neighbouring futures among which luck is dealt out evenly
_MONTH = 30.0
# The table's first day, and by how much its steps widen.
_FIRST, _WIDER = 0.5, 0.12
_MOST_EDGES = 20  # of closed days told exactly


def days_tabled(horizon: float, draws: LifeDraws) -> Array:
    """Days from today between which hazard is taken to grow evenly, the last not before the
    horizon: closer together near today, and where the workshop closes and opens.
    """
    steps = np.log1p(horizon * _WIDER / _FIRST) / np.log1p(_WIDER)
    days = _FIRST / _WIDER * np.expm1(np.arange(1, np.ceil(steps) + 1) * np.log1p(_WIDER))
    days[-1] = max(days[-1], horizon)  # but for the last digit
    closed = draws.open_days.closed
    edges = np.unique(np.concatenate((closed.began_on, closed.ended_on + 1))) - draws.as_of
    edges = edges[edges > 0][:_MOST_EDGES]
    return np.union1d(days, edges[edges < days[-1]])


@dataclass(frozen=True, eq=False)
class Wearing:
    """Parts that wear: what they gather up to a ``horizon`` in ``draws`` (``path``: exposures to
    come), the ``draw`` of each future, rising, the rate of ``other`` needs of each ``kind``,
    (kinds, draws), and the ``kind`` and ``luck`` of each part.
    """

    draws: LifeDraws
    parts: Parts
    path: Steps | None
    horizon: float
    draw: Ints
    other: Array
    kind: Ints
    luck: Luck

    def ends(self) -> Iterator[tuple[Ints, Array, Causes]]:
        """The day on which each part comes out (infinite: later) and why, for some parts after the
        other: which ones, and (parts, futures) of them.
        """
        draws, days = self.draws, days_tabled(max(self.horizon, _MONTH), self.draws)
        month = int(np.searchsorted(days, _MONTH))
        # Single precision tells a day to the minute, and what few parts gather stays in the cache.
        accident: Array = np.ascontiguousarray(draws.accident.T, dtype=np.float32)
        other: Array = self.other.astype(np.float32)
        for block in gathering(draws, self.parts, days, self.path, coarse=True):
            rows, struck = block.rows, accident[self.parts.group[block.rows]]
            counted = draws.counted_days(self.parts.take(rows[:1]), days)[0].astype(np.float32)
            gathered = _Gathered.of(block, counted, struck + other[self.kind[rows]])
            dealt = dealt_luck(self._rank(gathered.by(month)), self.luck.take(rows))
            dealt = dealt.astype(np.float32)
            part, future = ended = np.nonzero(gathered.by(-1)[:, self.draw] >= dealt)
            place, luck = part * len(draws) + self.draw[future], dealt[ended]
            at, before, gained = gathered.reached(place, luck)
            share = np.clip((luck - before) / np.maximum(gained, 1e-30), 0.0, 1.0)
            began = np.where(at > 0, days[at - 1], 0.0)
            day, cause = np.full(dealt.shape, np.inf), np.zeros(dealt.shape, np.int8)
            day[ended] = began + share * (days[at] - began)
            open_days = counted[at] - np.where(at > 0, counted[at - 1], np.float32(0))
            pick = self.luck.each(Use.CAUSE, rows[part], future) * gained
            cause[ended] = np.where(
                pick < open_days * struck.ravel()[place],
                np.int8(Cause.ACCIDENT),
                np.where(
                    pick < open_days * gathered.sudden.ravel()[place],
                    np.int8(Cause.OTHER),
                    np.int8(Cause.WEAR),
                ),
            )
            yield rows, day, cause

    def _rank(self, gathered: Array) -> Ints:
        """The place of each part's futures, those first that gather least: (parts, futures).

        Futures of one draw gather the same.
        """
        order = np.argsort(gathered, axis=1)
        played = np.bincount(self.draw, minlength=len(self.draws))
        first = np.empty_like(order)
        np.put_along_axis(first, order, np.cumsum(played[order], axis=1) - played[order], axis=1)
        within = np.arange(len(self.draw)) - np.searchsorted(self.draw, self.draw)
        rank: Ints = first[:, self.draw] + within
        return rank


@dataclass(frozen=True, eq=False)
class _Gathered:
    """What the parts of a ``block`` gather by each day of a table: ``worn (days, classes, draws)``
    by wear, and at the rates ``sudden (parts, draws)`` in the open days ``counted (days,)``.
    """

    block: Block
    worn: Array
    counted: Array
    sudden: Array

    @classmethod
    def of(cls, block: Block, counted: Array, sudden: Array) -> _Gathered:
        worn = np.empty((len(counted), block.classes, sudden.shape[1]), sudden.dtype)
        for told, gathered in block.walk:
            worn[told] = gathered
        return cls(block, worn, counted, sudden)

    def by(self, day: int) -> Array:
        """By that day of the table: (parts, draws)."""
        found = self.block.of_parts(self.worn[day])
        found += self.counted[day] * self.sudden
        return found

    def reached(self, place: Ints, luck: Array) -> tuple[Ints, Array, Array]:
        """The first day of the table by which each has its luck used up, one that has by the last
        of them, by halving; what it had gathered the day before, and what it gathers in between.
        ``place``: of each among (parts, draws).
        """
        draws = self.sudden.shape[1]
        like = self.block.alike[place // draws] * draws + place % draws
        own = np.broadcast_to(self.block.own, self.sudden.shape).ravel()[place]
        sudden, worn, width = self.sudden.ravel()[place], self.worn.ravel(), self.worn[0].size

        def gathered(day: Ints) -> Array:
            found: Array = worn.take(day * width + like)
            found *= own
            found += self.counted.take(day) * sudden
            return found

        at, last = np.zeros_like(place), len(self.counted) - 1
        for step in 2 ** np.arange(last.bit_length())[::-1]:
            at += step * (gathered(np.minimum(at + (step - 1), last)) < luck)
        before = gathered(np.maximum(at - 1, 0))
        before[at == 0] = 0.0
        return at, before, gathered(at) - before


def ends_without_wear(other: Array, luck: Luck) -> tuple[Array, Causes]:
    """The same of parts that come out for other reasons alone, at these rates a day: (parts,
    futures).
    """
    rank = np.argsort(np.argsort(other, axis=1), axis=1)
    day = dealt_luck(rank, luck) / np.maximum(other, 1e-300)
    return day, np.full(day.shape, Cause.OTHER, np.int8)


def dealt_luck(rank: Ints, luck: Luck) -> Array:
    """Exponential luck with mean 1, dealt evenly among futures next to each other in ``rank``:
    (parts, futures).
    """
    futures = rank.shape[1]
    place = np.arange(futures)
    block = place // _STRATUM
    size = np.bincount(block, minlength=1)[block]
    # Within each block of neighbours the strata come in a random order.
    mixed = np.argsort(block + luck.table(Use.STRATUM, futures), axis=1)
    even = (mixed - block * _STRATUM + luck.table(Use.WITHIN, futures)) / size
    return np.asarray(-np.log1p(-np.take_along_axis(even, rank, axis=1)))
