"""How many parts of a pool will have failed by each coming day?

The spare ordered next serves the next failure in the pool that no earlier spare serves, whichever
part that is: with s spares there or coming, the (s + 1)-th. Under first come, first served each
spare belongs to one failure, so each order can be timed by itself (unit by unit: Axsäter, 1990,
Operations Research 38). Parts share their unknown parameters, so failures are counted per node,
replacements that fail again included, and averaged last. Above SMALL_POOL parts the count is taken
as normal, with the mean of the renewals and the variance of first failures, later ones as Poisson.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.parameter_nodes import Nodes

Array = NDArray[np.float64]

SMALL_POOL = 16
STEP_DAYS = 2.0
MOST_RENEWALS = 6  # failures in one position that are told apart


@dataclass(frozen=True, eq=False)
class PoolFailures:
    """The chance that a pool has had at least so many failures by each time.

    ``groups`` of parts have a life of their own each (head types) and are independent; times are
    days from now, on the even ``grid``.

    >>> from tracker.models.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([], [], belief=LifeBelief(365, worth_failures=50, shape=3))
    >>> pool = PoolFailures.of(
    ...     {"": life.nodes()}, np.array(["", ""], dtype=object), np.array([300.0, 20.0]), 400
    ... )
    >>> pool.at_least(1, np.array([30.0, 100.0, 300.0])).round(2)
    array([0.17, 0.57, 0.96])
    """

    grid: Array
    groups: tuple[_Group, ...]

    @classmethod
    def of(
        cls,
        nodes: Mapping[str, Nodes],
        group: NDArray[np.object_],
        ages: Array,
        days: float,
        *,
        until: Array | None = None,
    ) -> PoolFailures:
        """Parts of these ages (days) and groups, looked at so many days ahead.

        ``until``: days from now after which a position needs nothing more (its printer leaves).
        """
        grid: Array = np.arange(int(np.ceil(days / STEP_DAYS)) + 1, dtype=np.float64) * STEP_DAYS
        last = np.full(len(ages), np.inf) if until is None else np.asarray(until, dtype=np.float64)
        groups = []
        for name, life in nodes.items():
            mine = np.column_stack([ages, np.minimum(last, grid[-1])])[group == name]
            distinct, many = np.unique(mine, axis=0, return_counts=True)
            if len(distinct):
                groups.append(_Group.of(life, distinct[:, 0], distinct[:, 1], many, grid))
        return cls(grid, tuple(groups))

    @property
    def parts(self) -> int:
        """How many parts there are."""
        return int(sum(group.many.sum() for group in self.groups))

    def at_least(self, number: int, times: Array) -> Array:
        """The chance of so many failures or more by each time, from 1 on."""
        if self.parts <= SMALL_POOL:
            law = self._law(int(2 ** np.ceil(np.log2(max(number, 8)))))
            found = 1 - law[:number].sum(axis=0)
        else:
            found = self._at_least_normal(number)
        # Interpolation in a law that rises; rounding must not let it fall.
        return np.interp(times, self.grid, np.clip(np.maximum.accumulate(found), 0, 1))

    def _law(self, most: int) -> Array:
        """Chance of exactly 0 … most − 1 failures by each time of the grid: (most, T)."""
        if most not in self._laws:
            total = np.zeros((most, len(self.grid)))
            total[0] = 1.0
            for group in self.groups:
                total = _added(total, group.law(most))
            self._laws[most] = total
        return self._laws[most]

    @cached_property
    def _laws(self) -> dict[int, Array]:
        return {}

    def _at_least_normal(self, number: int) -> Array:
        from scipy.special import ndtr

        weight, mean, spread = self._moments
        return np.asarray(weight @ ndtr((mean - number + 0.5) / spread))

    @cached_property
    def _moments(self) -> tuple[Array, Array, Array]:
        """Weights of nodes, mean and standard deviation of the pool's failures by each time.

        The largest group keeps its nodes; the others come in with their averages.
        """
        moments = [group.moments for group in self.groups]
        first = int(np.argmax([group.many.sum() for group in self.groups]))
        mean, variance = moments[first]
        for i, (other_mean, other_variance) in enumerate(moments):
            if i != first:
                share = self.groups[i].weight
                middle = share @ other_mean
                mean = mean + middle
                variance = variance + share @ (other_variance + (other_mean - middle) ** 2)
        return self.groups[first].weight, mean, np.sqrt(np.maximum(variance, 1e-9))


@dataclass(frozen=True, eq=False)
class _Group:
    """Parts of one life. ``weight`` (n,) of its nodes; ``first`` (n, A, T): chance of a first
    failure at each age by each time, ``new`` (n, T) of a new part; ``many`` (A,) parts of each age;
    ``end`` (A, T): the place of each time in the grid, stopped where the position ends.
    """

    weight: Array
    first: Array
    new: Array
    many: NDArray[np.int64]
    end: NDArray[np.int64]

    @classmethod
    def of(
        cls, life: Nodes, ages: Array, until: Array, many: NDArray[np.int64], grid: Array
    ) -> _Group:
        points = np.concatenate([[0.0], ages])[:, None] + grid
        hazard = life.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
        failed = -np.expm1(hazard[:, :, :1] - hazard)
        last = np.searchsorted(grid, until, side="right") - 1
        end = np.minimum(np.arange(len(grid)), last[:, None])
        return cls(life.weight, failed[:, 1:], failed[:, 0], many, end)

    def law(self, most: int) -> Array:
        """Chance of exactly 0 … most − 1 failures, averaged over the nodes: (most, T)."""
        total = np.zeros((most, *self.new.shape))
        total[0] = 1.0
        for place, times in enumerate(self.many):
            own = self._counts(self.first[:, place])[:, :, self.end[place]]
            for _ in range(times):
                total = _added(total, own)
        return np.asarray(np.einsum("n,knt->kt", self.weight, total))

    def _counts(self, first: Array) -> Array:
        """Chance of exactly 0, 1, … failures of one position: (K + 1, n, T)."""
        reached = [np.ones_like(first), first]
        for _ in range(MOST_RENEWALS - 1):
            reached.append(_then(reached[-1], self._new_steps))
        reached.append(np.zeros_like(first))
        return -np.diff(np.stack(reached), axis=0)

    @cached_property
    def _new_steps(self) -> NDArray[np.complex128]:
        return np.asarray(np.fft.rfft(np.diff(self.new, axis=1, prepend=0.0), 2 * self._size))

    @property
    def _size(self) -> int:
        return self.new.shape[1]

    @cached_property
    def moments(self) -> tuple[Array, Array]:
        """Mean and variance of the number of failures by each time, per node: (n, T) each."""
        first = np.take_along_axis(self.first, self.end[None], axis=2)
        mean = reached = np.einsum("nat,a->nt", first, self.many)
        variance = np.einsum("nat,a->nt", first * (1 - first), self.many)
        for _ in range(MOST_RENEWALS - 1):
            reached = _then(reached, self._new_steps)
            mean = mean + reached
            variance = variance + reached
        return mean, variance


def _then(reached: Array, new_steps: NDArray[np.complex128]) -> Array:
    """The chance that the replacement has failed as well: its law after the first's, per node."""
    size = reached.shape[1]
    spectrum = np.fft.rfft(np.diff(reached, axis=1, prepend=0.0), 2 * size) * new_steps
    # Two failures in steps i and j fall about the end of step i + j − 1: of those counted one step
    # later half have come.
    both = np.cumsum(np.fft.irfft(spectrum, 2 * size)[:, : size + 1], axis=1)
    return np.asarray((both[:, :-1] + both[:, 1:]) / 2)


def _added(total: Array, own: Array) -> Array:
    """The law of a sum, cut at the first law's length; both have the count first."""
    summed = np.zeros_like(total)
    for k in range(min(len(own), len(total))):
        summed[k:] += own[k] * total[: len(total) - k]
    return summed
