"""How many pieces will be needed? The exact law, where parts of one kind share one life.

The check on the futures, and the answer where nothing but lives is known: no printer differs,
nothing takes a part along, nobody leaves. Positions share what is not known about the life, so the
law is computed per parameter node and averaged over the nodes last, never the other way round.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.language import _

_CELLS = 256  # of the horizon, on which renewals are convolved
_NEVER = 1e-7  # a chance left out
_MOST = 512  # renewals of one position told apart
_AT_ONCE = 4_000_000
_FEW = 100  # positions, or ages told apart
_SPREAD = 600  # equally likely nodes


class Nodes(Protocol):
    """Parameter values of a life with their weights."""

    @property
    def weight(self) -> Array:
        """Weight of every node, shape (n,), summing to 1."""

    def cumulative_hazard(self, age: Any) -> Array:
        """Cumulative hazard of every node at every age, shape (n, len(age))."""


class Posterior(Protocol):
    """A belief about a life: its parameter nodes."""

    def nodes(self) -> Any:
        """The parameter nodes with their weights."""


def demand(posterior: Posterior, ages: Array | Sequence[float], horizon: float) -> Array:
    """What is the chance that exactly k pieces are needed within the horizon?

    Args:
        posterior: what is believed about the life (anything with ``nodes()``; one that lays them
            finer, ``nodes(n_shape, n_rate)``, is asked to).
        ages: age of the part now fitted in each position, shape (A,), in the posterior's unit.
        horizon: length of time looked at, same unit; replacements that fail again count.

    Returns:
        Array whose [k] is the chance that exactly k are needed; it sums to 1.

    Raises:
        ModelError: impossible ages or horizon.

    Source: renewals convolved on a grid (Xie, 1989, Communications in Statistics – Simulation and
    Computation 18), the positions' generating functions multiplied on a Fourier grid.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([200, 350, 120], [1, 1, 0], belief=LifeBelief(300))
    >>> demand(life, ages=[250, 100], horizon=60)[:3].round(2)
    array([0.6 , 0.34, 0.05])
    """
    own, times = _told_apart(_checked(ages))
    if not 0 <= horizon < np.inf:
        raise ModelError(
            _(
                "horizon: {horizon} is no length of time; give a number of 0 or more.",
                horizon=horizon,
            )
        )
    if not len(own) or horizon == 0:
        return np.ones(1)
    nodes = _nodes(posterior, len(np.asarray(ages)))
    new = _renewed(nodes, horizon)
    total = np.zeros(1)
    few = max(1, _AT_ONCE // (len(own) * _CELLS))
    for low in range(0, len(nodes.weight), few):
        rows = slice(low, low + few)
        counts = _position_laws(nodes, rows, own, horizon, [level[rows] for level in new])
        law = _sum_law(counts, times, nodes.weight[rows])
        size = max(len(total), len(law))
        total = np.pad(total, (0, size - len(total))) + np.pad(law, (0, size - len(law)))
    kept = np.flatnonzero(total > 1e-9)
    total = total[: kept[-1] + 1]
    return np.asarray(total / total.sum())


def _nodes(posterior: Any, positions: int) -> Nodes:
    """A total over many positions is sharp given the parameters: few nodes would show as steps."""
    nodes: Nodes
    if not hasattr(posterior, "points"):
        nodes = posterior.nodes()
    elif positions <= _FEW:
        nodes = posterior.nodes(9, 28)
    else:
        nodes = posterior.points(_SPREAD)
    return nodes


def _told_apart(ages: Array) -> tuple[Array, Ints]:
    """Different ages and how many parts have each; in a large pool neighbours share their mean."""
    own, times = np.unique(ages, return_counts=True)
    if len(own) <= _FEW:
        return own, times
    bins = np.array_split(np.arange(len(own)), _FEW // 2)
    means = np.array([np.average(own[rows], weights=times[rows]) for rows in bins])
    return means, np.array([times[rows].sum() for rows in bins])


def _checked(ages: Array | Sequence[float]) -> Array:
    found = np.asarray(ages, dtype=np.float64).ravel()
    bad = ~(np.isfinite(found) & (found >= 0))
    if bad.any():
        raise ModelError(
            _("ages: {found} is not possible; give numbers of 0 or more.", found=found[bad][0])
        )
    return found


def _renewed(nodes: Nodes, horizon: float) -> list[Array]:
    """For k = 0, 1, …: the chance of k failures or more by each grid point, with a new part:
    (nodes, cells + 1), until it is negligible.
    """
    grid = np.linspace(0.0, horizon, _CELLS + 1)
    failed = -np.expm1(-nodes.cumulative_hazard(grid))
    falls = np.diff(failed, axis=1)
    reached = [np.ones_like(failed), failed]
    size = 2 * _CELLS
    falling = np.fft.rfft(falls, size)
    while nodes.weight @ reached[-1][:, -1] > _NEVER and len(reached) < _MOST:
        # A failure in a cell happens in its middle: the mean of both its ends is what is left.
        middle = (reached[-1][:, 1:] + reached[-1][:, :-1]) / 2
        later = np.fft.irfft(falling * np.fft.rfft(middle, size), size)[:, :_CELLS]
        reached.append(np.concatenate((np.zeros((len(failed), 1)), later), axis=1))
    return reached


def _position_laws(
    nodes: Nodes, rows: slice, ages: Array, horizon: float, new: list[Array]
) -> Array:
    """The chance of exactly k failures of a position, per node and age: (nodes, ages, k)."""
    grid = np.linspace(0.0, horizon, _CELLS + 1)
    gathered = nodes.cumulative_hazard((ages[:, None] + grid).ravel())[rows]
    gathered = gathered.reshape(-1, len(ages), _CELLS + 1)
    failed = -np.expm1(gathered[..., :1] - gathered)
    falls = np.diff(failed, axis=2)
    reached = [np.ones(failed.shape[:2])]
    for level in new:
        left = level[:, ::-1]  # what a new part has had by the end, fitted at each grid point
        middle = (left[:, 1:] + left[:, :-1]) / 2
        reached.append(np.einsum("nac,nc->na", falls, middle))
    at_least = np.stack([*reached, np.zeros_like(reached[0])], axis=2)
    return np.clip(-np.diff(at_least, axis=2), 0.0, 1.0)


def _sum_law(counts: Array, times: Ints, weight: Array) -> Array:
    """The law of the total of independent positions, averaged over the nodes."""
    k = np.arange(counts.shape[2])
    mean = (counts @ k) @ times
    spread = np.sqrt(np.maximum(counts @ k**2 - (counts @ k) ** 2, 0.0) @ times)
    size = int(2 ** np.ceil(np.log2(max(float((mean + 10 * spread).max()) + 8, 8))))
    turn = np.exp(-2j * np.pi * np.outer(k, np.arange(size // 2 + 1)) / size)
    law = np.zeros(size // 2 + 1, dtype=np.complex128)
    for node, share in enumerate(weight):
        law += share * np.prod((counts[node] @ turn) ** times[:, None], axis=0)
    return np.asarray(np.maximum(np.fft.irfft(law, size), 0.0))
