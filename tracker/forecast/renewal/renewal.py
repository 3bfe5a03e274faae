"""How often one position needs a new part in a horizon, for a replacement can fail too.

The part now fitted has an age and fails by its remaining life; every part after it starts at age
zero. Both are convolved on a grid of equal cells per parameter node, whole arrays at once (see
``renewal_grid``). The error falls with the square of the cell, so the grid and every second point
of it give an error estimate and a better value (Richardson), and the grid is refined until the
estimate is below the tolerance.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.renewal.grid import (
    cell_masses,
    checked_ages,
    checked_horizon,
    checked_plan,
    ended_by,
    exactly,
    failed_by,
    reached_by_new,
)
from tracker.forecast.renewal.parameter_nodes import Nodes, nodes_taken

FIRST_CELLS = 8
MOST_CELLS = 1024
LEFT = 0.4  # of the estimated error, at most, once Richardson's step is taken (shapes 0.6 to 5)
TRIED = 5  # ages on which the grid is tried
LIGHT = 1e-3  # weight of nodes below which they share the grid of others


def renewal_counts(
    nodes: Nodes,
    ages: Array,
    horizon: float,
    *,
    planned_age: float | None = None,
    tolerance: float = 2e-5,
) -> Array:
    """What is the chance that a position with a part of this age needs exactly k new ones?

    Args:
        nodes: parameter nodes of the life (weights and cumulative hazards).
        ages: age of the part now in each position, in days (or any unit of the nodes), shape (A,).
        horizon: length of the time looked at, same unit, 0 or more.
        planned_age: age at which a working part is changed by plan and counts as needed; whole
            days, so ages and the plan are rounded to the day. None: only failures.
        tolerance: error allowed in any chance after averaging over the nodes.

    Returns:
        Shape (n, A, K + 1): [i, j, k] = chance of exactly k under node i for age j. Chances
        beyond K are below 1e-6 on average and added to K.

    Raises:
        ModelError: a negative or non-finite age, horizon or planned age.

    Source: Xie (1989), "On the solution of renewal-type integral equations", Communications in
    Statistics – Simulation and Computation 18.
    """
    ages = checked_ages(ages)
    horizon = checked_horizon(horizon)
    if planned_age is not None:
        return exactly(_planned(nodes, ages, horizon, planned_age))
    if horizon == 0:
        return np.ones((len(nodes.weight), len(ages), 1))
    parts = _alike(nodes, horizon)
    found = [_at_horizon(nodes_taken(nodes, rows), ages, horizon, tolerance) for rows in parts]
    if len(parts) == 1:
        return found[0]
    chances = np.zeros((len(nodes.weight), len(ages), max(c.shape[-1] for c in found)))
    for rows, some in zip(parts, found, strict=True):
        chances[rows, :, : some.shape[-1]] = some
    return chances


def _alike(nodes: Nodes, horizon: float) -> list[NDArray[np.int64]]:
    """Nodes with about as many renewals in the horizon, so that each gets the grid it needs.

    Light ones are put together: what they need is reached by fewer nodes of more renewals.
    """
    hazard = nodes.cumulative_hazard(np.array([horizon]))[:, 0]
    level = np.clip(np.ceil(np.log2(np.maximum(hazard, 1e-9))), 0, 12).astype(int)
    weight = np.bincount(level, nodes.weight)
    groups: list[NDArray[np.int64]] = []
    gathered, upper = 0.0, len(weight)
    for lowest in range(len(weight) - 1, -1, -1):
        gathered += weight[lowest]
        if gathered >= LIGHT or lowest == 0:
            groups.append(np.flatnonzero((level >= lowest) & (level < upper)))
            gathered, upper = 0.0, lowest
    return [rows for rows in groups if rows.size]


def _at_horizon(nodes: Nodes, ages: Array, horizon: float, tolerance: float) -> Array:
    """Chance of exactly k renewals (n, A, K), on a grid fine enough for the tolerance.

    The later renewals are linear in the survival of the part now fitted, so the fine grid, every
    second point of it and Richardson's step are one matrix product for each node. How fine the
    grid has to be is tried on a few of the ages.
    """
    few = np.quantile(ages, np.linspace(0, 1, TRIED)) if len(ages) > TRIED else ages
    cells = FIRST_CELLS
    while True:
        fine, step = _readings(nodes, horizon, cells)
        difference = np.abs(_survival(nodes, few, horizon, cells) @ step)
        error = LEFT / 3 * float(np.max(np.tensordot(nodes.weight, difference, 1), initial=0))
        if error <= tolerance or cells >= MOST_CELLS:
            break
        # The error falls with the square of the cell: go straight to the grid that is enough.
        steps = np.ceil(np.log2(error / tolerance) / 2)
        cells = min(MOST_CELLS, cells * int(2 ** max(1, min(steps, 4))))
    chances = _survival(nodes, ages, horizon, cells) @ (fine + step / 3)
    return np.asarray(np.clip(chances, 0, 1, out=chances))


def _survival(nodes: Nodes, ages: Array, horizon: float, cells: int) -> Array:
    points = ages[:, None] + horizon / cells * np.arange(cells + 1)
    hazard = nodes.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
    gained = np.subtract(hazard[..., :1], hazard)
    return np.asarray(np.exp(gained, out=gained))


def _readings(nodes: Nodes, horizon: float, cells: int) -> tuple[Array, Array]:
    """Weights (n, cells + 1, K) that read the chance of exactly 0, 1, … renewals at the horizon
    off a part's survival, and how they differ from those on every second point of the grid."""
    new = failed_by(nodes, np.zeros(1), horizon / cells, cells)[:, 0]
    fine = _weights(reached_by_new(new, cell_masses(new), nodes.weight))
    half = new[:, ::2]
    coarse = _weights(reached_by_new(half, cell_masses(half), nodes.weight))
    kinds = min(fine.shape[-1], coarse.shape[-1])
    step = np.zeros_like(fine)
    step[..., :kinds] = fine[..., :kinds]
    step[:, ::2, :kinds] -= coarse[..., :kinds]
    return fine, step


def _weights(reached: Array) -> Array:
    """∫ R(T − t) dF(t) by the trapezoid sum, summed by parts: weights of the survival 1 − F."""
    following = np.moveaxis(reached[..., ::-1], 0, -1)  # R(T − t), at least 0, 1, …
    middle = (following[:, 1:] + following[:, :-1]) / 2
    at_least = np.diff(middle, axis=1, prepend=0.0, append=0.0)
    exact = np.zeros((*at_least.shape[:2], at_least.shape[2] + 1))
    exact[:, 0, 0] = 1.0  # at least none, for certain: the survival begins at 1
    exact[..., 1:] = at_least
    exact[..., :-1] -= at_least
    return exact


def _planned(nodes: Nodes, ages: Array, horizon: float, planned_age: float) -> Array:
    """At least k renewals where a part is changed by plan at ``planned_age``: (n, A, K).

    The grid is whole days, so that a planned change falls on a grid point; its mass is not split.
    """
    due = float(max(1, round(checked_plan(planned_age))))
    cells = int(np.floor(horizon))
    reached = reached_by_new(*ended_by(nodes, np.zeros(1), 1.0, cells, due), nodes.weight)
    ended, masses = ended_by(nodes, np.round(ages), 1.0, cells, due)
    later = masses @ np.moveaxis(reached[1:, :, ::-1], 0, -1)
    return np.concatenate([np.ones_like(later[..., :1]), ended[..., -1:], later], axis=-1)
