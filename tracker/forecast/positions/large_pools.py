"""Need of large pools: mean and variance per pair of nodes, then a law that has them.

Ages are rounded to a coarse lattice (a few days in years), and a printer's generating function is
taken at one small angle only, which gives its mean and variance. Given the parameters the total of
hundreds of positions is close to the (a, b, 0) law of that mean and variance; the tests hold both
approximations against the exact form.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints, Spectrum
from tracker.forecast.positions.co_replaced_positions import (
    TriggerPart,
    TriggerPartCurves,
    TriggerPartStrata,
    grid_cells,
    joint_strata,
    spans_of,
    started_anew,
)
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.renewal.grid import cell_masses
from tracker.forecast.renewal.paths import renewal_transform
from tracker.forecast.renewal.sums_of_counts import average_matched

TRIGGER_STRATA, CO_REPLACED_STRATA = 32, 96
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
    groups: Sequence[PositionGroup], trigger: TriggerPart, horizon: float
) -> Array:
    """As ``co_replacement.demand_along``, for hundreds of positions and more."""
    nodes = [group.source.for_total(group.ages.expected, horizon) for group in groups]
    cells = grid_cells(groups, nodes, horizon)
    co_replaced = joint_strata(groups, nodes, horizon, CO_REPLACED_STRATA)
    head = TriggerPartStrata.of(trigger, horizon, TRIGGER_STRATA)
    mean = np.zeros((len(head.weight), len(co_replaced.weight)))
    variance = np.zeros_like(mean)
    for one in spans_of(groups, trigger, horizon):
        span, chosen = one.length, one.rows
        tables, rows = [], []
        for group, mine, life, share in zip(groups, chosen, nodes, co_replaced.shares, strict=True):
            table = group.ages[mine].table(coarse_ages, with_new=True)
            values = renewal_transform(
                life, table.ages, span, cells, TURN, FINE, planned_age=group.planned
            )
            # (D, ages, cells + 1)
            tables.append(table.rows(np.tensordot(share, values, axes=1), 1))
            rows.append(table.row_of)
        follows = [group.follows[mine] for group, mine in zip(groups, chosen, strict=True)]
        curves = head.curves(trigger.ages.table(coarse_ages, with_new=True), span, cells)
        pool = _Pool(follows, tables, rows, head, curves)
        own_mean, own_variance = pool.moments()
        mean += own_mean
        variance += own_variance
    weight = np.outer(head.weight, co_replaced.weight).ravel()
    return average_matched(mean.ravel(), np.maximum(variance.ravel(), 0), weight)


def _moments(transform: Spectrum) -> tuple[Array, Array]:
    """Mean and mean square from the generating function at a small angle."""
    return -transform.imag / TURN, 2 * (1 - transform.real) / TURN**2


@dataclass(frozen=True, eq=False)
class _Pool:
    """Positions that are there for one length of time: per group what each follows, the table of
    transforms (D, ages, cells + 1) and each position's row in it."""

    follows: list[Ints]
    tables: list[Spectrum]
    rows: list[Ints]
    head: TriggerPartStrata
    curves: TriggerPartCurves

    def moments(self) -> tuple[Array, Array]:
        """Mean and variance of the pool's need: (heads, D) each."""
        mean = np.zeros((len(self.head.weight), len(self.tables[0])))
        variance = np.zeros_like(mean)
        for follows, table, row in zip(self.follows, self.tables, self.rows, strict=True):
            first, second = _moments(table[:, row[follows < 0], -1])
            mean += first.sum(axis=1)
            variance += (second - first**2).sum(axis=1)
        triggers = len(self.head.trigger.ages)
        channels = np.stack(
            [np.bincount(links[links >= 0], minlength=triggers) for links in self.follows], axis=1
        )
        for kind in np.unique(channels, axis=0):
            if not kind.any():
                continue
            printers = np.flatnonzero((channels == kind).all(axis=1))
            taken = np.exp(-1j * TURN * np.array([float(kind.sum())]))
            fresh = started_anew(
                tuple(int(number) for number in kind),
                [table[:, 0][..., None] for table in self.tables],
                self.curves.like_alive,
                taken,
            )[..., 0]
            for start in range(0, len(printers), _BATCH):
                batch = printers[start : start + _BATCH]
                first, second = _moments(self._along(batch, fresh, taken))
                mean += first.sum(axis=0)
                variance += (second - first**2).sum(axis=0)
        return mean, variance

    def _along(self, batch: Ints, fresh: Spectrum, taken: Spectrum) -> Spectrum:
        """Generating function of each printer's need: (printers, heads, D)."""
        psi, row = self._own(batch), self.curves.row_of[batch]
        masses = np.moveaxis(cell_masses(1 - self.curves.alive[:, row]), 1, 0)
        last = np.moveaxis(psi[..., -1], 1, 0)
        alive = np.moveaxis(self.curves.alive[:, row, -1], 1, 0)
        total = alive[:, :, None] * last[:, None, :]
        for rows, following in zip(self.head.like, fresh, strict=True):
            later = np.transpose(psi * (following[:, None, ::-1] * taken), (1, 2, 0))
            total[:, rows] += masses[:, rows] @ later
        return np.asarray(total)

    def _own(self, batch: Ints) -> Spectrum:
        """Product of the printers' own parts at every grid time: (D, printers, cells + 1)."""
        place = np.full(len(self.head.trigger.ages), -1)
        place[batch] = np.arange(len(batch))
        psi = np.ones((len(self.tables[0]), len(batch), self.tables[0].shape[-1]), dtype=complex)
        for follows, table, row in zip(self.follows, self.tables, self.rows, strict=True):
            here = np.flatnonzero((follows >= 0) & (place[follows] >= 0))
            printer = place[follows[here]]
            order = np.argsort(printer, kind="stable")
            printer, here = printer[order], here[order]
            rank = np.arange(len(here)) - np.searchsorted(printer, printer)
            for number in range(rank.max(initial=-1) + 1):
                one = rank == number
                psi[:, printer[one]] *= table[:, row[here[one]]]
        return psi
