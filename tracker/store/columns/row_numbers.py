"""The ids of a table's rows: a load gives them out one after the other, and such a run takes no
room."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Bools, Ints


@dataclass(frozen=True, eq=False)
class RowNumbers:
    """Rising ids as runs: ``counts`` ids from each of ``firsts`` on."""

    firsts: Ints
    counts: Ints

    @classmethod
    def of(cls, ids: Ints) -> RowNumbers:
        """Of rising ids."""
        begins = np.flatnonzero(np.diff(ids, prepend=ids[0] - 2) != 1) if len(ids) else ids
        return cls(ids[begins], np.diff(begins, append=len(ids)))

    @classmethod
    def of_index(cls, index: pd.Index) -> RowNumbers:
        """Of the index of a frame."""
        if isinstance(index, pd.RangeIndex) and index.step == 1:
            return cls.of_runs([index.start][: len(index)], [len(index)][: len(index)])
        return cls.of(index.to_numpy())

    @classmethod
    def of_runs(cls, firsts: list[int], counts: list[int]) -> RowNumbers:
        """As laid down."""
        return cls(np.array(firsts, dtype=np.int64), np.array(counts, dtype=np.int64))

    def __len__(self) -> int:
        return int(self.counts.sum())

    def ids(self) -> Ints:
        """All of them."""
        begins = np.cumsum(self.counts) - self.counts
        return np.repeat(self.firsts - begins, self.counts) + np.arange(len(self))

    def index(self) -> pd.Index:
        """The index of a frame of these rows."""
        if len(self.firsts) == 1:
            return pd.RangeIndex(int(self.firsts[0]), int(self.firsts[0] + self.counts[0]))
        return pd.Index(self.ids())

    def at(self, places: Ints) -> Ints:
        """The ids of the rows at these places."""
        begins = np.cumsum(self.counts) - self.counts
        run = np.searchsorted(begins, places, side="right") - 1
        return self.firsts[run] + places - begins[run] if len(places) else places

    def places(self, ids: Ints) -> tuple[Ints, Bools]:
        """The row of each of these ids, or before which row it would stand; is it there?"""
        if not len(self.firsts):
            return np.zeros(len(ids), dtype=np.int64), np.zeros(len(ids), dtype=bool)
        run = np.searchsorted(self.firsts, ids, side="right") - 1
        within = ids - self.firsts[run]
        begins = np.cumsum(self.counts) - self.counts
        place = begins[run] + np.minimum(within, self.counts[run])
        return np.where(run < 0, 0, place), (run >= 0) & (within < self.counts[run])

    def changed(self, gone: Ints, come: Ints) -> RowNumbers:
        """Once the rows at these places were taken out and rows with these ids were put in."""
        if not len(gone) and (not len(self.firsts) or (come > self.firsts[-1]).all()):
            new = RowNumbers.of(come)
            if len(self.firsts) and len(new.firsts):
                follows = new.firsts[0] == self.firsts[-1] + self.counts[-1]
                counts = self.counts.copy()
                counts[-1] += new.counts[0] if follows else 0
                skip = int(follows)
                return RowNumbers(
                    np.concatenate((self.firsts, new.firsts[skip:])),
                    np.concatenate((counts, new.counts[skip:])),
                )
            return new if len(new.firsts) else self
        return RowNumbers.of(np.sort(np.concatenate((np.delete(self.ids(), gone), come))))
