"""An uncertain life as a handful of weighted certain ones.

Decisions (how many spares, when to order, at which age to replace) need whole life curves, not
one number at a time, and parts of one kind share what is not known about them. ``LifeNodes``
hands them that: each node is one possible life curve, its weight the chance that it is the true
one. Compute per node, then average with the weights: never the other way round.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.models.outcomes import Numbers


@dataclass(frozen=True, eq=False)
class LifeNodes:
    """Possible life curves with their chances: cumulative hazard rate · (age / unit)^shape.

    ``weight (n,)`` sums to 1, ``shape, rate (n,)``. ``unit`` is an age, so that rates are near one
    and high powers of large ages do not overflow.

    >>> nodes = LifeNodes.of([0.5, 0.5], shape=[1, 2], rate=[1, 1], unit=100)
    >>> nodes.cumulative_hazard([50, 100])
    array([[0.5 , 1.  ],
           [0.25, 1.  ]])
    >>> nodes.survival([100]).round(4)
    array([0.3679])
    """

    weight: Array
    shape: Array
    rate: Array
    unit: float

    @classmethod
    def of(cls, weight: Numbers, shape: Numbers, rate: Numbers, unit: float) -> LifeNodes:
        """The same from weights of any sum."""
        weights, shapes, rates = (np.asarray(a, dtype=float) for a in (weight, shape, rate))
        if not len(weights) == len(shapes) == len(rates):
            raise ModelError(
                f"weight, shape and rate have {len(weights)}, {len(shapes)} and {len(rates)} "
                f"values: give one of each per node."
            )
        return cls(weights / weights.sum(), shapes, rates, float(unit))

    def __len__(self) -> int:
        return len(self.weight)

    def __repr__(self) -> str:
        return f"LifeNodes({len(self)} nodes)"

    @property
    def scale(self) -> Array:
        """The Weibull scale of each node: the age by which 63 % have failed."""
        scale: Array = self.unit * self.rate ** (-1 / self.shape)
        return scale

    def cumulative_hazard(self, age: Numbers) -> Array:
        """How much hazard each node has gathered by each age: (nodes, ages)."""
        ages = np.atleast_1d(np.asarray(age, dtype=float))
        shapes, row = self._shapes
        if len(shapes) == len(row):
            return self.rate[:, None] * powers(ages / self.unit, self.shape)
        gained = powers(ages / self.unit, shapes)[row]
        gained *= self.rate[:, None]
        return gained

    @cached_property
    def _shapes(self) -> tuple[Array, Ints]:
        """The different shapes and which one each node has: their powers are taken once."""
        return np.unique(self.shape, return_inverse=True)

    def survival(self, age: Numbers, given: float = 0.0) -> Array:
        """The chance of reaching each age for a part alive at age ``given``, over all nodes."""
        gained = self.cumulative_hazard(age) - self.cumulative_hazard([given])
        return self.weight @ np.exp(-np.maximum(gained, 0.0))


def powers(ratio: Array, shape: Array) -> Array:
    """ratio^shape for every pair: (shapes, ratios); 0 at ratio 0 for shapes above 0."""
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        result: Array = np.exp(shape[:, None] * np.log(ratio)[None, :])
    if not ratio.all():
        result[:, ratio == 0] = np.where(shape > 0, 0.0, np.where(shape < 0, np.inf, 1.0))[:, None]
    return result
