"""The log posterior of all levels at once (its slope and curvature: ``curvature``).

log h = ρ + (β − 1)·log(a/m) + u + v + w(t) + season + Σ b·x is used through y = (a/m)^β: the
cumulative hazard is e^η · y with η = ρ − log β + …, so that η and β part. Per kind η has a rate
κ with the belief as a pseudo-observation (κ ~ log of Gamma(worth, worth)); groups depart from it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy import sparse

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.calendar_time import WAVES
from tracker.models.life_model.whole.cells import Cells, Pieces, life_cells
from tracker.models.life_model.whole.design import Design, Layout, design_of
from tracker.models.life_model.whole.history import History, tally
from tracker.models.life_model.whole.summed import LifeSums

_AT_ONCE = 300_000  # numbers worked on together: few enough to stay in the cache
# Logs beyond which single precision would overflow: of what is gathered, and of that at level 0.
_LARGEST, _OLDEST = 80.0, 60.0
_PIECES = 5_000  # of a kind; so many tell how its exposure goes with the levels

GROUP_SPREAD = 0.5  # of a group's log rate about its kind
GROUP_SHAPE_SPREAD = 0.2  # of a group's log shape about its kind


@dataclass(frozen=True)
class Spreads:
    """Standard deviations on the log hazard: of the units' and lots' levels, of the drift per
    quarter and of the yearly swing's waves.
    """

    units: float
    walk: float
    lots: float
    season: float


@dataclass(frozen=True, eq=False)
class Likelihood:
    """The log posterior of one history; ``season`` says whether a yearly swing is sought."""

    history: History | LifeSums
    cells: Cells
    design: Design
    exposure_mean: Array  # of each raw exposure over the ages watched
    quarter_share: Array  # of the ages watched, in each quarter before today's

    @property
    def layout(self) -> Layout:
        """Where each parameter stands."""
        return self.design.layout

    @cached_property
    def groups(self) -> tuple[Array, Array, Array]:
        """Per kind the belief's worth, and middle (per group) and spread of the log shape."""
        groups = self.history.groups
        return (
            groups.per_kind(groups.told("worth_failures")),
            np.log(groups.told("shape")),
            np.maximum(groups.per_kind(groups.told("shape_spread")), 1e-3),
        )

    @cached_property
    def event_slope(self) -> Array:
        """What the exact failures add to the slope, shapes left out: it never changes."""
        events = self.cells.events
        return self.design.sums(tally(events.stratum, events.weight, len(self.cells.strata)))

    @cached_property
    def event_sums(self) -> tuple[Array, Array]:
        """Per group the exact failures and the sum of their log ages."""
        events, size = self.cells.events, len(self.history.groups)
        group = self.cells.strata.group[events.stratum]
        return (
            tally(group, events.weight, size),
            tally(group, events.weight * events.log_age, size),
        )

    def kind_of(self, at: Pieces) -> Ints:
        """The kind of each piece."""
        kind: Ints = self.history.groups.kind[self.cells.strata.group[at.stratum]]
        return kind

    @cached_property
    def summing(self) -> tuple[sparse.csr_matrix, sparse.csr_matrix]:
        """What sums the pieces of exposure by kind, with their weights, and by possible age."""
        cells, pieces = self.cells, self.cells.exposure
        by_kind = chosen(self.kind_of(pieces), self.layout.kinds, pieces.weight)
        age = np.maximum(pieces.row - cells.first_guess, -1)
        return by_kind.T.tocsr(), chosen(age, len(cells.owner)).T.tocsr()

    @cached_property
    def thinned(self) -> Likelihood:
        """The same with, of a kind with very many pieces of exposure, an even choice that stands
        for all.
        """
        pieces = self.cells.exposure
        kind = self.kind_of(pieces)
        count = np.bincount(kind, minlength=self.layout.kinds)
        every = np.maximum(count // _PIECES, 1)
        order = np.argsort(kind, kind="stable")
        place = np.empty(len(kind), dtype=np.int64)
        place[order] = np.arange(len(kind)) - (np.cumsum(count) - count)[kind[order]]
        kept = place % every[kind] == 0
        few = pieces.take(kept)
        few = replace(few, weight=few.weight * every[kind[kept]])
        return replace(self, cells=replace(self.cells, exposure=few))

    def prior_precision(self, spreads: Spreads) -> tuple[Array, Array]:
        """Diagonal of the prior's information (κ left out), and its band beside it for drift."""
        part = self.layout.slices
        diagonal = np.zeros(part["lot"].stop)
        diagonal[part["departure"]] = GROUP_SPREAD**-2
        # A walk from zero today: each quarter is tied to both neighbours, the oldest to one.
        diagonal[part["drift"]] = 2 * spreads.walk**-2
        if self.layout.quarters > 1:
            diagonal[part["drift"].stop - 1] = spreads.walk**-2
        diagonal[part["season"]] = spreads.season**-2
        diagonal[part["effect"]] = self.history.exposures.spread**-2
        diagonal[part["shape"]] = self.groups[2] ** -2
        diagonal[part["shape_departure"]] = GROUP_SHAPE_SPREAD**-2
        diagonal[part["unit"]] = spreads.units**-2
        diagonal[part["lot"]] = spreads.lots**-2
        band = np.full(max(self.layout.quarters - 2, 0), -(spreads.walk**-2))
        return diagonal, band

    def log_prior(self, x: Array, spreads: Spreads) -> Array:
        """Log density of the prior, normalised as far as the spreads move it; x (…, all)."""
        diagonal, band = self.prior_precision(spreads)
        part, worth = self.layout.slices, self.groups[0]
        value = -0.5 * (x**2 @ diagonal)
        drift = x[..., part["drift"]]
        value = value - (drift[..., 1:] * drift[..., :-1]) @ band
        rate = self.believed_rate(x)
        value = value + (worth * (rate - np.exp(rate))).sum(-1)
        steps, units, lots = self.layout.quarters - 1, self.layout.units, self.layout.lots
        value = value - steps * np.log(spreads.walk) - units * np.log(spreads.units)
        swing = WAVES * self.layout.season * np.log(spreads.season)
        return value - lots * np.log(spreads.lots) - swing

    def believed_rate(self, x: Array) -> Array:
        """The kinds' log rates averaged over the quarters watched, of which the belief speaks.

        Were it today's rate, many kinds' beliefs together would deny a change they all share.
        """
        average = x[..., self.layout.slices["drift"]] @ self.quarter_share
        rate: Array = x[..., self.layout.slices["rate"]] + np.asarray(average)[..., None]
        return rate

    def shape(self, x: Array) -> Array:
        """The groups' shapes (…, groups), kept from where powers overflow."""
        log_shape = self.groups[1] + x[..., self.layout.shapes] @ self.design.shape.T
        return np.exp(np.clip(log_shape, -3.5, 3.5))

    def event_value(self, x: Array) -> Array:
        """What the exact failures add: (…,) of x (…, all)."""
        count, log_age = self.event_sums
        shape = self.shape(x)
        value: Array = x @ self.event_slope + np.log(shape) @ count + shape @ log_age
        return value

    def with_shares(self, share: Array) -> Likelihood:
        """The same with each possible age of unknown ones counting as that share of its life."""
        return replace(self, cells=self.cells.weighted(share))

    def gathered(self, x: Array, at: Pieces, *, coarse: bool = False) -> Array:
        """Hazard gathered in each piece: (pieces, draws) of x (draws, all).

        ``coarse``: in single precision, in which powers cost a seventh; sums are right to 1e-6.
        Levels and ages so high that e^80 would be gathered are cut off, so that none is without
        end.
        """
        number = np.float32 if coarse else np.float64
        if len(at) < len(self.cells.strata):
            level = self.design.level(x, at.stratum, number)
        else:
            level = np.take(self.design.level(x, slice(None), number), at.stratum, axis=0)
        shape: Array = np.ascontiguousarray(self.shape(x).T, dtype=number)
        shape = shape[self.cells.strata.group[at.stratum]]
        low: Array = at.low[:, None].astype(number)
        high: Array = at.high[:, None].astype(number)
        steepest = shape.max(axis=0, initial=0.0) * max(high.max(initial=0.0), 0.0)
        beyond = level.max(initial=0.0) + steepest.max(initial=0.0) > _LARGEST
        if beyond:
            np.minimum(level, _LARGEST - np.minimum(steepest, _OLDEST), out=level)
        gained: Array = shape * high
        np.multiply(shape, low, out=shape)
        for power in (gained, shape):
            if beyond:
                np.minimum(power, _OLDEST, out=power)
            np.exp(power, out=power)
        gained -= shape
        gained *= np.exp(level, out=level)
        return gained

    def age_chances(self, x: Array) -> Array:
        """Log likelihood of what was seen of each possible age: (draws, possible ages)."""
        cells = self.cells
        part = cells.exposure.take(cells.guessed[0])
        ages = chosen(part.row - cells.first_guess, len(cells.owner)).T.tocsr()
        long = cells.intervals.take(cells.guessed[2])
        few = max(1, int(_AT_ONCE / (len(part) + 1)))
        seen = [
            self.seen_of_ages(rows, (ages @ self.gathered(rows, part)).T, self.gathered(rows, long))
            for rows in (x[low : low + few] for low in range(0, len(x), few))
        ]
        return np.concatenate(seen)

    def seen_of_ages(self, x: Array, gathered: Array, within: Array) -> Array:
        """The same, given what was ``gathered (draws, possible ages)`` and what the long intervals
        of unknown ages hold, ``within (intervals, draws)``.
        """
        cells, first = self.cells, self.cells.first_guess
        seen = -gathered
        long = cells.intervals.take(cells.guessed[2])
        seen[:, long.row - first] += log_failing(within).T
        events = cells.events.take(cells.guessed[1])
        here = self.shape(x)[:, cells.strata.group[events.stratum]]
        level = self.design.level(x, events.stratum).T
        seen[:, events.row - first] += level + np.log(here) + (here - 1) * events.log_age
        return seen

    def age_shares(self, seen: Array) -> Array:
        """How likely each possible age is, given what was ``seen`` of it: both (draws, possible
        ages).
        """
        owner = self.cells.owner
        log_share = self.cells.log_chance + seen
        ends = np.nonzero(np.diff(owner, prepend=-1))[0]
        log_share -= np.maximum.reduceat(log_share, ends, axis=1)[:, owner]
        share: Array = np.exp(log_share)
        share /= np.add.reduceat(share, ends, axis=1)[:, owner]
        return share


def log_failing(gathered: Array) -> Array:
    """log(1 − e^−x): the chance of failing while this hazard is gathered."""
    chance: Array = np.log(np.maximum(-np.expm1(-gathered), 1e-300))
    return chance


def likelihood_of(history: History | LifeSums, season: bool) -> Likelihood:
    """The likelihood of a history: its cells and what each stratum's η is made of."""
    cells = life_cells(history, season) if isinstance(history, History) else history.cells()
    return Likelihood(history, cells, *design_of(history, cells, season))


def chosen(column: Ints, columns: int, weight: Array | None = None) -> sparse.csr_matrix:
    """A table with one entry per row, 1 or its weight, in its column; −1: none."""
    row = np.nonzero(column >= 0)[0]
    entries = np.ones(len(row)) if weight is None else weight[row]
    return sparse.csr_matrix((entries, (row, column[row])), shape=(len(column), columns))
