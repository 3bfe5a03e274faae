"""How often one position needs a new part in a horizon, for a replacement can fail too.

The part now fitted has an age and fails by its remaining life; every part after it starts at age
zero. Both are convolved on a grid of equal cells per parameter node, whole arrays at once: the
mass of a cell is split between its two ends (the trapezoid form of Xie's (1989) Riemann–Stieltjes
sum). The error falls with the square of the cell, so the grid and every second point of it give
an error estimate and a better value (Richardson), and the grid is refined until the estimate is
below the tolerance.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.parameter_nodes import Nodes, nodes_taken
from tracker.errors import ModelError

Array = NDArray[np.float64]

FIRST_CELLS = 8
MOST_CELLS = 1024
NEGLIGIBLE = 1e-6
MOST_RENEWALS = 2000


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
    if horizon == 0 and planned_age is None:
        return np.ones((len(nodes.weight), len(ages), 1))
    if planned_age is not None:
        reached = _planned(nodes, ages, horizon, planned_age)
        return _exactly(reached)
    parts = _alike(nodes, horizon)
    if len(parts) == 1:
        return _exactly(_refined(nodes, ages, horizon, tolerance))
    found = [_refined(nodes_taken(nodes, rows), ages, horizon, tolerance) for rows in parts]
    reached = np.zeros((len(nodes.weight), len(ages), max(r.shape[-1] for r in found)))
    for rows, some in zip(parts, found, strict=True):
        reached[rows, :, : some.shape[-1]] = some
    return _exactly(reached)


def _alike(nodes: Nodes, horizon: float) -> list[NDArray[np.int64]]:
    """Nodes with about as many renewals in the horizon, so that each gets the grid it needs."""
    hazard = nodes.cumulative_hazard(np.array([horizon]))[:, 0]
    level = np.clip(np.ceil(np.log2(np.maximum(hazard, 1e-9))), 0, 12).astype(int)
    return [np.flatnonzero(level == found) for found in np.unique(level)]


def _refined(nodes: Nodes, ages: Array, horizon: float, tolerance: float) -> Array:
    """At least k renewals (n, A, K) on a grid fine enough for the tolerance."""
    cells = FIRST_CELLS
    while True:
        reached, error = _at_horizon(nodes, ages, horizon, cells)
        if error <= tolerance or cells >= MOST_CELLS:
            return reached
        # The error falls with the square of the cell: go straight to the grid that is enough.
        steps = np.ceil(np.log2(error / tolerance) / 2)
        cells = min(MOST_CELLS, cells * int(2 ** max(1, min(steps, 4))))


def renewal_paths(
    nodes: Nodes,
    ages: Array,
    horizon: float,
    cells: int,
    fine: int = 4,
    *,
    planned_age: float | None = None,
) -> Array:
    """What is the chance of exactly k renewals by each of ``cells + 1`` equally spaced days?

    Shape (n, A, K + 1, cells + 1). ``fine`` cells of the inner grid stand for one of the answer.
    A planned change between two points of it is shared out between them by its distance.
    """
    ages = checked_ages(ages)
    inner = cells * fine
    step = checked_horizon(horizon) / inner
    new = _reached(*_ended_by(nodes, np.zeros(1), step, inner, planned_age), nodes.weight)
    first, masses = _ended_by(nodes, ages, step, inner, planned_age)
    count = new.shape[0]
    size = 2 * inner + 2
    transformed = np.fft.rfft(masses, size)
    reached = [np.ones_like(first), first]
    for k in range(1, count):
        both = transformed * np.fft.rfft(new[k], size)[:, None, :]
        reached.append(np.fft.irfft(both, size)[..., : inner + 1])
        if np.max(nodes.weight @ reached[-1][..., -1]) < NEGLIGIBLE:
            break
    return _exactly(np.stack([r[..., ::fine] for r in reached], axis=2), axis=2)


def renewal_transform(
    nodes: Nodes,
    ages: Array,
    horizon: float,
    cells: int,
    turn: float,
    fine: int = 4,
    *,
    planned_age: float | None = None,
) -> NDArray[np.complex128]:
    """Mean of exp(−i·turn·renewals) by each of ``cells + 1`` equally spaced days.

    Shape (n, A, cells + 1). One convolution for each age, however many renewals there are.
    """
    inner = cells * fine
    step = checked_horizon(horizon) / inner
    z = np.exp(-1j * turn)
    new = np.ones((len(nodes.weight), inner + 1), dtype=np.complex128)
    every = _reached(*_ended_by(nodes, np.zeros(1), step, inner, planned_age), nodes.weight)
    for k, reached in enumerate(every[1:]):
        new += (z ** (k + 1) - z**k) * reached
    first, masses = _ended_by(nodes, checked_ages(ages), step, inner, planned_age)
    size = 2 * inner + 2
    both = np.fft.fft(masses, size) * np.fft.fft(new, size)[:, None, :]
    later = np.fft.ifft(both, size)[..., : inner + 1]
    # The mass at each point holds half of the cell after it, which has not passed yet.
    later -= np.cumsum(masses, axis=-1) - first
    return np.asarray((1 - first + z * later)[..., ::fine])


def renewal_function(nodes: Nodes, times: Array, cells: int = 256) -> Array:
    """How many renewals are expected by each time when a new part starts at 0? Shape (n, T).

    M(t) = F(t) + ∫ M(t − u) dF(u), solved on a grid and its half-grid (Richardson) for each time.
    Source: Barlow & Proschan (1965), Mathematical Theory of Reliability, ch. 3.
    """
    values = [_expected_by(nodes, float(time), cells) for time in checked_ages(times)]
    return np.stack(values, axis=1) if values else np.zeros((len(nodes.weight), 0))


def _expected_by(nodes: Nodes, time: float, cells: int) -> Array:
    if time == 0:
        return np.zeros(len(nodes.weight))
    failed = _failed_by(nodes, np.zeros(1), time / cells, cells)[:, 0]
    fine, coarse = _renewal_equation(failed), _renewal_equation(failed[:, ::2])
    return (4 * fine - coarse) / 3


def _renewal_equation(failed: Array) -> Array:
    masses = cell_masses(failed)
    expected = np.zeros_like(failed)
    for i in range(1, failed.shape[1]):
        past = np.einsum("nj,nj->n", masses[:, 1:i], expected[:, i - 1 : 0 : -1])
        expected[:, i] = (failed[:, i] + past) / (1 - masses[:, 0])
    return expected[:, -1]


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


def _failed_by(nodes: Nodes, ages: Array, step: float, cells: int) -> Array:
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


def _ended_by(
    nodes: Nodes, ages: Array, step: float, cells: int, planned_age: float | None
) -> tuple[Array, Array]:
    """Chance that a part of each age has failed or been changed by each grid point, and the mass
    on each: (n, A, cells + 1) both."""
    failed = _failed_by(nodes, ages, step, cells)
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


def _reached(failed: Array, masses: Array, weight: Array) -> Array:
    """Chance that a position has had at least k renewals: (K, n, cells + 1).

    ``failed, masses`` of a new part: (n, cells + 1), or (n, 1, cells + 1).
    """
    failed, masses = (a.reshape(len(a), -1) for a in (failed, masses))
    cells = failed.shape[-1] - 1
    size = 2 * cells + 2
    transformed = np.fft.rfft(masses, size)
    reached = [np.ones_like(failed), failed]
    while weight @ reached[-1][:, -1] > NEGLIGIBLE and len(reached) < MOST_RENEWALS:
        following = np.fft.irfft(transformed * np.fft.rfft(reached[-1], size), size)
        reached.append(following[:, : cells + 1])
    return np.stack(reached)


def _at_horizon(nodes: Nodes, ages: Array, horizon: float, cells: int) -> tuple[Array, float]:
    """Chance of at least k renewals at the horizon (n, A, K), and its estimated error."""
    step = horizon / cells
    failed_new = _failed_by(nodes, np.zeros(1), step, cells)[:, 0]
    failed = _failed_by(nodes, ages, step, cells)
    fine = _end_values(failed, _reached_by_new(failed_new, nodes.weight))
    coarse = _end_values(failed[..., ::2], _reached_by_new(failed_new[:, ::2], nodes.weight))
    kinds = min(fine.shape[-1], coarse.shape[-1])
    difference = fine[..., :kinds] - coarse[..., :kinds]
    error = float(np.max(nodes.weight @ np.abs(difference).max(axis=-1), initial=0)) / 3
    better = fine.copy()
    better[..., :kinds] += difference / 3
    return better, error


def _reached_by_new(failed: Array, weight: Array) -> Array:
    return _reached(failed, cell_masses(failed), weight)


def _end_values(failed: Array, reached: Array) -> Array:
    """Chance of at least 0, 1, 2, … renewals at the last grid point: (n, A, K + 1)."""
    following = np.moveaxis(reached[1:, :, ::-1], 0, -1)
    later = np.matmul(cell_masses(failed), following)
    return np.concatenate([np.ones_like(later[..., :1]), failed[..., -1:], later], axis=-1)


def _exactly(reached: Array, axis: int = -1) -> Array:
    """From "at least k" to "exactly k"; rounding must not make a chance negative."""
    reached = np.minimum.accumulate(np.clip(reached, 0, 1), axis=axis)
    end_shape = list(reached.shape)
    end_shape[axis] = 1
    return -np.diff(reached, axis=axis, append=np.zeros(end_shape))


def _planned(nodes: Nodes, ages: Array, horizon: float, planned_age: float) -> Array:
    """At least k renewals where a part is changed by plan at ``planned_age``: (n, A, K).

    The grid is whole days, so that a planned change falls on a grid point; its mass is not split.
    """
    due = max(1, round(checked_plan(planned_age)))
    cells = int(np.floor(horizon))
    days = np.round(ages)
    failed_new = _failed_by(nodes, np.zeros(1), 1.0, cells)[:, 0]
    new_masses, new_failed = _cut(_masses_until(failed_new, due), failed_new, due)
    reached = _reached(new_failed, new_masses, nodes.weight)
    failed = _failed_by(nodes, days, 1.0, cells)
    masses = np.empty_like(failed)
    ends = np.empty(failed.shape[:2])
    for j, age in enumerate(days):
        left = max(0, due - int(age))
        cut, until = _cut(_masses_until(failed[:, j], left), failed[:, j], left)
        masses[:, j], ends[:, j] = cut, until[:, -1]
    following = np.moveaxis(reached[1:, :, ::-1], 0, -1)
    later = np.matmul(masses, following)
    return np.concatenate([np.ones_like(later[..., :1]), ends[..., None], later], axis=-1)


def _masses_until(failed: Array, due: int) -> Array:
    kept = failed.copy()
    kept[:, due:] = kept[:, min(due, kept.shape[1] - 1)][:, None]
    return cell_masses(kept)


def _cut(masses: Array, failed: Array, due: int) -> tuple[Array, Array]:
    """Put the whole survival at ``due`` on that day; after it every part has been changed."""
    if due >= failed.shape[1]:
        return masses, failed
    masses = masses.copy()
    masses[:, due] += 1 - failed[:, due]
    failed = failed.copy()
    failed[:, due:] = 1.0
    return masses, failed
