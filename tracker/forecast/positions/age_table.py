"""Tables by age: what is computed once for each age, for positions that may have one of several.

All that is asked of a position (chances of so many renewals, their generating functions, survival
up to a day) is, for each set of parameters, the mean over its possible ages. So a position of
unknown age has a row of its own in each table: the mean of its ages' rows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from tracker.forecast.renewal.grid import checked_ages
from tracker.lives.unknown_age import PossibleAges

Array = NDArray[np.float64]
Rows = NDArray[np.int64]
Values = TypeVar("Values", bound=np.ndarray)


@dataclass(frozen=True, eq=False)
class PositionAges:
    """The ages of the parts in some positions: ``expected`` (A,), and for those that may have one
    of several ages, ``law_of`` (A,) says which of the ``laws`` (−1: the age is known)."""

    expected: Array
    law_of: Rows
    laws: tuple[PossibleAges, ...] = ()

    @classmethod
    def of(cls, ages: Sequence[float] | Array | PositionAges) -> PositionAges:
        """Checked ages of known parts; what is already checked is kept."""
        if isinstance(ages, PositionAges):
            return ages
        checked = checked_ages(np.asarray(ages, dtype=np.float64)) if len(ages) else np.zeros(0)
        return cls(checked, np.full(len(checked), -1))

    @classmethod
    def possible(
        cls, expected: Sequence[float] | Array, laws: Sequence[PossibleAges | None]
    ) -> PositionAges:
        """Parts of these ages, or with a law of ages where one is given."""
        ages = cls.of(expected)
        different = list({id(law): law for law in laws if law is not None}.values())
        if not different:
            return ages
        number = {id(law): place for place, law in enumerate(different)}
        law_of = np.array([-1 if law is None else number[id(law)] for law in laws])
        return cls(ages.expected, law_of, tuple(different))

    def __len__(self) -> int:
        return len(self.expected)

    def __getitem__(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> PositionAges:
        return PositionAges(self.expected[rows], self.law_of[rows], self.laws)

    def table(
        self, coarse: Callable[[Array], Array] | None = None, *, with_new: bool = False
    ) -> AgeTable:
        """The ages at which tables are to be computed; ``coarse`` rounds them first.

        ``with_new``: row 0 is a new part.
        """
        known = self.law_of < 0
        used, law_row = np.unique(self.law_of[~known], return_inverse=True)
        laws = [self.laws[number] for number in used]
        every = np.concatenate([self.expected[known], *(own.ages for own in laws)])
        every = every if coarse is None else coarse(every)
        ages, row = np.unique(every, return_inverse=True)
        many = int(known.sum())
        # An age that only unknown parts may have is computed, but is no row of its own.
        own_rows, row_of_known = np.unique(row[:many], return_inverse=True)
        mixing = np.zeros((len(own_rows) + len(laws), len(ages)))
        mixing[np.arange(len(own_rows)), own_rows] = 1.0
        start = many
        for number, own in enumerate(laws, len(own_rows)):
            np.add.at(mixing[number], row[start : start + len(own.ages)], own.chances)
            start += len(own.ages)
        row_of = np.empty(len(self), dtype=np.int64)
        row_of[known] = row_of_known
        row_of[~known] = len(own_rows) + law_row
        if with_new:
            ages, row_of = np.concatenate([[0.0], ages]), row_of + 1
            mixing = np.pad(mixing, ((1, 0), (1, 0)))
            mixing[0, 0] = 1.0
        return AgeTable(ages, row_of, mixing if laws else None)


@dataclass(frozen=True, eq=False)
class AgeTable:
    """``ages`` (U,) to compute a table at, and the row of each position in what ``rows`` makes of
    it; ``mixing`` (rows, U) are the chances of the ages (None: each age is a row)."""

    ages: Array
    row_of: Rows
    mixing: Array | None

    def rows(self, values: Values, axis: int) -> Values:
        """A table of ``ages`` along the axis as one of rows."""
        if self.mixing is None:
            return values
        mixed = np.tensordot(self.mixing, values, axes=(1, axis))
        return np.moveaxis(mixed, 0, axis)  # type: ignore[return-value]
