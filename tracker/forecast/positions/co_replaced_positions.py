"""Positions that go out with a trigger part: what exact and large pools have in common.

Nodes that need about the same are put together into strata, life curves averaged: the chances of
every single position stay exact, only what positions share within a stratum is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints, Spectrum
from tracker.errors import ModelError
from tracker.forecast.positions.age_table import AgeTable, PositionAges
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.positions.printer_usage import PrinterUsage, on_lattice
from tracker.forecast.renewal.parameter_nodes import (
    Nodes,
    NodeSource,
    Posterior,
    source_of,
    strata,
)
from tracker.forecast.renewal.renewal import renewal_counts

PAIRED_STRATA = 24  # of each group, before groups are paired
LIKE_TRIGGERS = 6
CELLS = 8


@dataclass(frozen=True, eq=False)
class TriggerPart:
    """The part whose failure takes others along.

    ``ages`` of the trigger parts now fitted, shape (P,); ``follows`` says for each position of the
    taken part which trigger part (0 to P − 1) it goes with, −1 for none. ``source`` lays the
    nodes of what is believed about their life; ``planned`` is the age at which a working one is
    changed by plan (None: never), which takes the others along as well. ``usage``: where lives
    are in printed area, what the printer of each trigger part prints (None: lives are in days).
    """

    source: NodeSource
    ages: PositionAges
    follows: Ints
    planned: float | None = None
    usage: PrinterUsage | None = None

    @classmethod
    def of(
        cls,
        life: Posterior | NodeSource,
        ages: Sequence[float] | Array | PositionAges,
        follows: Sequence[int] | Ints = (),
        planned: float | None = None,
        usage: PrinterUsage | None = None,
    ) -> TriggerPart:
        """A checked one; ModelError for impossible ages or links to a part that is not there."""
        checked = PositionAges.of(ages)
        links = np.asarray(follows, dtype=np.int64)
        if links.size and not (links.min() >= -1 and links.max() < len(checked)):
            raise ModelError(
                f"follows: {int(links.max())} points to no trigger part; there are {len(checked)}, "
                f"counted from 0, and −1 for none."
            )
        if usage is not None and len(usage.area_per_day) != len(checked):
            raise ModelError(
                f"usage: {len(usage.area_per_day)} printing rates for {len(checked)} trigger "
                "parts; give one for each."
            )
        return cls(source_of(life), checked, links, planned, usage)


@dataclass(frozen=True, eq=False)
class TriggerPartCurves:
    """Survival of the trigger parts over one span, on a grid of cells."""

    alive: Array  # (strata, distinct ages + 1, cells + 1), row 0 a new head
    row_of: Ints
    like_alive: Array  # (likes, cells + 1) of a new head


@dataclass(frozen=True, eq=False)
class TriggerPartStrata:
    """The trigger parts' nodes in strata, and a few coarser strata for new triggers."""

    trigger: TriggerPart
    nodes: Nodes
    weight: Array  # (strata,)
    share: Array  # (strata, nodes)
    like: list[Ints]

    @classmethod
    def of(cls, trigger: TriggerPart, horizon: float, number: int) -> TriggerPartStrata:
        """So many strata of the trigger parts' nodes, alike in their need over the horizon."""
        nodes = trigger.source.for_total(trigger.ages.expected, horizon)
        need = expected_need(nodes, trigger.ages.expected, horizon)
        weight, share = _shares(nodes.weight, strata(nodes.weight, need, number))
        # Strata are in order of need, so neighbours are alike.
        like = strata(weight, np.arange(len(weight), dtype=np.float64), LIKE_TRIGGERS)
        return cls(trigger, nodes, weight, share, like)

    def curves(self, table: AgeTable, span: float, cells: int) -> TriggerPartCurves:
        """Survival of trigger parts of these ages, a new one first, over the span.

        A planned change falls on the next point of the grid.
        """
        points = table.ages[:, None] + span / cells * np.arange(cells + 1)
        hazard = self.nodes.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
        alive = np.tensordot(self.share, np.exp(hazard[..., :1] - hazard), axes=1)
        if self.trigger.planned is not None:
            changed = points >= self.trigger.planned
            changed[:, 0] = False
            alive = np.where(changed, 0.0, alive)
        averages = [
            self.weight[rows] @ alive[rows, 0] / self.weight[rows].sum() for rows in self.like
        ]
        return TriggerPartCurves(table.rows(alive, 1), table.row_of, np.stack(averages))


@dataclass(frozen=True, eq=False)
class JointStrata:
    """Strata of the joint nodes of all groups: weights (S,), and for each group the share of each
    of its nodes in each stratum, (S, n)."""

    weight: Array
    shares: list[Array]


def _shares(weight: Array, parts: list[Ints]) -> tuple[Array, Array]:
    """Weight of each stratum, and the share of each node in it: (S,), (S, n)."""
    share = np.zeros((len(parts), len(weight)))
    for i, rows in enumerate(parts):
        share[i, rows] = weight[rows]
    total = share.sum(axis=1)
    return total, share / np.maximum(total, 1e-300)[:, None]


