"""How often a position has needed a new part by each day of a horizon, not only at its end."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.renewal.grid import (
    cell_masses,
    checked_ages,
    checked_horizon,
    ended_by,
    exactly,
    failed_by,
    reached_by_new,
)
from tracker.forecast.renewal.parameter_nodes import Nodes


def renewal_paths(
    nodes: Nodes,
    ages: Array,
    horizon: float,
    cells: int,
    fine: int = 4,
    *,
    planned_age: float | None = None,
    share: Array | None = None,
) -> Array:
    """What is the chance of exactly k renewals by each of ``cells + 1`` equally spaced days?

    Shape (n, A, K + 1, cells + 1). ``fine`` cells of the inner grid stand for one of the answer.
    A planned change between two points of it is shared out between them by its distance. With
    ``share`` (m, n) the answer is averaged over the nodes by each of its rows: (m, A, …).
    """
    ages = checked_ages(ages)
    inner = cells * fine
    step = checked_horizon(horizon) / inner
    new = reached_by_new(*ended_by(nodes, np.zeros(1), step, inner, planned_age), nodes.weight)
    first, masses = ended_by(nodes, ages, step, inner, planned_age)
    # What is left of the time at each answer when the first part goes at each point; 0 before.
    left = fine * np.arange(cells + 1) - np.arange(inner + 1)[:, None]
    later = np.where(left >= 0, new[1:, :, np.maximum(left, 0)], 0.0)
    later = np.moveaxis(later, 0, 2).reshape(len(first), inner + 1, -1)
    again = (masses @ later).reshape(*first.shape[:2], -1, cells + 1)
    once = first[..., None, ::fine]
    reached = np.concatenate([np.ones_like(once), once, again], axis=2)
    if share is not None:
        reached = (share @ reached.reshape(len(reached), -1)).reshape(-1, *reached.shape[1:])
    return exactly(reached, axis=2)


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
    every = reached_by_new(*ended_by(nodes, np.zeros(1), step, inner, planned_age), nodes.weight)
    for k, reached in enumerate(every[1:]):
        new += (z ** (k + 1) - z**k) * reached
    first, masses = ended_by(nodes, checked_ages(ages), step, inner, planned_age)
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
    failed = failed_by(nodes, np.zeros(1), time / cells, cells)[:, 0]
    fine, coarse = _renewal_equation(failed), _renewal_equation(failed[:, ::2])
    return (4 * fine - coarse) / 3


def _renewal_equation(failed: Array) -> Array:
    masses = cell_masses(failed)
    expected = np.zeros_like(failed)
    for i in range(1, failed.shape[1]):
        past = np.einsum("nj,nj->n", masses[:, 1:i], expected[:, i - 1 : 0 : -1])
        expected[:, i] = (failed[:, i] + past) / (1 - masses[:, 0])
    return expected[:, -1]
