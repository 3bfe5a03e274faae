"""Rows of changing exposure as few cells that give the same Weibull likelihood.

The likelihood needs, per cluster, E(β, b) = Σ rows (stop^β − start^β)·exp(b·x). Rows of one
cluster with nearly the same exposures form a cell, and log E of a cell is held as

    A(β) + (b − b₀)·m + ½ (b − b₀)ᵀ S (b − b₀) + (log β − log β₀)(b − b₀)·c

A(β) exact at the nodes of a polynomial in log β, m and S the weighted mean and spread of the
exposures in the cell, c how m moves with log β: the cumulants of the cell at (β₀, b₀), right to
second order. Cells are a quarter of a standard deviation wide, or wider so that they stay few; the
exposures of one cell are then not quite alike, and ``summary_error`` of the fit says what of that
reaches the density.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Bools, Ints

_N_NODES = 18
_FINEST_STEP = 0.25  # standard deviations of an exposure
_MOST_TABLE_ENTRIES = 30_000_000
_SHIFT = 0.02  # of log β, for the slope of the mean exposure


_ANGLES = np.pi * (2 * np.arange(_N_NODES) + 1) / (2 * _N_NODES)
_NODES: Array = np.cos(_ANGLES)  # Chebyshev's, on −1 … 1
_BARYCENTRIC: Array = np.where(np.arange(_N_NODES) % 2, -1.0, 1.0) * np.sin(_ANGLES)


def interpolation(place: Array) -> Array:
    """Weights (points, nodes) that turn values at the nodes into values at −1 ≤ place ≤ 1.

    Barycentric form on Chebyshev's nodes (Berrut & Trefethen 2004, SIAM Review 46:501).
    """
    gap = place[:, None] - _NODES
    on_node = np.abs(gap) < 1e-13
    gap[on_node] = 1.0
    weight: Array = _BARYCENTRIC / gap
    weight /= weight.sum(axis=1, keepdims=True)
    hit = on_node.any(axis=1)
    weight[hit] = on_node[hit]
    return weight


@dataclass(frozen=True)
class HazardRows:
    """Rows ready for any shape: ages in ``unit`` as codes into ``ages``, exposures centred."""

    start: Ints
    stop: Ints
    ages: Array  # distinct ages over unit
    exposure: Array  # (p, rows)
    cluster: Ints
    n_clusters: int

    def widths(self, log_shape: float) -> Array:
        """stop^β − start^β per row."""
        power = self.ages ** np.exp(log_shape)
        return power[self.stop] - power[self.start]

    def exposure_sums(self, log_shape: float, effects: Array) -> Array:
        """E(β, b) per cluster, exact: one pass over the rows."""
        weight = self.widths(log_shape) * np.exp(effects @ self.exposure)
        sums = np.bincount(self.cluster, weight, minlength=self.n_clusters).astype(np.float64)
        return sums


@dataclass(frozen=True)
class HazardCells:
    """Cells sorted by cluster; see the module's text. ``features`` (cells, k) fit ``_moves``.

    They serve log shapes within ``reach`` of ``log_shape``.
    """

    features: Array
    cluster_start: Ints
    log_shape: float
    effects: Array
    reach: float

    def covers(self, log_shape: Array) -> Bools:
        """Which log shapes these cells can speak for."""
        return np.abs(log_shape - self.log_shape) <= self.reach

    def place(self, log_shape: Array) -> Array:
        """Where between −1 and 1 these log shapes lie among the nodes; the edge beyond reach."""
        return np.clip(log_shape - self.log_shape, -self.reach, self.reach) / self.reach

    def log_totals(self) -> Array:
        """log Σ E over all cells at the nodes of the shape, at the effects expanded about."""
        at_nodes = self.features[:, :_N_NODES]
        highest = at_nodes.max(axis=0)
        totals: Array = highest + np.log(np.exp(at_nodes - highest).sum(axis=0))
        return totals

    @property
    def n_cells(self) -> int:
        """How many cells stand for all rows."""
        return len(self.features)

    def exposure_sums(self, log_shape: Array, effects: Array) -> Array:
        """E(β, b) per cluster for many (β, b) at once; (draws,), (draws, p) → (draws, clusters).

        Shapes out of reach are taken at the edge; see ``covers``.
        """
        place = self.place(log_shape)
        gap = self.reach * place
        block = max(1, 1_500_000 // self.n_cells)
        sums = np.empty((len(log_shape), len(self.cluster_start)))
        for begin in range(0, len(log_shape), block):
            part = slice(begin, begin + block)
            moves = np.hstack(
                [
                    interpolation(place[part]),
                    _moves(gap[part], effects[part] - self.effects),
                ]
            )
            log_sums = moves @ self.features.T
            np.exp(log_sums, out=log_sums)
            sums[part] = np.add.reduceat(log_sums, self.cluster_start, axis=1)
        return sums


def _moves(log_shape: Array, effects: Array) -> Array:
    """The factors beside m, S and c: b, b_j·b_k (halved on the diagonal), log β·b."""
    p = effects.shape[1]
    first, second = np.triu_indices(p)
    products = effects[:, first] * effects[:, second] * np.where(first == second, 0.5, 1.0)
    return np.hstack([effects, products, log_shape[:, None] * effects])


def hazard_rows(
    start: Array, stop: Array, exposure: Array, cluster: Ints, n_clusters: int, unit: float
) -> HazardRows:
    """Rows with their ages as codes; ``exposure`` is (p, rows) and already centred."""
    whole_start, whole_stop = start.astype(np.int64), stop.astype(np.int64)
    if np.array_equal(whole_stop, stop) and np.array_equal(whole_start, start):
        ages = np.arange(int(whole_stop.max()) + 1, dtype=np.float64)
    else:
        ages, codes = np.unique(np.concatenate([start, stop]), return_inverse=True)
        whole_start, whole_stop = codes[: len(start)], codes[len(start) :]
    return HazardRows(whole_start, whole_stop, ages / unit, exposure, cluster, n_clusters)


def hazard_cells(
    rows: HazardRows,
    grouping: Grouping,
    log_shape: float,
    effects: Array,
    reach: float = 1.5,
) -> HazardCells:
    """The cells of a grouping, expanded at (log_shape, effects)."""
    nodes = log_shape + reach * _NODES
    cell, cell_cluster = grouping.cell, grouping.cluster
    n_cells = len(cell_cluster)
    tilt = np.exp(effects @ rows.exposure) if effects.any() else np.ones(len(cell))
    by_node = _sums_at_nodes(rows, cell, n_cells, tilt, nodes)
    weight = tilt * rows.widths(log_shape)
    mean, total = _means(cell, n_cells, weight, rows.exposure)
    shifted, _ = _means(cell, n_cells, tilt * rows.widths(log_shape + _SHIFT), rows.exposure)
    p = len(rows.exposure)
    first, second = np.triu_indices(p)
    spread = np.empty((len(first), n_cells))
    for line, (j, k) in enumerate(zip(first, second, strict=True)):
        product = np.bincount(cell, weight * rows.exposure[j] * rows.exposure[k], minlength=n_cells)
        spread[line] = product / total - mean[j] * mean[k]
    spread[np.abs(spread) < 1e-10] = 0.0
    features = np.vstack([np.log(by_node), mean, spread, (shifted - mean) / _SHIFT])
    cluster_start = np.flatnonzero(np.diff(cell_cluster, prepend=-1))
    return HazardCells(np.ascontiguousarray(features.T), cluster_start, log_shape, effects, reach)


def _means(cell: Ints, n_cells: int, weight: Array, exposure: Array) -> tuple[Array, Array]:
    total = np.bincount(cell, weight, minlength=n_cells).astype(np.float64)
    mean: Array = np.array(
        [np.bincount(cell, weight * x, minlength=n_cells) / total for x in exposure]
    )
    return mean.reshape(len(exposure), n_cells), total


@dataclass(frozen=True)
class Grouping:
    """Which cell each row is in, and the cluster of each cell, sorted."""

    cell: Ints
    cluster: Ints


def group_rows(rows: HazardRows, most_cells: int) -> Grouping:
    """Rows of a cluster with nearly the same exposures together, coarser until few enough."""
    spread = rows.exposure.std(axis=1)
    step = np.where(spread > 0, spread, 1.0) * _FINEST_STEP
    low = rows.exposure.min(axis=1, initial=0.0)
    while True:
        key = rows.cluster.copy()
        size = rows.n_clusters
        for line, begin, width in zip(rows.exposure, low, step, strict=True):
            level = ((line - begin) / width).astype(np.int64)
            levels = int(level.max(initial=0)) + 1
            key *= levels
            key += level
            size *= levels
        cell, keys = _codes(key, size)
        if len(keys) <= most_cells or size == rows.n_clusters:
            per_cluster = size // rows.n_clusters
            return Grouping(cell, keys // per_cluster)
        step = step * (1.5 if len(keys) < 4 * most_cells else 3.0)


def _codes(key: Ints, size: int) -> tuple[Ints, Ints]:
    """0-based codes of the keys that occur, in the order of the keys; and those keys."""
    if size <= 20_000_000:
        occurs = np.zeros(size, dtype=bool)
        occurs[key] = True
        keys = np.flatnonzero(occurs)
        codes = np.empty(size, dtype=np.int64)
        codes[keys] = np.arange(len(keys))
        return codes[key], keys
    keys, cell = np.unique(key, return_inverse=True)
    return cell, keys


def _sums_at_nodes(rows: HazardRows, cell: Ints, n_cells: int, tilt: Array, nodes: Array) -> Array:
    """Σ (stop^β − start^β)·tilt per cell at every node of β; (nodes, cells)."""
    n_ages = len(rows.ages)
    if n_cells * n_ages <= _MOST_TABLE_ENTRIES:
        size = n_cells * n_ages
        table = np.bincount(cell * n_ages + rows.stop, tilt, minlength=size)
        table -= np.bincount(cell * n_ages + rows.start, tilt, minlength=size)
        powers = rows.ages[:, None] ** np.exp(nodes)
        sums: Array = (table.reshape(n_cells, n_ages) @ powers).T
        return sums
    return np.array([np.bincount(cell, rows.widths(u) * tilt, minlength=n_cells) for u in nodes])
