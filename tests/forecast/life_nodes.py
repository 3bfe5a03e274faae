"""Weibull lives with chosen parameter nodes, for tests of decisions that only need nodes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class WeibullNodes:
    """One row per node: weight, shape and scale; also serves as its own posterior."""

    weight: Array
    shape: Array
    scale: Array

    def cumulative_hazard(self, age: Array) -> Array:
        """(age / scale) ** shape, one row per node."""
        return (np.asarray(age)[None, :] / self.scale[:, None]) ** self.shape[:, None]

    def nodes(self) -> WeibullNodes:
        """Itself."""
        return self


def weibull(
    shape: float, scale: float, spread: float = 0.0, count: int = 1, seed: int = 1
) -> WeibullNodes:
    """A Weibull life known exactly (count 1), or with shape and scale spread lognormally."""
    rng = np.random.default_rng(seed)
    return WeibullNodes(
        weight=np.full(count, 1 / count),
        shape=shape * np.exp(spread / 2 * rng.standard_normal(count)),
        scale=scale * np.exp(spread * rng.standard_normal(count)),
    )
