"""Need of a part that goes out with another one: a head's failure takes its printer's dampers.

A printer starts anew when its head fails: new head, new dampers, and c dampers used. With Ψ(u) the
generating function of the dampers' own renewals in a time u and F the head's life, a printer just
started anew has Φ(t) = S(t)·Ψ(t) + ∫ Ψ(u)·z^c·Φ(t − u) dF(u), and a printer of today the same with
its own ages in the first life of each. Solved on a grid of cells per pair of parameter nodes.

Nodes that need about the same are put together into strata, life curves averaged: the chances of
every single position stay exact, only what positions share within a stratum is lost. After a
head's first failure in the horizon a few coarser strata do. The tests hold both against simulation.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.parameter_nodes import (
    Nodes,
    NodeSource,
    Posterior,
    Rows,
    source_of,
    strata,
)
from tracker.decisions.position_groups import PositionGroup
from tracker.decisions.renewal import checked_ages, renewal_counts, renewal_paths
from tracker.decisions.sums_of_counts import EXACT_POSITIONS, law_size, matched_law, trimmed
from tracker.errors import ModelError

Array = NDArray[np.float64]
Spectrum = NDArray[np.complex128]

LEADER_STRATA, FOLLOWER_STRATA = 32, 64
MANY_LEADER_STRATA, MANY_FOLLOWER_STRATA = 64, 160  # for large pools, whose laws are sharp
PAIRED_STRATA = 24  # of each group, before groups are paired
LIKE_LEADERS = 6
CELLS = 8
SMALL_TURN = 1e-3  # angle at which mean and variance are read off a generating function


@dataclass(frozen=True, eq=False)
class Leader:
    """The part whose failure takes others along.

    ``ages`` of the leaders now fitted, shape (P,); ``follows`` says for each position of the
    taken part which leader (0 to P − 1) it goes with, −1 for none. ``source`` lays the
    nodes of what is believed about their life.
    """

    source: NodeSource
    ages: Array
    follows: Rows

    @classmethod
    def of(
        cls,
        life: Posterior | NodeSource,
        ages: Sequence[float] | Array,
        follows: Sequence[int] | Rows = (),
    ) -> Leader:
        """A checked leader; ModelError for impossible ages or links to a leader that is not."""
        checked = checked_ages(np.asarray(ages, dtype=np.float64)) if len(ages) else np.zeros(0)
        links = np.asarray(follows, dtype=np.int64)
        if links.size and not (links.min() >= -1 and links.max() < len(checked)):
            raise ModelError(
                f"follows: {int(links.max())} points to no leader; there are {len(checked)}, "
                f"counted from 0, and −1 for none."
            )
        return cls(source_of(life), checked, links)


def demand_along(groups: Sequence[PositionGroup], leader: Leader, horizon: float) -> Array:
    """The chance that exactly k are needed, own failures and changes along together."""
    large = sum(len(group.ages) for group in groups) > EXACT_POSITIONS
    sizes = (MANY_LEADER_STRATA, MANY_FOLLOWER_STRATA) if large else (
        LEADER_STRATA, FOLLOWER_STRATA,
    )  # fmt: skip
    nodes = [group.source.for_total(group.ages, horizon) for group in groups]
    cells = _cells(nodes, horizon)
    followers = _joint_strata(groups, nodes, horizon, sizes[1])
    own = [
        _Paths.of(life, group.ages, horizon, cells, share)
        for group, life, share in zip(groups, nodes, followers.shares, strict=True)
    ]
    head = _Head.of(leader, horizon, cells, sizes[0])
    printers = _printers(groups, leader)
    weight = np.outer(head.weight, followers.weight)
    # Mean and variance per pair of nodes, read off the generating function close to 1.
    logs = np.zeros(weight.shape, dtype=np.complex128)
    for spectrum in _each_printer(printers, own, head, np.array([SMALL_TURN])):
        logs += np.log(spectrum[..., 0])
    mean, variance = -logs.imag / SMALL_TURN, np.maximum(-2 * logs.real / SMALL_TURN**2, 0)
    if large:
        law = matched_law(mean.ravel(), variance.ravel(), weight.ravel())
        return trimmed(weight.ravel() @ law)
    size = law_size(mean.ravel(), variance.ravel(), weight.ravel())
    turns = 2 * np.pi * np.arange(size // 2 + 1) / size
    total = np.ones((*weight.shape, len(turns)), dtype=np.complex64)
    for spectrum in _each_printer(printers, own, head, turns):
        total *= spectrum
    averaged = np.einsum("hd,hdf->f", weight, total)
    return trimmed(np.fft.irfft(averaged, size))


@dataclass(frozen=True, eq=False)
class _Printer:
    """Rows of the age tables of one printer: its head (−1 none) and its positions by group."""

    head: int
    positions: tuple[Rows, ...]

    @property
    def channels(self) -> tuple[int, ...]:
        return tuple(len(rows) for rows in self.positions)


@dataclass(frozen=True, eq=False)
class _Paths:
    """Chances of k renewals at every grid time for each distinct age; row 0 is a new part."""

    chances: Array  # (n, U + 1, K, cells + 1)
    row_of: Rows

    @classmethod
    def of(cls, nodes: Nodes, ages: Array, horizon: float, cells: int, share: Array) -> _Paths:
        unique, row_of = np.unique(ages, return_inverse=True)
        table = np.concatenate([[0.0], unique])
        chances = renewal_paths(nodes, table, horizon, cells)
        return cls(np.tensordot(share, chances, axes=1), row_of + 1)

    def spectra(self, turns: Array) -> Spectrum:
        """Generating functions at exp(−i·turn): (n, U + 1, cells + 1, turns)."""
        circle = np.exp(-1j * np.outer(np.arange(self.chances.shape[2]), turns))
        chances = np.moveaxis(self.chances, 2, 3)
        values: Spectrum = chances @ circle.real + 1j * (chances @ circle.imag)
        return values if len(turns) == 1 else values.astype(np.complex64)


@dataclass(frozen=True, eq=False)
class _Head:
    """Survival of the heads on the grid per stratum, and a few coarser strata of new heads."""

    weight: Array  # (n,)
    alive: Array  # (n, P + 1, cells + 1), row 0 a new head
    row_of: Rows
    like: list[Rows]
    like_alive: Array  # (likes, cells + 1) of a new head

    @classmethod
    def of(cls, leader: Leader, horizon: float, cells: int, number: int) -> _Head:
        nodes = leader.source.for_total(leader.ages, horizon)
        need = _expected(nodes, leader.ages, horizon)
        parts = strata(nodes.weight, need, number)
        weight, share = _shares(nodes.weight, parts)
        unique, row_of = np.unique(leader.ages, return_inverse=True)
        table = np.concatenate([[0.0], unique])
        points = table[:, None] + horizon / cells * np.arange(cells + 1)
        hazard = nodes.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
        alive = np.tensordot(share, np.exp(hazard[..., :1] - hazard), axes=1)
        # Strata are in order of need, so neighbours are alike.
        like = strata(weight, np.arange(len(weight), dtype=np.float64), LIKE_LEADERS)
        averages = [weight[rows] @ alive[rows, 0] / weight[rows].sum() for rows in like]
        return cls(weight, alive, row_of + 1, like, np.stack(averages))


@dataclass(frozen=True, eq=False)
class _JointStrata:
    """Strata of the joint nodes of all groups: weights (S,), and for each group the share of each
    of its nodes in each stratum, (S, n)."""

    weight: Array
    shares: list[Array]


def _shares(weight: Array, parts: list[Rows]) -> tuple[Array, Array]:
    """Weight of each stratum, and the share of each node in it: (S,), (S, n)."""
    share = np.zeros((len(parts), len(weight)))
    for i, rows in enumerate(parts):
        share[i, rows] = weight[rows]
    total = share.sum(axis=1)
    return total, share / np.maximum(total, 1e-300)[:, None]


def _joint_strata(
    groups: Sequence[PositionGroup], nodes: Sequence[Nodes], horizon: float, number: int
) -> _JointStrata:
    """Strata of each group first, then of all pairs of them."""
    weight, need = np.ones(1), np.zeros(1)
    own_shares = []
    for group, life in zip(groups, nodes, strict=True):
        expected = _expected(life, group.ages, horizon)
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
    return _JointStrata(total, shares)


def _each_printer(
    printers: list[_Printer], own: list[_Paths], head: _Head, turns: Array
) -> Iterator[Spectrum]:
    """Per printer the generating function of its need: (heads, followers, turns)."""
    spectra = [paths.spectra(turns) for paths in own]
    fresh: dict[tuple[int, ...], Spectrum] = {}
    # Half the mass of each cell goes to each of its ends.
    half = -np.diff(head.alive, axis=-1) / 2
    masses = np.zeros_like(head.alive)
    masses[..., :-1] += half
    masses[..., 1:] += half
    for printer in printers:
        psi = _own_product(printer, own, spectra)
        if printer.head < 0:
            yield np.broadcast_to(psi[:, -1], (len(head.alive), *psi[:, -1].shape))
            continue
        channels = printer.channels
        taken = np.exp(-1j * sum(channels) * turns).astype(psi.dtype)
        if channels not in fresh:
            fresh[channels] = _fresh(channels, spectra, head.like_alive, taken)
        row = head.row_of[printer.head]
        result = head.alive[:, row, -1, None, None].astype(psi.real.dtype) * psi[:, -1]
        for rows, following in zip(head.like, fresh[channels], strict=True):
            later = psi * following[:, ::-1] * taken
            flat = np.moveaxis(later, 1, 0).reshape(later.shape[1], -1)
            part = masses[rows, row].astype(psi.dtype) @ flat
            result[rows] += part.reshape(len(rows), *psi[:, -1].shape)
        yield result


def _own_product(printer: _Printer, own: list[_Paths], spectra: list[Spectrum]) -> Spectrum:
    parts = [
        np.multiply.reduce(spectrum[:, paths.row_of[rows]], axis=1)
        for rows, paths, spectrum in zip(printer.positions, own, spectra, strict=True)
        if len(rows)
    ]
    product: Spectrum = parts[0]
    for part in parts[1:]:
        product = product * part
    return product


def _fresh(
    channels: tuple[int, ...], spectra: list[Spectrum], alive: Array, taken: Spectrum
) -> Spectrum:
    """Φ of a printer started anew at every grid time: (likes, followers, cells + 1, turns)."""
    psi = np.ones_like(spectra[0][:, 0])
    for number, spectrum in zip(channels, spectra, strict=True):
        psi = psi * spectrum[:, 0] ** number
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


def _printers(groups: Sequence[PositionGroup], leader: Leader) -> list[_Printer]:
    """The printers as rows into each group's ages; positions without a leader are one more."""
    rows = [_rows_by_leader(group.follows, len(leader.ages)) for group in groups]
    return [
        _Printer(number, tuple(by_leader[number + 1] for by_leader in rows))
        for number in range(-1, len(leader.ages))
        if any(len(by_leader[number + 1]) for by_leader in rows)
    ]


def _rows_by_leader(follows: Rows, leaders: int) -> list[Rows]:
    order = np.argsort(follows, kind="stable")
    bounds = np.searchsorted(follows[order], np.arange(-1, leaders + 1))
    return [order[bounds[i] : bounds[i + 1]] for i in range(leaders + 1)]


def _expected(nodes: Nodes, ages: Array, horizon: float) -> Array:
    """Expected need per node: what nodes are sorted by."""
    unique, times = np.unique(ages, return_counts=True)
    if len(unique) > 64:
        places = np.linspace(0, len(ages) - 1, 64).astype(int)
        unique, times = np.sort(ages)[places], np.full(64, len(ages) / 64)
    counts = renewal_counts(nodes, unique, horizon, tolerance=1e-3)
    return np.asarray(counts @ np.arange(counts.shape[-1]) @ times)


def _cells(followers: Sequence[Nodes], horizon: float) -> int:
    """Grid cells: more where several renewals of one position fit into the horizon."""
    most = max(
        float(nodes.weight @ np.minimum(nodes.cumulative_hazard(np.array([horizon]))[:, 0], 8.0))
        for nodes in followers
    )
    return CELLS * int(2 ** np.clip(np.ceil(np.log2(max(most, 1e-9))), 0, 2))
