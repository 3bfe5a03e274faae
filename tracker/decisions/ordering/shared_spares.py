"""When does a part's failure find no spare, where several positions share the shelf?

The spares serve the failures in the order in which they come. A part that fails at time u stands
still when the others' failures by then have used up what was on the shelf or has arrived:
N(u) ≥ s(u). Parts share their unknown parameters, so this is computed per node. Others are counted
to their first failure, the part itself to its second; within half a year more is rare. Above
SMALL_POOL positions N is taken as normal with the mean and variance of its parts' sum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.demand.parameter_nodes import Nodes

Array = NDArray[np.float64]
Counts = NDArray[np.int64]

SMALL_POOL = 40  # positions up to which the others' failures are counted exactly


@dataclass(frozen=True, eq=False)
class _Ages:
    """Parts of one life at distinct ages: chance of a first failure by each time, per node."""

    weight: Array  # (n,)
    failed: Array  # (n, U, T)
    new: Array  # (n, T): a new part
    averaged: Array  # (U, T)


@dataclass(frozen=True, eq=False)
class SharedShelf:
    """Positions that share spares. ``group`` and ``row`` say for each position whose life it has
    and which of that life's distinct ages."""

    times: Array
    lives: Mapping[str, _Ages]
    group: NDArray[np.object_]
    row: Counts

    @classmethod
    def of_groups(
        cls, nodes: Mapping[str, Nodes], group: NDArray[np.object_], ages: Array, times: Array
    ) -> SharedShelf:
        """Positions with parts of these ages (days) and lives, looked at on these times."""
        lives: dict[str, _Ages] = {}
        row = np.zeros(len(ages), dtype=np.int64)
        for name, life in nodes.items():
            mine = group == name
            distinct, row[mine] = np.unique(ages[mine], return_inverse=True)
            table = np.concatenate([[0.0], distinct])
            points = table[:, None] + times
            hazard = life.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
            start = life.cumulative_hazard(table)[:, :, None]
            failed = -np.expm1(start - hazard)
            averaged = np.einsum("n,nut->ut", life.weight, failed[:, 1:])
            lives[name] = _Ages(life.weight, failed[:, 1:], failed[:, 0], averaged)
        return cls(times, lives, group, row)

    def failed_by(self, days: float) -> Array:
        """Chance that each position's part fails within so many days, spares or not."""
        averaged = np.stack(
            [self.lives[g].averaged[r] for g, r in zip(self.group, self.row, strict=True)]
        )
        return np.array([np.interp(days, self.times, one) for one in averaged])

    def unserved_by(self, position: int, supply: Counts) -> Array:
        """The chance that this position failed and found no spare, by each time: (T,).

        ``supply`` (T,) is how many spares have come in by each time, the shelf's own included.
        """
        life = self.lives[self.group[position]]
        own = life.failed[:, self.row[position]]
        if not supply.any():
            return life.averaged[self.row[position]]
        if len(self.group) > SMALL_POOL:
            return np.asarray(life.weight @ _stieltjes(self._used_up(position, supply), own))
        most = int(supply.max())
        others = self._others(position, most)  # chance of exactly 0 … most − 1 others by then
        used_up = np.where(supply > 0, 1 - _row(np.cumsum(others, axis=0), supply - 1), 1.0)
        # Served once, the part stands at its second failure if just the last spare is gone then.
        just = np.where(supply > 0, _row(others, supply - 1), 0.0)
        unserved = _stieltjes(used_up, own)
        unserved += _stieltjes(just, _second(own, life.new, self.times))
        return np.asarray(life.weight @ np.minimum(unserved, own))

    def _others(self, position: int, most: int) -> Array:
        """Chance that exactly 0 … most − 1 of the other positions failed: (most, n, T)."""
        name = self.group[position]
        law = np.zeros((most, *self.lives[name].new.shape))
        law[0] = 1.0
        for j in np.flatnonzero(np.arange(len(self.group)) != position):
            other = self.lives[self.group[j]]
            # Another life's parameters are independent of this one's: its average will do.
            same = self.group[j] == name
            chance = other.failed[:, self.row[j]] if same else other.averaged[self.row[j]][None]
            for k in range(most - 1, 0, -1):
                law[k] += chance * (law[k - 1] - law[k])
            law[0] *= 1 - chance
        return law

    def _used_up(self, position: int, supply: Counts) -> Array:
        """Chance that a large pool has used up the supply by each time: (n, T)."""
        from scipy.special import ndtr

        name = self.group[position]
        mean, variance = np.zeros((2, *self.lives[name].new.shape))
        for group, life in self.lives.items():
            times = np.bincount(self.row[self.group == group], minlength=life.failed.shape[1])
            chance = life.failed if group == name else life.averaged[None]
            mean = mean + np.einsum("nut,u->nt", chance, times)
            variance = variance + np.einsum("nut,u->nt", chance * (1 - chance), times)
        used = ndtr((mean - supply + 0.5) / np.sqrt(np.maximum(variance, 1e-9)))
        return np.asarray(np.where(supply > 0, used, 1.0))


def supply_by(times: Array, on_shelf: int, arrivals: Sequence[tuple[float, int]]) -> Counts:
    """Spares that have come in by each time: the shelf's, and each arrival (days, pieces)."""
    supply = np.full(len(times), on_shelf, dtype=np.int64)
    for day, pieces in arrivals:
        supply[times >= day] += pieces
    return supply


def _row(law: Array, which: Counts) -> Array:
    """law[which[t], :, t] as (n, T)."""
    return np.asarray(law[np.maximum(which, 0), :, np.arange(law.shape[2])].T)


def _stieltjes(weight: Array, failed: Array) -> Array:
    """∫₀ᵗ weight dF at every time, per node."""
    steps = np.diff(failed, axis=1) * (weight[:, 1:] + weight[:, :-1]) / 2
    return np.concatenate([np.zeros((len(steps), 1)), np.cumsum(steps, axis=1)], axis=1)


def _second(own: Array, new: Array, times: Array) -> Array:
    """Chance of a second failure by each time, on the even steps of the grid; flat after them."""
    step = times[1] - times[0]
    even = int(np.sum(np.isclose(np.diff(times), step))) + 1
    size = 2 * even
    mass = np.diff(own[:, :even], axis=1, prepend=0.0)
    spectrum = np.fft.rfft(mass, size) * np.fft.rfft(new[:, :even], size)
    second = np.zeros_like(own)
    second[:, :even] = np.fft.irfft(spectrum, size)[:, :even]
    second[:, even:] = second[:, even - 1 : even]
    return second
