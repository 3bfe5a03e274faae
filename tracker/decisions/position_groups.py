"""Positions that share one life: their ages, their life and what they go with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.parameter_nodes import NodeSource, Posterior, source_of
from tracker.decisions.renewal import checked_ages
from tracker.errors import ModelError

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PositionGroup:
    """Positions with parts of one life. ``follows`` is, for each position, the number of the
    leader position whose failure takes it along (−1: none)."""

    source: NodeSource
    ages: Array
    planned: float | None
    follows: NDArray[np.int64]

    @classmethod
    def of(
        cls,
        posterior: Posterior | NodeSource,
        ages: Array | Sequence[float],
        *,
        planned: float | None = None,
        follows: Sequence[int] | NDArray[np.int64] | None = None,
    ) -> PositionGroup:
        """A checked group; ModelError for impossible ages or a ``follows`` of another length."""
        checked = checked_ages(np.asarray(ages, dtype=np.float64))
        links = (
            np.full(len(checked), -1) if follows is None else np.asarray(follows, dtype=np.int64)
        )
        if len(links) != len(checked):
            raise ModelError(
                f"follows: {len(links)} values for {len(checked)} positions; give one for each."
            )
        return cls(source_of(posterior), checked, planned, links)
