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
from tracker.forecast.futures.futures import Cause
from tracker.forecast.futures.luck import Luck, Use
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.gathering import gathering
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
    come), the ``draw`` of each future, rising, the rate of ``other`` needs, (parts, draws), and the
    ``luck`` of each part.
    """

    draws: LifeDraws
    parts: Parts
    path: Steps | None
    horizon: float
    draw: Ints
    other: Array
    luck: Luck

    def ends(self) -> Iterator[tuple[Ints, Array, Ints]]:
        """The day on which each part comes out (infinite: later) and why, for some parts after the
        other: which ones, and (parts, futures) of them.
        """
        draws, days = self.draws, days_tabled(max(self.horizon, _MONTH), self.draws)
        month = int(np.searchsorted(days, _MONTH))
        accident = np.ascontiguousarray(draws.accident.T)
        counted = draws.counted_days(self.parts, days)
        for rows, walk in gathering(draws, self.parts, days, self.path, coarse=True):
            struck = accident[self.parts.group[rows]]
            sudden = struck + self.other[rows]
            # Single precision tells a day to the minute, and what few parts gather stays in the
            # cache.
            gathered = np.empty((len(days), *sudden.shape), np.float32)
            for told, worn in walk:
                np.multiply(counted[rows, told, None], sudden, out=gathered[told])
                gathered[told] += worn
            dealt = dealt_luck(self._rank(gathered[month]), self.luck.take(rows))
            part, future = ended = np.nonzero(gathered[-1][:, self.draw] >= dealt)
            place = part * len(draws) + self.draw[future]
            luck, own = dealt[ended], rows[part]
            at, before, gained = _reached(gathered, place, luck)
            share = np.clip((luck - before) / np.maximum(gained, 1e-300), 0.0, 1.0)
            began = np.where(at > 0, days[at - 1], 0.0)
            day, cause = np.full(dealt.shape, np.inf), np.zeros(dealt.shape, np.int64)
            day[ended] = began + share * (days[at] - began)
            open_days = counted[own, at] - np.where(at > 0, counted[own, at - 1], 0.0)
            pick = self.luck.each(Use.CAUSE, own, future) * gained
            cause[ended] = np.where(
                pick < open_days * struck.ravel()[place],
                Cause.ACCIDENT,
                np.where(pick < open_days * sudden.ravel()[place], Cause.OTHER, Cause.WEAR),
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


def _reached(gathered: Array, place: Ints, luck: Array) -> tuple[Ints, Array, Array]:
    """The first day of the table ``gathered (days, …)`` by which each has its luck used up, by
    halving; what it had gathered the day before, and what it gathers in between.
    """
    table = gathered.ravel()
    width = table.size // len(gathered)
    low, high = np.full_like(place, -1), np.full_like(place, len(gathered) - 1)
    for _ in range(int(np.ceil(np.log2(len(gathered) + 1)))):
        middle = (low + high) // 2
        is_short = table[np.maximum(middle, 0) * width + place] < luck
        wide = high - low > 1
        low, high = np.where(wide & is_short, middle, low), np.where(wide & ~is_short, middle, high)
    before = np.where(low >= 0, table[np.maximum(low, 0) * width + place], 0.0)
    return high, before, table[high * width + place] - before


def ends_without_wear(other: Array, luck: Luck) -> tuple[Array, Ints]:
    """The same of parts that come out for other reasons alone, at these rates a day: (parts,
    futures).
    """
    rank = np.argsort(np.argsort(other, axis=1), axis=1)
    day = dealt_luck(rank, luck) / np.maximum(other, 1e-300)
    return day, np.full(day.shape, int(Cause.OTHER))


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
