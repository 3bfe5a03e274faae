"""How many parts of a pool will have failed by each coming day?

The spare ordered next serves the next failure in the pool that no earlier spare serves, whichever
part that is: with s spares there or coming, the (s + 1)-th. Under first come, first served each
spare belongs to one failure, so each order can be timed by itself (unit by unit: Axsäter, 1990,
Operations Research 38). Parts share their unknown parameters, so failures are counted per node,
replacements that fail again included, and averaged last. Above SMALL_POOL parts the count is taken
as binomial with the mean and variance of the renewals (negative binomial where the variance is the
larger one). A normal law of the same moments is wrong in the tails, which is where the order dates
of a small risk come from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.positions.age_table import AgeTable, PositionAges
from tracker.forecast.renewal.parameter_nodes import Nodes

SMALL_POOL = 16
STEP_DAYS = 2.0
_ALIKE = 1e-6  # share of the mean by which the variance may differ and the count is still Poisson
_SURE = 10.0  # a chance below exp(−this) is taken as none
_NOTHING = 1e-12  # a mean that is rounding
MOST_RENEWALS = 6  # failures in one position that are told apart


@dataclass(frozen=True, eq=False)
class FailureCounts:
    """The chance that a pool has had at least so many failures by each time.

    ``groups`` of parts have a life of their own each (head types) and are independent; times are
    days from now, on the even ``grid``.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([], [], belief=LifeBelief(365, worth_failures=50, shape=3))
    >>> pool = FailureCounts.of(
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
        ages: Array | PositionAges,
        days: float,
        *,
        until: Array | None = None,
    ) -> FailureCounts:
        """Parts of these ages (days) and groups, looked at so many days ahead.

        ``until``: days from now after which a position needs nothing more (its printer leaves).
        """
        grid: Array = np.arange(int(np.ceil(days / STEP_DAYS)) + 1, dtype=np.float64) * STEP_DAYS
        last = np.full(len(ages), np.inf) if until is None else np.asarray(until, dtype=np.float64)
        groups = []
        for name, life in nodes.items():
            mine = np.flatnonzero(group == name)
            if len(mine):
                table = PositionAges.of(ages)[mine].table()
                ends = np.minimum(last[mine], grid[-1])
                groups.append(_Group.of(life, table, ends, grid))
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
            found = self._at_least_fitted(number)
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

    def _at_least_fitted(self, number: int) -> Array:
        weight, mean, variance = self._moments
        return np.asarray(weight @ at_least_fitted(number, mean, variance))

    @cached_property
    def _moments(self) -> tuple[Array, Array, Array]:
        """Weights of nodes, mean and variance of the pool's failures by each time.

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
        return self.groups[first].weight, mean, variance


@dataclass(frozen=True, eq=False)
class _Group:
    """Parts of one life, those alike together. ``weight`` (n,) of its nodes; ``first`` (n, A, T):
    chance of a first failure by each time, ``new`` (n, T) of a new part; ``many`` (A,) parts of
    each sort; ``end`` (A, T): the step of each time in the grid, stopped where the position ends.
    """

    weight: Array
    first: Array
    new: Array
    many: NDArray[np.int64]
    end: NDArray[np.int64]

    @classmethod
    def of(cls, life: Nodes, table: AgeTable, until: Array, grid: Array) -> _Group:
        """Positions with the ages of the table, each needing nothing after ``until``."""
        alike, many = np.unique(np.column_stack([table.row_of, until]), axis=0, return_counts=True)
        points = np.concatenate([[0.0], table.ages])[:, None] + grid
        hazard = life.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
        failed = -np.expm1(hazard[:, :, :1] - hazard)
        first = table.rows(failed[:, 1:], 1)[:, alike[:, 0].astype(np.int64)]
        last = np.searchsorted(grid, alike[:, 1], side="right") - 1
        end = np.minimum(np.arange(len(grid)), last[:, None])
        return cls(life.weight, first, failed[:, 0], many, end)

    def law(self, most: int) -> Array:
        """Chance of exactly 0 … most − 1 failures, averaged over the nodes: (most, T)."""
        total = np.zeros((most, *self.new.shape))
        total[0] = 1.0
        for sort, times in enumerate(self.many):
            own = self._counts(self.first[:, sort])[:, :, self.end[sort]]
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
        """Mean and variance of the number of failures by each time, per node: (n, T) each.

        With R_k the chance of a k-th failure, a position's count has the mean m = Σ R_k and the
        variance Σ (2k − 1)·R_k − m². Failures after the first are shared out to the positions as
        the first ones, so that they are followed together and not age by age.
        """
        first = np.take_along_axis(self.first, self.end[None], axis=2)
        mean = square = once = reached = np.einsum("nat,a->nt", first, self.many)
        for k in range(2, MOST_RENEWALS + 1):
            reached = _then(reached, self._new_steps)
            mean = mean + reached
            square = square + (2 * k - 1) * reached
        with np.errstate(divide="ignore", invalid="ignore"):
            times = np.where(once > _NOTHING, mean / once, 1.0)
        squared = np.einsum("nat,nat,a->nt", first, first, self.many)
        return mean, square - times**2 * squared


def at_least_fitted(number: int, mean: Array, variance: Array) -> Array:
    """The chance of so many or more, from 1 on, for a count of this mean and variance.

    Binomial with chance p = 1 − variance/mean of each of mean/p trials, their number not whole:
    I(p; number, trials − number + 1), I the regularised incomplete beta function; beyond the last
    trial 0. Poisson where variance and mean are alike, negative binomial where it is larger.

    >>> at_least_fitted(2, np.array([1.0, 1.0, 1.0]), np.array([0.9, 1.0, 1.5])).round(4)
    array([0.2639, 0.2642, 0.2593])
    """
    from scipy.special import betainc, gammainc

    found = np.zeros(mean.shape)
    mean, variance = np.maximum(mean, 0), np.maximum(variance, 0)  # rounding falls below
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(mean > _NOTHING, 1 - variance / mean, 0.0)
        trials = mean / share
    # Most times lie far from the number-th failure: there Bernstein's bound (1924) settles it.
    ahead = mean - number
    open_ = ahead**2 <= 2 * _SURE * (variance + np.abs(ahead) / 3)
    found[~open_ & (ahead > 0)] = 1.0
    more = share < -_ALIKE
    less = open_ & (share > _ALIKE) & (trials > number - 1)
    alike = open_ & (np.abs(share) <= _ALIKE)
    found[alike] = gammainc(number, mean[alike])
    found[less] = betainc(number, trials[less] - number + 1, share[less])
    found[more] = betainc(number, -trials[more], (share / (share - 1))[more])
    return found


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
