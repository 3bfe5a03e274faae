"""Chances of renewal on a grid of equal cells: what counts and paths of renewals are made of.

The mass of a cell is split between its two ends, the trapezoid form of Xie's (1989)
Riemann–Stieltjes sum.
"""

from __future__ import annotations

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.forecast.renewal.parameter_nodes import Nodes

NEGLIGIBLE = 1e-6
MOST_RENEWALS = 2000


def checked_ages(ages: Array) -> Array:
    """The ages as float64; ModelError at the first one that no part can have."""
    ages = np.atleast_1d(np.asarray(ages, dtype=np.float64))
    bad = np.flatnonzero(~np.isfinite(ages) | (ages < 0))
    if bad.size:
        raise ModelError(
            f"ages, position {bad[0]}: {ages[bad[0]]} is no age; give days of 0 or more."
        )
    return ages


def checked_horizon(horizon: float) -> float:
    """The horizon as a float; ModelError when negative or not finite."""
    if not np.isfinite(horizon) or horizon < 0:
        raise ModelError(f"horizon: {horizon} is no length of time; give days of 0 or more.")
    return float(horizon)


def checked_plan(planned_age: float) -> float:
    """The age of a planned change; ModelError where it is none."""
    if not np.isfinite(planned_age) or planned_age <= 0:
        raise ModelError(f"planned age: {planned_age} is no age; give days above 0.")
    return float(planned_age)


def failed_by(nodes: Nodes, ages: Array, step: float, cells: int) -> Array:
    """Chance that a part of each age fails within 0, 1, …, cells steps: (n, A, cells + 1)."""
    points = ages[:, None] + step * np.arange(cells + 1)
    hazard = nodes.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
    return -np.expm1(hazard[..., :1] - hazard)


def cell_masses(failed: Array) -> Array:
    """The mass of every cell, half to each of its ends; ``failed`` (…, cells + 1) rises from 0."""
    half = np.diff(failed, axis=-1) / 2
    masses = np.zeros_like(failed)
    masses[..., :-1] += half
    masses[..., 1:] += half
    return masses


def ended_by(
    nodes: Nodes, ages: Array, step: float, cells: int, planned_age: float | None
) -> tuple[Array, Array]:
    """Chance that a part of each age has failed or been changed by each grid point, and the mass
    on each: (n, A, cells + 1) both."""
    failed = failed_by(nodes, ages, step, cells)
    if planned_age is None:
        return failed, cell_masses(failed)
    due = np.maximum(checked_plan(planned_age) - ages, 0.0) / step
    points = np.arange(cells + 1)
    left = np.minimum(due, cells).astype(int)
    part = np.minimum(due, cells) - left
    row = np.arange(len(ages))
    ends = failed[:, row, left] * (1 - part) + failed[:, row, np.minimum(left + 1, cells)] * part
    within = points <= due[:, None]
    masses = cell_masses(np.where(within, failed, ends[..., None]))
    reached = due <= cells
    masses[:, row, left] += np.where(reached, (1 - part) * (1 - ends), 0.0)
    masses[:, row, np.minimum(left + 1, cells)] += np.where(reached, part * (1 - ends), 0.0)
    return np.where(points < due[:, None], failed, 1.0), masses


def reached_by_new(failed: Array, masses: Array, weight: Array) -> Array:
    """Chance that a position with a new part has had at least k renewals: (K, n, cells + 1).

    ``failed, masses`` of a new part: (n, cells + 1), or (n, 1, cells + 1). Ends with the first k
    that is negligible on average over the nodes.
    """
    failed, masses = (a.reshape(len(a), -1) for a in (failed, masses))
    cells = failed.shape[-1] - 1
    size = 2 * cells + 2
    transformed = np.fft.rfft(masses, size)
    reached = np.stack([np.ones_like(failed), failed])
    while weight @ reached[-1, :, -1] > NEGLIGIBLE and len(reached) < MOST_RENEWALS:
        # m renewals known: the next m are these after m more, and so on, doubling each time.
        later = np.fft.irfft(transformed * np.fft.rfft(reached[1:], size), size)
        reached = np.concatenate([reached, later[..., : cells + 1]])
        twice = np.fft.irfft(transformed**2, size)[..., : cells + 1]
        transformed = np.fft.rfft(twice, size)
    rare = np.flatnonzero(reached[1:, :, -1] @ weight <= NEGLIGIBLE)
    return reached[: rare[0] + 2] if rare.size else reached


def exactly(reached: Array, axis: int = -1) -> Array:
    """From "at least k" to "exactly k"; rounding must not make a chance negative."""
    reached = np.moveaxis(reached, axis, 0)
    chances = reached.copy()
    chances[:-1] -= reached[1:]
    return np.moveaxis(np.clip(chances, 0, 1, out=chances), 0, axis)
