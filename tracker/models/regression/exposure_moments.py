"""How much do exposures vary over the time watched, and how do they go together?

Means and covariances, each row counting as long as it lasts, in two passes over blocks of rows that
stay in the processor's cache; what is asked of them afterwards no longer hangs on the rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools

_BLOCK_ROWS = 16_384
_ALIKE = 1e-9  # a spread so far below the values themselves, or 1, is rounding
# Of the largest variance that combinations of exposures have: one below is that of twins.
_TWINS = 1e-9


@dataclass(frozen=True, eq=False)
class ExposureMoments:
    """``mean`` (p,) and ``covariance`` (p, p) of the exposures ``names``; ``least`` and ``largest``
    the values that occur.
    """

    names: tuple[str, ...]
    mean: Array
    covariance: Array
    least: Array
    largest: Array

    @classmethod
    def of(cls, columns: Mapping[str, NDArray[np.generic]], days: Array) -> ExposureMoments:
        """Of columns of one length, at least one row long, each row lasting so many ``days``."""
        total, size = np.zeros(len(columns)), len(columns)
        block = np.empty((size, min(_BLOCK_ROWS, len(days))))
        blocks = [slice(at, at + _BLOCK_ROWS) for at in range(0, len(days), _BLOCK_ROWS)]
        values = list(columns.values())

        def looked_at(rows: slice) -> tuple[Array, Array]:
            here = days[rows]
            for line, column in zip(block, values, strict=True):
                line[: len(here)] = column[rows]
            return block[:, : len(here)], here

        for rows in blocks:
            x, lasting = looked_at(rows)
            total += x @ lasting
        mean, second = total / days.sum(), np.zeros((size, size))
        for rows in blocks:
            x, lasting = looked_at(rows)
            x -= mean[:, None]
            second += (x * lasting) @ x.T
        ends = [
            np.array([end(each) for each in values], dtype=np.float64) for end in (np.min, np.max)
        ]
        return cls(tuple(columns), mean, second / days.sum(), *ends)

    @cached_property
    def spread(self) -> Array:
        """Standard deviations (p,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @cached_property
    def changes(self) -> Bools:
        """Which exposures change at all (p,)."""
        furthest = np.maximum(self.largest - self.mean, self.mean - self.least)
        return np.asarray(self.spread > _ALIKE * np.maximum(furthest, 1.0))

    @cached_property
    def correlation(self) -> Array:
        """Pearson's (p, p); 0 where an exposure never changes."""
        by = np.where(self.changes, self.spread, np.inf)
        return np.asarray(self.covariance / np.outer(by, by))

    def at(self, name: str) -> int:
        """Where an exposure stands."""
        return self.names.index(name)

    def unexplained(self, name: str, others: tuple[str, ...]) -> float:
        """Share of an exposure's variance that is left once linear combinations of the others are
        taken out; 1 of one that never changes.
        """
        own, beside = self.at(name), [self.at(each) for each in others]
        across = self.correlation[beside, own]
        among = self.correlation[np.ix_(beside, beside)]
        found = np.linalg.lstsq(among, across, rcond=_TWINS)[0]
        return max(1.0 - float(across @ found), 0.0)
