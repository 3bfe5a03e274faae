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
class PowerHazard:
    """One cause: cumulative hazard rate · (age / unit)^shape at each node (arrays of one length).

    ``unit`` is an age, so that rates are near one and high powers of large ages do not overflow.
    """

    rate: Array
    shape: Array
    unit: float

    def cumulative_hazard(self, age: Array) -> Array:
        """(nodes, ages)."""
        shapes, row = self._shapes
        if len(shapes) == len(row):
            return self.rate[:, None] * powers(age / self.unit, self.shape)
        gained = powers(age / self.unit, shapes)[row]
        gained *= self.rate[:, None]
        return gained

    @cached_property
    def _shapes(self) -> tuple[Array, Ints]:
        """The different shapes and which one each node has: their powers are taken once."""
        return np.unique(self.shape, return_inverse=True)

    def hazard(self, age: Array) -> Array:
        """(nodes, ages), per unit of age; infinite at age 0 where the shape is below 1."""
        with np.errstate(divide="ignore"):
            slope = powers(age / self.unit, self.shape - 1)
        return (self.rate * self.shape / self.unit)[:, None] * slope


@dataclass(frozen=True, eq=False)
class LifeNodes:
    """Possible life curves with their chances.

    ``weight (n,)`` sums to 1. ``causes`` compete: their cumulative hazards add up.

    >>> nodes = LifeNodes.of([0.5, 0.5], shape=[1, 2], rate=[1, 1], unit=100)
    >>> nodes.cumulative_hazard([50, 100])
    array([[0.5 , 1.  ],
           [0.25, 1.  ]])
    >>> nodes.survival([100]).round(4)
    array([0.3679])
    """

    weight: Array
    causes: tuple[PowerHazard, ...]

    @classmethod
    def of(cls, weight: Numbers, shape: Numbers, rate: Numbers, unit: float) -> LifeNodes:
        """Nodes of one cause with cumulative hazard rate · (age / unit)^shape."""
        weights, shapes, rates = (np.asarray(a, dtype=float) for a in (weight, shape, rate))
        if not len(weights) == len(shapes) == len(rates):
            raise ModelError(
                f"weight, shape and rate have {len(weights)}, {len(shapes)} and {len(rates)} "
                f"values: give one of each per node."
            )
        return cls(weights / weights.sum(), (PowerHazard(rates, shapes, float(unit)),))

    def __len__(self) -> int:
        return len(self.weight)

    def __repr__(self) -> str:
        return f"LifeNodes({len(self)} nodes, {len(self.causes)} cause(s))"

    def cumulative_hazard(self, age: Numbers) -> Array:
        """How much hazard each node has gathered by each age: (nodes, ages)."""
        ages = np.atleast_1d(np.asarray(age, dtype=float))
        gained: Array = np.sum([c.cumulative_hazard(ages) for c in self.causes], axis=0)
        return gained

    def hazard(self, age: Numbers) -> Array:
        """The hazard per unit of age of each node at each age: (nodes, ages)."""
        ages = np.atleast_1d(np.asarray(age, dtype=float))
        rate: Array = np.sum([cause.hazard(ages) for cause in self.causes], axis=0)
        return rate

    def survival(self, age: Numbers, given: float = 0.0) -> Array:
        """The chance of reaching each age for a part alive at age ``given``, over all nodes."""
        gained = self.cumulative_hazard(age) - self.cumulative_hazard([given])
        return self.weight @ np.exp(-np.maximum(gained, 0.0))

    def competing_with(self, other: LifeNodes) -> LifeNodes:
        """Every node of this beside every node of an independent cause: hazards add up."""
        first = np.repeat(np.arange(len(self)), len(other))
        second = np.tile(np.arange(len(other)), len(self))
        causes = [
            PowerHazard(cause.rate[rows], cause.shape[rows], cause.unit)
            for nodes, rows in ((self, first), (other, second))
            for cause in nodes.causes
        ]
        weight = self.weight[first] * other.weight[second]
        return LifeNodes(weight / weight.sum(), tuple(causes))


def powers(ratio: Array, shape: Array) -> Array:
    """ratio^shape for every pair: (shapes, ratios); 0 at ratio 0 for shapes above 0."""
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        result: Array = np.exp(shape[:, None] * np.log(ratio)[None, :])
    if not ratio.all():
        result[:, ratio == 0] = np.where(shape > 0, 0.0, np.where(shape < 0, np.inf, 1.0))[:, None]
    return result