def joint_strata(
    groups: Sequence[PositionGroup], nodes: Sequence[Nodes], horizon: float, number: int
) -> JointStrata:
    """Strata of each group first, then of all pairs of them."""
    weight, need = np.ones(1), np.zeros(1)
    own_shares = []
    for group, life in zip(groups, nodes, strict=True):
        expected = expected_need(life, group.ages.expected, horizon)
        size = number if len(groups) == 1 else min(number, PAIRED_STRATA)
        own_weight, share = _shares(life.weight, strata(life.weight, expected, size))
        own_shares.append(share)
        weight = np.outer(weight, own_weight).ravel()
        need = np.add.outer(need, share @ expected).ravel()
    parts = strata(weight, need, number)
    total, share = _shares(weight, parts)
    sizes = [len(own) for own in own_shares]
    joint = share.reshape(len(parts), *sizes)
    others = range(1, len(sizes) + 1)
    shares = [
        joint.sum(axis=tuple(axis for axis in others if axis != i + 1)) @ own
        for i, own in enumerate(own_shares)
    ]
    return JointStrata(total, shares)


@dataclass(frozen=True, eq=False)
class Span:
    """A length of time (or area) that some positions are looked at for: ``rows`` of each group,
    and the ``share`` each trigger part's printer has in it, (P,): 1 where its length is certain."""

    length: float
    rows: list[Ints]
    share: Array


def spans_of(groups: Sequence[PositionGroup], trigger: TriggerPart, horizon: float) -> list[Span]:
    """The different spans, each with the positions of every group that have it.

    Raises:
        ModelError: positions of one trigger part that do not stay equally long.
    """
    spans = [group.spans(horizon) for group in groups]
    longest = np.full(len(trigger.ages) + 1, np.nan)
    for group, own in zip(groups, spans, strict=True):
        linked = group.follows >= 0
        np.fmax.at(longest, group.follows[linked], own[linked])
        if (own[linked] != longest[group.follows[linked]]).any():
            raise ModelError(
                "until: positions of one trigger part leave together; give one day for all."
            )
    return [
        Span(
            float(length),
            [np.flatnonzero(own == length) for own in spans],
            (longest[:-1] == length).astype(float),
        )
        for length in np.unique(np.concatenate(spans))
    ]


def spans_of_usage(
    groups: Sequence[PositionGroup], trigger: TriggerPart, days: float
) -> list[Span]:
    """The areas that the printers may print in the days, in the unit of the lives.

    Every position has to follow a trigger part: the printer it is in.
    """
    if trigger.usage is None or any((group.follows < 0).any() for group in groups):
        raise ModelError("demand in area: say for every position which printer it is in.")
    lengths, share = on_lattice(*trigger.usage.lengths(days))
    return [
        Span(
            float(length),
            [np.flatnonzero(own[group.follows] > 0) for group in groups],
            own,
        )
        for length, own in zip(lengths, share.T, strict=True)
    ]


def started_anew(
    channels: tuple[int, ...], new_parts: list[Spectrum], alive: Array, taken: Spectrum
) -> Spectrum:
    """Φ of a printer started anew at every grid time: (likes, co_replaced, cells + 1, turns)."""
    psi = np.ones_like(new_parts[0])
    for number, spectrum in zip(channels, new_parts, strict=True):
        psi = psi * spectrum**number
    half = (-np.diff(alive, axis=-1) / 2).astype(psi.real.dtype)
    alive = alive.astype(psi.real.dtype)
    result = np.ones((len(alive), *psi.shape), dtype=psi.dtype)
    renewed = psi * taken
    for i in range(1, result.shape[2]):
        ends = alive[:, i, None, None] * psi[None, :, i]
        for j in range(1, i + 1):
            mass = half[:, j - 1] + (half[:, j] if j < i else 0)
            ends += mass[:, None, None] * renewed[None, :, j] * result[:, :, i - j]
        result[:, :, i] = ends / (1 - half[:, 0, None, None] * taken)
    return result


def expected_need(nodes: Nodes, ages: Array, horizon: float) -> Array:
    """Expected need per node: what nodes are sorted by."""
    unique, times = np.unique(ages, return_counts=True)
    if len(unique) > 64:
        places = np.linspace(0, len(ages) - 1, 64).astype(int)
        unique, times = np.sort(ages)[places], np.full(64, len(ages) / 64)
    counts = renewal_counts(nodes, unique, horizon, tolerance=1e-3)
    return np.asarray(counts @ np.arange(counts.shape[-1]) @ times)


def grid_cells(
    groups: Sequence[PositionGroup], co_replaced: Sequence[Nodes], horizon: float
) -> int:
    """Grid cells: more where several renewals of one position fit into the horizon."""
    most = max(
        float(nodes.weight @ np.minimum(nodes.cumulative_hazard(np.array([horizon]))[:, 0], 8.0))
        for nodes in co_replaced
    )
    plans = [horizon / group.planned for group in groups if group.planned is not None]
    most = max([most, *plans])
    return CELLS * int(2 ** np.clip(np.ceil(np.log2(max(most, 1e-9))), 0, 2))
