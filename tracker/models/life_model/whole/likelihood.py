"""The log posterior of all levels at once (its slope and curvature: ``curvature``).

log h = ρ + (β − 1)·log(a/m) + u + v + w(t) + season + Σ b·x is used through y = (a/m)^β: the
cumulative hazard is e^η · y with η = ρ − log β + …, so that η and β part. Per kind η has a rate
κ with the belief as a pseudo-observation (κ ~ log of Gamma(worth, worth)); groups depart from it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeAlias

import numpy as np
from scipy import sparse

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.cells import Cells, Events, Pieces, life_cells
from tracker.models.life_model.whole.history import History, tally

Table: TypeAlias = "Array | sparse.csr_matrix"
_AT_ONCE = 300_000  # numbers worked on together: few enough to stay in the cache
_DENSE = 300_000  # entries up to which plain arrays beat sparse ones

GROUP_SPREAD = 0.5  # of a group's log rate about its kind
GROUP_SHAPE_SPREAD = 0.2  # of a group's log shape about its kind


@dataclass(frozen=True)
class Spreads:
    """Standard deviations on the log hazard: of the units' and lots' levels, of the drift per
    quarter and of the yearly swing's two halves.
    """

    units: float
    walk: float
    lots: float
    season: float


@dataclass(frozen=True, eq=False)
class Layout:
    """Where each parameter stands in one vector: rates κ, departures of groups, drift by quarter
    (today's is zero and left out), season, effects; then log shapes; then units; then lots.
    """

    kinds: int
    departing: Ints  # groups that share their kind with others
    quarters: int
    season: bool
    effects: int
    units: int
    lots: int

    @cached_property
    def slices(self) -> dict[str, slice]:
        """The part of the vector that holds each sort of parameter."""
        sizes = {
            "rate": self.kinds,
            "departure": len(self.departing),
            "drift": self.quarters - 1,
            "season": 2 * self.season,
            "effect": self.effects,
            "shape": self.kinds,
            "shape_departure": len(self.departing),
            "unit": self.units,
            "lot": self.lots,
        }
        ends = np.cumsum(list(sizes.values()))
        return {
            name: slice(int(end) - size, int(end))
            for (name, size), end in zip(sizes.items(), ends, strict=True)
        }

    @property
    def linear(self) -> slice:
        """Everything in η but units and lots."""
        return slice(0, self.slices["effect"].stop)

    @property
    def shapes(self) -> slice:
        """The log shapes."""
        return slice(self.slices["shape"].start, self.slices["shape_departure"].stop)


@dataclass(frozen=True, eq=False)
class Likelihood:
    """The log posterior of one history; ``season`` says whether a yearly swing is sought."""

    history: History
    cells: Cells
    layout: Layout
    design: Table  # (strata, linear): η's shared part
    shape_design: Array  # (groups, shapes)
    exposure_mean: Array  # of each raw exposure over the ages watched
    quarter_share: Array  # of the ages watched, in each quarter before today's

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
        per_stratum = tally(events.stratum, events.weight, len(self.cells.stratum_group))
        slope = np.zeros(self.layout.slices["lot"].stop)
        slope[self.layout.linear] = self.design.T @ per_stratum
        slope[self.layout.slices["unit"]] = tally(events.unit, events.weight, self.layout.units)
        known = events.lot >= 0
        slope[self.layout.slices["lot"]] = tally(
            events.lot[known], events.weight[known], self.layout.lots
        )
        return slope

    @cached_property
    def event_sums(self) -> tuple[Array, Array]:
        """Per group the exact failures and the sum of their log ages."""
        events, size = self.cells.events, len(self.history.groups)
        return (
            tally(events.group, events.weight, size),
            tally(events.group, events.weight * events.log_age, size),
        )

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
        swing = 2 * self.layout.season * np.log(spreads.season)
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
        log_shape = self.groups[1] + x[..., self.layout.shapes] @ self.shape_design.T
        return np.exp(np.clip(log_shape, -3.5, 3.5))

    def level(self, x: Array, at: Pieces | Events, stratum_level: Array) -> Array:
        """η of each piece: (…, pieces)."""
        lots = x[..., self.layout.slices["lot"]]
        lots = np.concatenate((lots, np.zeros((*lots.shape[:-1], 1))), axis=-1)
        unit_level = x[..., self.layout.slices["unit"]]
        return stratum_level[..., at.stratum] + unit_level[..., at.unit] + lots[..., at.lot]

    def value(self, x: Array, spreads: Spreads) -> float:
        """The log posterior at one point, up to a constant that no spread moves."""
        stratum_level = self.design @ x[self.layout.linear]
        shape, cells = self.shape(x), self.cells
        with np.errstate(over="ignore", invalid="ignore"):
            exposure = np.exp(self.level(x, cells.exposure, stratum_level))
            exposure *= cells.exposure.gained(shape) * cells.exposure.weight
            within = np.exp(self.level(x, cells.intervals, stratum_level))
            within = within * cells.intervals.gained(shape)
            total = self.event_value(x) - exposure.sum()
            total += cells.intervals.weight @ log_failing(within)
        value = total + self.log_prior(x, spreads)
        return float(value) if np.isfinite(value) else -np.inf

    def event_value(self, x: Array) -> Array:
        """What the exact failures add: (…,) of x (…, all)."""
        count, log_age = self.event_sums
        shape = self.shape(x)
        value: Array = x @ self.event_slope + np.log(shape) @ count + shape @ log_age
        return value

    def with_shares(self, share: Array) -> Likelihood:
        """The same with each possible age of unknown ones counting as that share of its life."""
        return replace(self, cells=self.cells.weighted(share))

    def age_chances(self, x: Array) -> Array:
        """Log likelihood of what was seen of each possible age: (draws, possible ages)."""
        part = self.cells.exposure.take(self.cells.guessed[0])
        few = max(1, int(_AT_ONCE / (len(part) + 1)))
        parts = [self._age_chances(x[low : low + few], part) for low in range(0, len(x), few)]
        return np.concatenate(parts)

    def _age_chances(self, x: Array, part: Pieces) -> Array:
        cells, first = self.cells, self.cells.first_guess
        ages = len(cells.owner)
        stratum_level, shape = x[:, self.layout.linear] @ self.design.T, self.shape(x)
        seen = np.zeros((len(x), ages))
        gained = np.exp(self.level(x, part, stratum_level)) * part.gained(shape)
        seen -= (chosen(part.row - first, ages).T @ gained.T).T
        part = cells.intervals.take(cells.guessed[2])
        gained = np.exp(self.level(x, part, stratum_level)) * part.gained(shape)
        seen[:, part.row - first] += log_failing(gained)
        events = cells.events.take(cells.guessed[1])
        here = shape[:, events.group]
        seen[:, events.row - first] += (
            self.level(x, events, stratum_level) + np.log(here) + here * events.log_age
        )
        return seen

    def age_shares(self, x: Array) -> Array:
        """How likely each possible age is, given what was seen of it: (draws, possible ages)."""
        owner = self.cells.owner
        log_share = self.cells.log_chance + self.age_chances(x)
        ends = np.nonzero(np.diff(owner, prepend=-1))[0]
        log_share -= np.maximum.reduceat(log_share, ends, axis=1)[:, owner]
        share: Array = np.exp(log_share)
        share /= np.add.reduceat(share, ends, axis=1)[:, owner]
        return share


def log_failing(gathered: Array) -> Array:
    """log(1 − e^−x): the chance of failing while this hazard is gathered."""
    chance: Array = np.log(np.maximum(-np.expm1(-gathered), 1e-300))
    return chance


def likelihood_of(history: History, season: bool) -> Likelihood:
    """The likelihood of a history: its cells and what each stratum's η is made of."""
    cells = life_cells(history, season)
    groups, steps = history.groups, history.exposures
    size = np.bincount(groups.kind, minlength=groups.n_kinds)
    departing = np.nonzero(size[groups.kind] > 1)[0]
    segment = cells.tracks.segment
    layout = Layout(
        kinds=groups.n_kinds,
        departing=departing,
        quarters=int(segment.quarter.max()) + 1,
        season=season,
        effects=len(steps.acts),
        units=history.n_units,
        lots=history.n_lots,
    )
    group, at = cells.stratum_group, cells.stratum_segment
    strata, n_groups = len(group), len(groups)
    place = np.full(n_groups, -1)
    place[departing] = np.arange(len(departing))
    quarter = segment.quarter[at] - 1
    watched = _watched(cells, len(segment))
    mean = _exposure_mean(watched, segment.exposure)
    share = tally(segment.quarter, watched, layout.quarters)[1:] / max(watched.sum(), 1e-300)
    exposure = np.nan_to_num(segment.exposure - mean)[at] * steps.acts.T[group]
    blocks = [
        chosen(groups.kind[group], groups.n_kinds),
        chosen(place[group], len(departing)),
        chosen(quarter, layout.quarters - 1),
        segment.season[at] if season else np.zeros((strata, 0)),
        exposure,
    ]
    shapes = [chosen(groups.kind, groups.n_kinds), chosen(place, len(departing))]
    design = sparse.hstack([sparse.csr_matrix(block) for block in blocks]).tocsr()
    if design.shape[0] * design.shape[1] <= _DENSE:
        design = design.toarray()
    shape_design = sparse.hstack(shapes).toarray()
    return Likelihood(history, cells, layout, design, shape_design, mean, share)


def chosen(column: Ints, columns: int, weight: Array | None = None) -> sparse.csr_matrix:
    """A table with one entry per row, 1 or its weight, in its column; −1: none."""
    row = np.nonzero(column >= 0)[0]
    entries = np.ones(len(row)) if weight is None else weight[row]
    return sparse.csr_matrix((entries, (row, column[row])), shape=(len(column), columns))


def _watched(cells: Cells, segments: int) -> Array:
    """Age watched in each segment, in typical lives."""
    pieces = cells.exposure
    weight = (np.exp(pieces.high) - np.exp(pieces.low)) * pieces.weight
    return tally(cells.stratum_segment[pieces.stratum], weight, segments)


def _exposure_mean(watched: Array, exposure: Array) -> Array:
    """Each exposure's mean over the ages watched: there the belief about a life holds."""
    known = ~np.isnan(exposure)
    total = np.maximum((watched[:, None] * known).sum(0), 1e-300)
    mean: Array = (watched[:, None] * np.nan_to_num(exposure)).sum(0) / total
    return mean
