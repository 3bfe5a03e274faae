"""Positions of the rows of a long table that are left, in one byte each."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np


class Positions:
    """Which rows are left, by their positions from 0; they go one by one."""

    def __init__(self, left: np.ndarray) -> None:
        """``left`` is True for each row that is."""
        self._left = left
        self._count = int(left.sum())

    def __contains__(self, at: int) -> bool:
        return bool(self._left[at])

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[int]:
        return iter(self.array().tolist())

    def array(self) -> np.ndarray:
        """The positions, rising."""
        return np.flatnonzero(self._left)

    def discard(self, at: int) -> None:
        """Takes one out, where it is left."""
        self._count -= bool(self._left[at])
        self._left[at] = False
