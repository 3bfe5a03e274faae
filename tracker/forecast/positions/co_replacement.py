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

from tracker.arrays import Array, Ints, Spectrum
from tracker.forecast.positions.co_replaced_positions import (
    JointStrata,
    Span,
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
from tracker.forecast.renewal.parameter_nodes import Nodes
from tracker.forecast.renewal.paths import renewal_paths
from tracker.forecast.renewal.sums_of_counts import law_size, trimmed

TRIGGER_STRATA, CO_REPLACED_STRATA = 32, 64
FINE = 2  # inner cells of the renewal grid per cell
SMALL_TURN = 1e-3  # angle at which mean and variance are read off a generating function


def demand_along(groups: Sequence[PositionGroup], trigger: TriggerPart, horizon: float) -> Array:
    """The chance that exactly k are needed, own failures and changes along together."""
    return demand_over_spans(groups, trigger, horizon, spans_of(groups, trigger, horizon))


def demand_over_spans(
    groups: Sequence[PositionGroup], trigger: TriggerPart, horizon: float, chosen: Sequence[Span]
) -> Array:
    """The same where printers are looked at for lengths of their own, ``horizon`` the longest.

    A printer that has a share in several spans has one of these lengths, which one is not known:
    its generating function is their average.
    """
    nodes = [group.source.for_total(group.ages.expected, horizon) for group in groups]
    cells = grid_cells(groups, nodes, horizon)
    co_replaced = joint_strata(groups, nodes, horizon, CO_REPLACED_STRATA)
    head = TriggerPartStrata.of(trigger, horizon, TRIGGER_STRATA)
    spans = [_SpanPaths.of(groups, span, nodes, co_replaced, head, cells) for span in chosen]
    weight = np.outer(head.weight, co_replaced.weight)
    # Mean and variance per pair of nodes, read off the generating function close to 1.
    logs = np.zeros(weight.shape, dtype=np.complex128)
    for spectrum in _each_printer(spans, np.array([SMALL_TURN])):
        logs += np.log(spectrum[..., 0])
    mean, variance = -logs.imag / SMALL_TURN, np.maximum(-2 * logs.real / SMALL_TURN**2, 0)
    size = law_size(mean.ravel(), variance.ravel(), weight.ravel())
    turns = 2 * np.pi * np.arange(size // 2 + 1) / size
    total = np.ones((*weight.shape, len(turns)), dtype=np.complex64)
    for spectrum in _each_printer(spans, turns):
        total *= spectrum
    averaged = np.einsum("hd,hdf->f", weight, total)
    return trimmed(np.fft.irfft(averaged, size))


@dataclass(frozen=True, eq=False)
class _Printer:
    """Ints of the age tables of one printer: its head (−1 none) and its positions by group."""

    head: int
    positions: tuple[Ints, ...]

    @property
    def channels(self) -> tuple[int, ...]:
        return tuple(len(rows) for rows in self.positions)


@dataclass(frozen=True, eq=False)
class _Paths:
    """Chances of k renewals at every grid time for each distinct age; row 0 is a new part."""

    chances: Array  # (n, U + 1, cells + 1, K)
    row_of: Ints

    @classmethod
    def of(
        cls, nodes: Nodes, group: PositionGroup, rows: Ints, span: float, cells: int, share: Array
    ) -> _Paths:
        table = group.ages[rows].table(with_new=True)
        chances = renewal_paths(
            nodes, table.ages, span, cells, FINE, planned_age=group.planned, share=share
        )
        chances = np.moveaxis(table.rows(chances, 1), 2, 3)
        return cls(np.ascontiguousarray(chances), table.row_of)

    def spectra(self, turns: Array) -> Spectrum:
        """Generating functions at exp(−i·turn): (n, U + 1, cells + 1, turns)."""
        circle = np.exp(-1j * np.outer(np.arange(self.chances.shape[3]), turns))
        flat = self.chances.reshape(-1, len(circle))
        if len(turns) > 1:
            circle, flat = circle.astype(np.complex64), flat.astype(np.float32)
        # Real and imaginary parts in turn: one real matrix product.
        values: Spectrum = (flat @ circle.view(flat.dtype)).view(circle.dtype)
        return values.reshape(*self.chances.shape[:3], len(turns))


def _each_printer(spans: Sequence[_SpanPaths], turns: Array) -> Iterator[Spectrum]:
    """Per printer the generating function of its need: (heads, co_replaced, turns)."""
    unsure: dict[int, Spectrum] = {}
    for one in spans:
        for number, spectrum in one.each_printer(turns):
            share = 1.0 if number < 0 else one.share[number]
            if share == 1.0:
                yield spectrum
            elif number in unsure:
                unsure[number] += share * spectrum
            else:
                unsure[number] = share * spectrum
    yield from unsure.values()


@dataclass(frozen=True, eq=False)
class _SpanPaths:
    """The printers that are there for one length of time, with their parts' paths over it."""

    share: Array
    printers: list[_Printer]
    own: list[_Paths]
    head: TriggerPartStrata
    curves: TriggerPartCurves

    @classmethod
    def of(
        cls,
        groups: Sequence[PositionGroup],
        span: Span,
        nodes: list[Nodes],
        co_replaced: JointStrata,
        head: TriggerPartStrata,
        cells: int,
    ) -> _SpanPaths:
        own = [
            _Paths.of(life, group, rows, span.length, cells, share)
            for life, group, rows, share in zip(
                nodes, groups, span.rows, co_replaced.shares, strict=True
            )
        ]
        printers = _printers(groups, span.rows, len(head.trigger.ages))
        curves = head.curves(head.trigger.ages.table(with_new=True), span.length, cells)
        return cls(span.share, printers, own, head, curves)

    def each_printer(self, turns: Array) -> Iterator[tuple[int, Spectrum]]:
        """Each printer's number and the generating function of its need over the span."""
        spectra = [paths.spectra(turns) for paths in self.own]
        fresh: dict[tuple[int, ...], Spectrum] = {}
        alive = self.curves.alive
        masses = cell_masses(1 - alive)
        for printer in self.printers:
            psi = _own_product(printer, self.own, spectra)
            if printer.head < 0:
                yield -1, np.broadcast_to(psi[:, -1], (len(alive), *psi[:, -1].shape))
                continue
            channels = printer.channels
            taken = np.exp(-1j * sum(channels) * turns).astype(psi.dtype)
            if channels not in fresh:
                new_parts = [spectrum[:, 0] for spectrum in spectra]
                fresh[channels] = started_anew(channels, new_parts, self.curves.like_alive, taken)
            row = self.curves.row_of[printer.head]
            result = alive[:, row, -1, None, None].astype(psi.real.dtype) * psi[:, -1]
            for rows, following in zip(self.head.like, fresh[channels], strict=True):
                later = psi * following[:, ::-1] * taken
                flat = np.moveaxis(later, 1, 0).reshape(later.shape[1], -1)
                part = masses[rows, row].astype(psi.dtype) @ flat
                result[rows] += part.reshape(len(rows), *psi[:, -1].shape)
            yield printer.head, result


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


def _printers(groups: Sequence[PositionGroup], chosen: list[Ints], triggers: int) -> list[_Printer]:
    """The printers as rows into each group's chosen positions; those without a trigger are one."""
    rows = [
        _rows_by_trigger(group.follows[mine], triggers)
        for group, mine in zip(groups, chosen, strict=True)
    ]
    return [
        _Printer(number, tuple(by_trigger[number + 1] for by_trigger in rows))
        for number in range(-1, triggers)
        if any(len(by_trigger[number + 1]) for by_trigger in rows)
    ]


def _rows_by_trigger(follows: Ints, triggers: int) -> list[Ints]:
    order = np.argsort(follows, kind="stable")
    bounds = np.searchsorted(follows[order], np.arange(-1, triggers + 1))
    return [order[bounds[i] : bounds[i + 1]] for i in range(triggers + 1)]
