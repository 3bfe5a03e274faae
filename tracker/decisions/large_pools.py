"""Need of large pools: mean and variance per pair of nodes, then a law that has them.

Ages are rounded to a coarse lattice (a few days in years), and a printer's generating function is
taken at one small angle only, which gives its mean and variance. Given the parameters the total of
hundreds of positions is close to the (a, b, 0) law of that mean and variance; the tests hold both
approximations against the exact form.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.led_positions import (
    Leader,
    LeaderStrata,
    Spectrum,
    grid_cells,
    joint_strata,
    started_anew,
)
from tracker.decisions.parameter_nodes import Rows
from tracker.decisions.position_groups import PositionGroup
from tracker.decisions.renewal import renewal_transform
from tracker.decisions.sums_of_counts import average_matched

Array = NDArray[np.float64]

LEADER_STRATA, FOLLOWER_STRATA = 32, 96
DISTINCT_AGES = 128
FINE = 2  # inner cells per cell of the renewal grid
TURN = 3e-4
_BATCH = 256  # printers at once


def coarse_ages(ages: Array, most: int = DISTINCT_AGES) -> Array:
    """The ages rounded to so many evenly spaced values at most."""
    spread = float(ages.max() - ages.min()) if len(ages) else 0.0
    if spread == 0 or len(np.unique(ages)) <= most:
        return ages
    step = spread / (most - 1)
    return np.asarray(ages.min() + np.round((ages - ages.min()) / step) * step)


def demand_along_in_large_pool(
    groups: Sequence[PositionGroup], leader: Leader, horizon: float
) -> Array:
    """As ``co_replacement.demand_along``, for hundreds of positions and more."""
    nodes = [group.source.for_total(group.ages, horizon) for group in groups]
    cells = grid_cells(nodes, horizon)
    followers = joint_strata(groups, nodes, horizon, FOLLOWER_STRATA)
    head_ages = coarse_ages(leader.ages)
    heads = leader.source.for_total(leader.ages, horizon)
    head = LeaderStrata.of(heads, head_ages, horizon, cells, LEADER_STRATA)
    tables, rows = [], []
    for group, life, share in zip(groups, nodes, followers.shares, strict=True):
        distinct, row = np.unique(coarse_ages(group.ages), return_inverse=True)
        ages = np.concatenate([[0.0], distinct])
        values = renewal_transform(life, ages, horizon, cells, TURN, FINE)
        tables.append(np.tensordot(share, values, axes=1))  # (D, ages, cells + 1)
        rows.append(row + 1)
    mean = np.zeros((len(head.weight), len(followers.weight)))
    variance = np.zeros_like(mean)
    for group, table, row in zip(groups, tables, rows, strict=True):
        first, second = _moments(table[:, row[group.follows < 0], -1])
        mean += first.sum(axis=1)
        variance += (second - first**2).sum(axis=1)
    channels = np.stack(
        [
            np.bincount(group.follows[group.follows >= 0], minlength=len(leader.ages))
            for group in groups
        ],
        axis=1,
    )
    for kind in np.unique(channels, axis=0):
        if not kind.any():
            continue
        printers = np.flatnonzero((channels == kind).all(axis=1))
        taken = np.exp(-1j * TURN * np.array([float(kind.sum())]))
        fresh = started_anew(
            tuple(int(number) for number in kind),
            [table[:, 0][..., None] for table in tables],
            head.like_alive,
            taken,
        )[..., 0]
        for start in range(0, len(printers), _BATCH):
            batch = printers[start : start + _BATCH]
            psi = _own(groups, tables, rows, batch, len(leader.ages))
            total = _along(psi, head, head.row_of[batch], fresh, taken)
            first, second = _moments(total)
            mean += first.sum(axis=0)
            variance += (second - first**2).sum(axis=0)
    weight = np.outer(head.weight, followers.weight).ravel()
    return average_matched(mean.ravel(), np.maximum(variance.ravel(), 0), weight)


def _moments(transform: Spectrum) -> tuple[Array, Array]:
    """Mean and mean square from the generating function at a small angle."""
    return -transform.imag / TURN, 2 * (1 - transform.real) / TURN**2


def _own(
    groups: Sequence[PositionGroup],
    tables: list[Spectrum],
    rows: list[Rows],
    batch: Rows,
    leaders: int,
) -> Spectrum:
    """Product of the printers' own parts at every grid time: (D, printers, cells + 1)."""
    place = np.full(leaders, -1)
    place[batch] = np.arange(len(batch))
    psi = np.ones((len(tables[0]), len(batch), tables[0].shape[-1]), dtype=np.complex128)
    for group, table, row in zip(groups, tables, rows, strict=True):
        here = np.flatnonzero((group.follows >= 0) & (place[group.follows] >= 0))
        printer = place[group.follows[here]]
        order = np.argsort(printer, kind="stable")
        printer, here = printer[order], here[order]
        rank = np.arange(len(here)) - np.searchsorted(printer, printer)
        for number in range(rank.max(initial=-1) + 1):
            one = rank == number
            psi[:, printer[one]] *= table[:, row[here[one]]]
    return psi


def _along(
    psi: Spectrum, head: LeaderStrata, row: Rows, fresh: Spectrum, taken: Spectrum
) -> Spectrum:
    """Generating function of each printer's need: (printers, heads, D)."""
    half = -np.diff(head.alive[:, row], axis=-1) / 2
    masses = np.zeros((*half.shape[:2], half.shape[2] + 1))
    masses[..., :-1] += half
    masses[..., 1:] += half
    masses = np.moveaxis(masses, 1, 0)  # (printers, heads, cells + 1)
    last = np.moveaxis(psi[..., -1], 1, 0)
    total = np.moveaxis(head.alive[:, row, -1], 1, 0)[:, :, None] * last[:, None, :]
    for rows, following in zip(head.like, fresh, strict=True):
        later = np.transpose(psi * (following[:, None, ::-1] * taken), (1, 2, 0))
        total[:, rows] += masses[:, rows] @ later
    return np.asarray(total)
