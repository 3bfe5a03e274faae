"""When do the parts fitted now come out, in each future?

The hazard that a part gathers hangs on the draw and not on the future, so it is tabled once per
draw; a future's own life is where that table reaches its share of bad luck. Futures are sorted by
how much they gather and their luck is dealt out in strata of neighbours, so that a chance read from
a few thousand futures is right to a tenth of a per cent; parts are dealt luck independently, each
its own (``luck``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.forecast.futures.futures import Cause
from tracker.forecast.futures.luck import Luck, Use

_STRATUM = 128  # neighbouring futures among which luck is dealt out evenly


@dataclass(frozen=True, eq=False)
class Hazards:
    """What some parts gather: ``wear (draws, parts, days)`` by each of ``days``; open days gone by
    then, ``counted (parts, days)``; per future and part the rates per open day of ``accident`` and
    of ``other`` needs, ``(futures, parts)``; ``draw`` of each future; ``luck`` of each part.
    """

    days: Array
    wear: Array
    counted: Array
    accident: Array
    other: Array
    draw: Ints
    luck: Luck

    def ends(self) -> tuple[Array, Ints]:
        """The day on which each part comes out (infinite: later) and why: (futures, parts)."""
        rate = self.accident + self.other
        gathered = self.wear[self.draw, :, -1] + rate * self.counted[:, -1]
        luck = dealt_luck(gathered, self.luck)
        day = np.full(gathered.shape, np.inf)
        cause = np.zeros(gathered.shape, np.int64)
        # Part by part, as the table of wear lies.
        part, future = np.nonzero((luck < gathered).T)
        if len(future):
            day[future, part], cause[future, part] = self._reached(future, part, luck[future, part])
        return day, cause

    def _reached(self, future: Ints, part: Ints, luck: Array) -> tuple[Array, Ints]:
        """Between which two days each has its luck used up, by halving, and where between them."""
        draw = self.draw[future]
        accident = self.accident[future, part]
        both = accident + self.other[future, part]

        def total(at: Ints) -> Array:
            gathered: Array = self.wear[draw, part, at] + both * self.counted[part, at]
            return gathered

        low, high = np.zeros_like(future), np.full_like(future, len(self.days) - 1)
        for _ in range(int(np.ceil(np.log2(max(len(self.days) - 1, 1))))):
            middle = (low + high) // 2
            wide, short = high - low > 1, total(middle) < luck
            low, high = np.where(wide & short, middle, low), np.where(wide & ~short, middle, high)
        before = total(low)
        gained = total(high) - before
        share = np.clip((luck - before) / np.maximum(gained, 1e-300), 0.0, 1.0)
        day = self.days[low] + share * (self.days[high] - self.days[low])
        worn = self.wear[draw, part, high] - self.wear[draw, part, low]
        struck = accident * (self.counted[part, high] - self.counted[part, low])
        pick = self.luck.each(Use.CAUSE, part, future) * gained
        cause = np.where(
            pick < worn, Cause.WEAR, np.where(pick < worn + struck, Cause.ACCIDENT, Cause.OTHER)
        )
        return day, cause.astype(np.int64)


def dealt_luck(gathered: Array, luck: Luck) -> Array:
    """Exponential luck with mean 1, dealt evenly among futures that gather about as much:
    (futures, parts).
    """
    # Worked on with the futures side by side, as they are sorted.
    gained = np.ascontiguousarray(gathered.T)
    futures = gained.shape[1]
    place = np.arange(futures)
    block = place // _STRATUM
    size = np.bincount(block, minlength=1)[block]
    # Within each block of neighbours the strata come in a random order.
    mixed = np.argsort(block + luck.table(Use.STRATUM, futures), axis=1)
    even = (mixed - block * _STRATUM + luck.table(Use.WITHIN, futures)) / size
    dealt = np.empty_like(even)
    np.put_along_axis(dealt, np.argsort(gained, axis=1), even, axis=1)
    return np.asarray(-np.log1p(-dealt).T)
