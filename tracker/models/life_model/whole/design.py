"""How the parameters make up η of a stratum: what its group, its period, its exposures, its unit
and its lot add.

A table of strata by parameters would be nearly empty and huge: a fleet's exposures make millions of
strata. But for the exposures a stratum is one of a few groups in one of a few periods (halves of
quarters, in each of which drift and season stand still), so sums by group and period stand for it;
and strata that follow each other mostly differ in their exposures alone: such a *run* is summed
once, and everything but exposures is worked out over runs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.calendar_time import QUARTER, WAVES
from tracker.models.life_model.whole.cells import Cells, Runs
from tracker.models.life_model.whole.exposed import Acting, Exposed
from tracker.models.life_model.whole.history import History, tally
from tracker.models.life_model.whole.summed import LifeSums

_PERIODS = 2  # to a quarter


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
            "season": WAVES * self.season,
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
    def standing(self) -> slice:
        """Everything in η but effects, units and lots."""
        return slice(0, self.slices["season"].stop)

    @property
    def linear(self) -> slice:
        """Everything in η but units and lots."""
        return slice(0, self.slices["effect"].stop)

    @property
    def shapes(self) -> slice:
        """The log shapes."""
        return slice(self.slices["shape"].start, self.slices["shape_departure"].stop)


@dataclass(frozen=True, eq=False)
class Design:
    """``group (groups, standing)`` and ``period (periods, standing)``: what each adds to η per
    parameter; ``acting``: the exposures, group by group; ``shape (groups, shapes)``; ``runs`` of
    the strata, the place of each group · periods + period.
    """

    layout: Layout
    group: Array
    period: Array
    acting: tuple[Acting, ...]
    shape: Array
    runs: Runs

    def level(self, x: Array, at: Ints | slice, number: type[np.floating] = np.float64) -> Array:
        """η of these strata, in numbers of that sort: (strata,) of x (all,), or (strata, draws) of
        x (draws, all). Draws stand last: rows of a table are copied many times faster than columns.
        """
        part, runs = self.layout.slices, self.runs
        draws = x.shape[:-1]
        if draws == (1,):  # a column of one is slower than a row
            return self.level(x[0], at, number)[:, None]
        turned = np.ascontiguousarray(x.T)
        standing = turned[self.layout.standing]
        place = (self.group @ standing)[:, None] + (self.period @ standing)[None]
        tables = [(place.reshape(-1, *draws), runs.place), (turned[part["unit"]], runs.unit)]
        if self.layout.lots:
            none = np.zeros((1, *draws))  # lot −1, none known, reads the last row
            tables.append((np.concatenate((turned[part["lot"]], none)), runs.lot))
        of = runs.of[at]
        each = slice(None) if len(of) > len(runs) else of
        level: Array = np.zeros((), dtype=number)
        for table, row in tables:
            level = level + np.take(table.astype(number, copy=False), row[each], axis=0)
        if len(of) > len(runs):
            level = np.take(level, of, axis=0)
        effect = turned[part["effect"]].astype(number, copy=False)
        for own in self.acting:
            own.add(level, at, effect)
        return level

    def of_runs(self, values: Array) -> Array:
        """Values of the strata summed by run: (runs,)."""
        return tally(self.runs.of, values, len(self.runs))

    def sums(self, values: Array) -> Array:
        """Values of the strata times what η is made of, summed: (all,), 0 at the shapes."""
        part, runs = self.layout.slices, self.runs
        total = np.zeros(part["lot"].stop)
        by_run = self.of_runs(values)
        placed = self._placed(by_run)
        total[self.layout.standing] = placed.sum(1) @ self.group + placed.sum(0) @ self.period
        effect = total[part["effect"]]
        for own in self.acting:
            effect[own.columns] += own.value @ values[own.rows]
        total[part["unit"]] = tally(runs.unit, by_run, self.layout.units)
        total[part["lot"]] = tally(runs.lot + 1, by_run, self.layout.lots + 1)[1:]
        return total

    def sums_by_group(self, values: Array) -> Array:
        """Values of the strata summed by group."""
        total = np.zeros(self.group.shape[0])
        turns = np.flatnonzero(np.diff(self.runs.group, prepend=-1))
        if len(turns):
            total[self.runs.group[turns]] = np.add.reduceat(values, self.runs.first[turns])
        return total

    def exposed(self, mean: Array, first: Array) -> Exposed:
        """Sums over strata of these weights times their exposures, for ``products`` and
        ``products_by``: one pass for all exposures and all levels.
        """
        layout, shape = self.layout, (self.group.shape[0], self.period.shape[0])
        found = Exposed.none(*shape, layout.units, layout.lots, layout.effects)
        for own in self.acting:
            own.sum_into(found, self.runs, mean[own.rows], first[own.rows])
        return found

    def products(self, mean: Array, first: Array, exposed: Exposed) -> tuple[Array, Array]:
        """Sums over runs of their values times η's parts twice, ``mean``, (linear, linear), and
        once η's, once the shapes', ``first``, (linear, shapes).
        """
        standing, linear = self.layout.standing, self.layout.linear
        placed = self._placed(mean)
        both = np.zeros((linear.stop, linear.stop))
        mixed = self.group.T @ placed @ self.period
        both[standing, standing] = mixed + mixed.T
        both[standing, standing] += (self.group.T * placed.sum(1)) @ self.group
        both[standing, standing] += (self.period.T * placed.sum(0)) @ self.period
        placed = self._placed(first)
        by_group = np.zeros((linear.stop, self.group.shape[0]))
        by_group[standing] = self.group.T * placed.sum(1) + self.period.T @ placed.T
        effect = slice(standing.stop, linear.stop)
        both[effect, standing] = exposed.placed.sum(1).T @ self.group
        both[effect, standing] += exposed.placed.sum(0).T @ self.period
        both[standing, effect] = both[effect, standing].T
        both[effect, effect] = exposed.both
        by_group[effect] = exposed.by_group.T
        return both, by_group @ self.shape

    def products_by(self, name: str, mean: Array, first: Array, exposed: Exposed) -> Array:
        """The same by unit or lot: (levels, linear and shapes)."""
        size, (of_group, of_period) = self._levels(name)[1], self._crossed[name]
        groups, periods = self.group.shape[0], self.period.shape[0]
        by_group = tally(of_group, mean, size * groups).reshape(size, groups)
        first_by_group = tally(of_group, first, size * groups).reshape(size, groups)
        by_period = tally(of_period, mean, size * periods).reshape(size, periods)
        standing = by_group @ self.group + by_period @ self.period
        found = np.hstack((standing, exposed.by[name], first_by_group @ self.shape))
        return found[size - self._count(name) :]

    @cached_property
    def _crossed(self) -> Mapping[str, tuple[Ints, Ints]]:
        """Unit, or lot, and group of each run as one code, and unit or lot and period."""
        groups, periods = self.group.shape[0], self.period.shape[0]
        period = self.runs.place % periods
        codes = {name: self._levels(name)[0] for name in ("unit", "lot")}
        return {
            name: (code * groups + self.runs.group, code * periods + period)
            for name, code in codes.items()
        }

    def sums_by(self, name: str, by_run: Array) -> Array:
        """Values of the runs summed by unit or lot."""
        code, size = self._levels(name)
        return tally(code, by_run, size)[size - self._count(name) :]

    def sums_by_both(self, row: str, column: str, by_run: Array) -> Array:
        """Values of the runs summed by unit and lot, or lot and unit."""
        (code, rows), (other, columns) = self._levels(row), self._levels(column)
        table = tally(code * columns + other, by_run, rows * columns).reshape(rows, columns)
        return table[rows - self._count(row) :, columns - self._count(column) :]

    def _count(self, name: str) -> int:
        return self.layout.units if name == "unit" else self.layout.lots

    def _levels(self, name: str) -> tuple[Ints, int]:
        """The unit or lot of each run; no lot known is counted in front and left out."""
        if name == "unit":
            return self.runs.unit, self.layout.units
        return self.runs.lot + 1, self.layout.lots + 1

    def _placed(self, by_run: Array) -> Array:
        groups, periods = self.group.shape[0], self.period.shape[0]
        return tally(self.runs.place, by_run, groups * periods).reshape(groups, periods)


def design_of(
    history: History | LifeSums, cells: Cells, season: bool
) -> tuple[Design, Array, Array]:
    """The design; each raw exposure's mean over the ages watched; and what share of these each
    quarter before today's has.
    """
    groups, steps, strata = history.groups, history.exposures, cells.strata
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
    part, n_groups = layout.slices, len(groups)
    by_group = np.zeros((n_groups, layout.standing.stop))
    shape = np.zeros((n_groups, layout.shapes.stop - layout.shapes.start))
    for table in (by_group, shape):
        table[np.arange(n_groups), groups.kind] = 1.0
        table[departing, layout.kinds + np.arange(len(departing))] = 1.0
    back = (history.as_of - (segment.start + segment.end) / 2) * _PERIODS / QUARTER
    period = np.ceil(back).astype(np.int64) - 1
    by_period = np.zeros((int(period.max()) + 1, layout.standing.stop))
    quarter = np.arange(len(by_period)) // _PERIODS
    before = np.nonzero(quarter > 0)[0]
    by_period[before, part["drift"].start + quarter[before] - 1] = 1.0
    if season:
        of_period = np.zeros(len(by_period), np.int64)
        of_period[period] = np.arange(len(period))  # any segment of it
        by_period[:, part["season"]] = segment.season[of_period]
    watched = _watched(cells, len(segment.start))
    mean, raised = _exposure_mean(watched, segment.exposure)
    share = tally(segment.quarter, watched, layout.quarters)[1:] / max(watched.sum(), 1e-300)
    acting = Acting.of(strata, raised, steps)
    place = period[strata.segment]
    place += np.int64(len(by_period)) * strata.group
    runs = Runs.along(strata, place)
    return Design(layout, by_group, by_period, acting, shape, runs), mean, share


def _watched(cells: Cells, segments: int) -> Array:
    """Age watched in each segment, in typical lives."""
    pieces = cells.exposure
    weight = (np.exp(pieces.high) - np.exp(pieces.low)) * pieces.weight
    return tally(cells.strata.segment[pieces.stratum], weight, segments)


def _exposure_mean(watched: Array, exposure: Array) -> tuple[Array, Array]:
    """Each exposure's mean over the ages watched: there the belief about a life holds; and the
    exposures less these, 0 where unknown.
    """
    unknown = np.isnan(exposure)
    few = np.flatnonzero(unknown.any(axis=1))
    filled = np.where(unknown, 0.0, exposure) if len(few) else exposure
    total = watched.sum() - watched[few] @ unknown[few]
    mean: Array = watched @ filled / np.maximum(total, 1e-300)
    raised: Array = filled - mean
    raised[few] *= ~unknown[few]
    return mean, raised
