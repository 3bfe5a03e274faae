"""The parameter nodes decisions compute on: as few as the question needs, evenly enough spread.

A total over many positions is sharp given the parameters, so few nodes would show as steps in
its law; one position needs only the average right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.nodes import LifeNodes, PowerHazard

ONE = (5, 8)  # shapes and rates per shape: one position
FEW = (7, 12)  # need of some pieces, total variation under 0.005
MORE = (9, 28)  # need of tens of pieces
FEW_ARE_ENOUGH = 6.0  # expected pieces up to which FEW nodes do
UNLIKE = 1.0  # variance over mean of the nodes' needs up to which they do
MANY_POSITIONS = 200
SPREAD = 256
MOST_NODES = 600


class Nodes(Protocol):
    """Parameter values of a life with their weights; see ``tracker.models.life_model.nodes``."""

    @property
    def weight(self) -> Array:
        """Weight of every node, shape (n,), summing to 1."""

    def cumulative_hazard(self, age: Any) -> Array:
        """Cumulative hazard of every node at every age, shape (n, len(age))."""


class Posterior(Protocol):
    """What decisions need of a belief about lives: its parameter nodes."""

    def nodes(self) -> Any:
        """The parameter nodes with their weights."""


class NodeSource:
    """A posterior's nodes, laid as finely as asked for and each set laid once.

    Any posterior with ``nodes()`` will do; one that can lay them finer (``nodes(n_shape,
    n_rate)`` and ``points(size)``, as the posteriors of ``tracker.models`` can) is asked to.
    """

    def __init__(self, posterior: Any) -> None:
        self.posterior = posterior
        self.can_spread = hasattr(posterior, "points")
        self._laid: dict[object, Nodes] = {}

    def for_total(self, ages: Array, horizon: float) -> Nodes:
        """Nodes fine enough for the total need of positions of these ages in the horizon."""
        if not self.can_spread:
            return self._once("plain", self.posterior.nodes)
        if len(ages) > MANY_POSITIONS:
            return self.spread(SPREAD)
        expected = np.sum(self.posterior.chance_of_failure(ages, horizon))
        if expected <= FEW_ARE_ENOUGH:
            nodes = self._of_size(FEW)
            if _unlike(nodes, ages, horizon) <= UNLIKE:
                return nodes
        nodes = self._of_size(MORE)
        return nodes if len(nodes.weight) <= MOST_NODES else self.spread(SPREAD)

    def _of_size(self, size: tuple[int, int]) -> Nodes:
        return self._once(size, lambda: self.posterior.nodes(*size))

    def spread(self, size: int) -> Nodes:
        """So many equally likely nodes, evenly spread."""
        return self._once(size, lambda: self.posterior.points(size))

    def _once(self, key: object, lay: Callable[[], Any]) -> Nodes:
        if key not in self._laid:
            self._laid[key] = lay()
        return self._laid[key]


def _unlike(nodes: Nodes, ages: Array, horizon: float) -> float:
    """How far the nodes' expected needs lie apart: their variance over their mean.

    Where it is large the law of the total is that of the parameters, and few nodes would show.
    """
    gained = nodes.cumulative_hazard(ages + horizon) - nodes.cumulative_hazard(ages)
    need = -np.expm1(-gained).sum(axis=1)
    mean = float(nodes.weight @ need)
    return float(nodes.weight @ (need - mean) ** 2) / max(mean, 1e-12)


def nodes_for_one(posterior: Any) -> Nodes:
    """Nodes whose average is right for one position: survival to about 1e-4, and few of them."""
    nodes: Nodes = posterior.nodes(*ONE) if hasattr(posterior, "points") else posterior.nodes()
    return nodes


def source_of(posterior: Posterior | NodeSource) -> NodeSource:
    """The posterior as a source of nodes; a source is kept, so that its nodes are laid once."""
    return posterior if isinstance(posterior, NodeSource) else NodeSource(posterior)


@dataclass(frozen=True, eq=False)
class _Taken:
    source: Nodes
    rows: Ints
    weight: Array

    def cumulative_hazard(self, age: Array) -> Array:
        return self.source.cumulative_hazard(age)[self.rows]


def nodes_taken(nodes: Nodes, rows: Ints, weight: Array | None = None) -> Nodes:
    """Some of the nodes; ``weight`` replaces their weights (kept as they are when None)."""
    kept = nodes.weight[rows] if weight is None else weight
    if isinstance(nodes, LifeNodes):
        causes = tuple(PowerHazard(c.rate[rows], c.shape[rows], c.unit) for c in nodes.causes)
        return LifeNodes(kept, causes)
    return _Taken(nodes, rows, kept)


def strata(weight: Array, statistic: Array, number: int) -> list[Ints]:
    """Nodes in order of the statistic, cut into strata that are narrower toward both tails."""
    order = np.argsort(statistic, kind="stable")
    edges = np.sin(np.pi / 2 * np.arange(1, number) / number) ** 2
    cuts = np.searchsorted(np.cumsum(weight[order]), edges)
    return [stratum for stratum in np.split(order, cuts) if stratum.size]
