"""Luck that hangs on what it is for: on the position, not on its place among those played.

So what does not concern a part does not move its luck: another position, kind or printer in the
pool, a part played before it. Each number is worked out by itself from a key of the position and a
counter (its future, which of its parts, what for), mixed as SplitMix64 does (Steele, Lea and
Flood, 2014, Fast splittable pseudorandom number generators, OOPSLA).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum
from hashlib import blake2b
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Ints

_STEP = np.uint64(0x9E3779B97F4A7C15)  # 2^64 over the golden ratio, odd
_MIX = ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB))
_LAST = np.uint64(31)
_DIGITS = 53  # of a number between 0 and 1
_FUTURES = 20  # binary digits of a future's number


class Use(IntEnum):
    """What a number is for."""

    STRATUM = 0
    WITHIN = 1
    CAUSE = 2
    WEAR = 3
    SUDDEN = 4


@dataclass(frozen=True, eq=False)
class Luck:
    """``key`` of each position: (positions,)."""

    key: NDArray[np.uint64]

    @classmethod
    def of(cls, names: Iterable[tuple[str, ...]]) -> Luck:
        """For positions by what they are called: the same name has the same luck."""
        digests = b"".join(
            blake2b("\0".join(name).encode(), digest_size=8).digest() for name in names
        )
        return cls(np.frombuffer(digests, dtype="<u8").astype(np.uint64))

    def take(self, rows: Ints) -> Luck:
        """That of some of the positions."""
        return Luck(self.key[rows])

    def each(self, use: Use, row: Ints, future: Ints, life: int = 0) -> Array:
        """Between 0 and 1 for each position and future given; ``life``: which part in it."""
        return self._between(self.key[row], use, future, life)

    def table(self, use: Use, futures: int) -> Array:
        """The same for the part that is in now, in all futures: (positions, futures)."""
        return self._between(self.key[:, None], use, np.arange(futures), 0)

    @staticmethod
    def _between(key: Any, use: Use, future: Ints, life: int) -> Array:
        counter = future.astype(np.uint64)
        counter += np.uint64((life * len(Use) + int(use)) << _FUTURES)
        counter *= _STEP
        mixed: NDArray[np.uint64] = key + counter
        for shift, factor in _MIX:
            mixed ^= mixed >> np.uint64(shift)
            mixed *= np.uint64(factor)
        mixed ^= mixed >> _LAST
        mixed >>= np.uint64(64 - _DIGITS)
        # In the middle of its step: never 0 and never 1, whose logarithms have no end.
        found: Array = (mixed.astype(np.float64) + 0.5) * 2.0**-_DIGITS
        return found
