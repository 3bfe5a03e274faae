"""Positions that share one life: their ages, their life and what they go with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.forecast.positions.age_table import PositionAges
from tracker.forecast.renewal.parameter_nodes import NodeSource, Posterior, source_of


@dataclass(frozen=True, eq=False)
class PositionGroup:
    """Positions with parts of one life.

    ``planned`` is the age at which a working part is changed by plan (None: never); ``follows``,
    for each position, the number of the trigger part that takes it along (−1: none);
    ``until``, how long each position is there at all (its printer leaves; infinite: stays).
    """

    source: NodeSource
    ages: PositionAges
    planned: float | None
    follows: NDArray[np.int64]
    until: Array

    @classmethod
    def of(
        cls,
        posterior: Posterior | NodeSource,
        ages: Array | Sequence[float] | PositionAges,
        *,
        planned: float | None = None,
        follows: Sequence[int] | NDArray[np.int64] | None = None,
        until: Sequence[float] | Array | None = None,
    ) -> PositionGroup:
        """A checked group; ModelError for impossible ages or lists of another length."""
        checked = PositionAges.of(ages)
        links = (
            np.full(len(checked), -1) if follows is None else np.asarray(follows, dtype=np.int64)
        )
        ends = np.full(len(checked), np.inf) if until is None else np.asarray(until, dtype=float)
        for name, values in (("follows", links), ("until", ends)):
            if len(values) != len(checked):
                raise ModelError(
                    f"{name}: {len(values)} values for {len(checked)} positions; give one for each."
                )
        if not (ends >= 0).all():
            raise ModelError(f"until: {ends.min()} is no time ahead; give days of 0 or more.")
        return cls(source_of(posterior), checked, planned, links, ends)

    def spans(self, horizon: float) -> Array:
        """How long each position needs parts within the horizon."""
        return np.minimum(self.until, horizon)
