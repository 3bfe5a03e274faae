"""The strata's exposures, group by group: each group has only those that can touch it.

An exposure lies along the strata, so that it is weighed and summed in long rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.cells import Runs, Strata
from tracker.models.life_model.whole.history import Steps, tally


@dataclass(frozen=True, eq=False)
class Exposed:
    """Sums of the strata's exposures times their weights: ``placed (groups, periods, effects)``;
    ``by`` unit, and lot with those of no lot in front, (levels, effects); ``both (effects,
    effects)``: exposures twice. Of the weights of η and shape: ``by_group (groups, effects)``.
    """

    placed: Array
    by: Mapping[str, Array]
    both: Array
    by_group: Array

    @classmethod
    def none(cls, groups: int, periods: int, units: int, lots: int, effects: int) -> Exposed:
        """Nothing summed yet."""
        return cls(
            np.zeros((groups, periods, effects)),
            {"unit": np.zeros((units, effects)), "lot": np.zeros((lots + 1, effects))},
            np.zeros((effects, effects)),
            np.zeros((groups, effects)),
        )


@dataclass(frozen=True, eq=False)
class Acting:
    """Strata of one group that follow each other, ``rows`` of all; of the effects those that can
    touch it, ``columns``; and their exposures, ``value (columns, rows)``, less the mean, 0 where
    unknown.
    """

    group: int
    rows: slice
    columns: Ints
    value: Array

    @classmethod
    def of(cls, strata: Strata, raised: Array, steps: Steps) -> tuple[Acting, ...]:
        """From ``raised (segments, effects)``, every segment's exposures less their means."""
        ends = np.flatnonzero(np.diff(strata.group, prepend=-1, append=-1))
        of_effect, found = np.ascontiguousarray(raised.T), []
        for low, high in pairwise(ends.tolist()):
            group, rows = int(strata.group[low]), slice(low, high)
            columns = np.flatnonzero(steps.acts[:, group])
            value = np.empty((len(columns), high - low))
            for line, column in zip(value, columns, strict=True):
                np.take(of_effect[column], strata.segment[rows], out=line)
                if steps.by_band is not None:
                    line *= steps.by_band[column][strata.band[rows]]
            if len(columns):
                found.append(cls(group, rows, columns, value))
        return tuple(found)

    @cached_property
    def coarse(self) -> Array:
        """The exposures in single precision."""
        return self.value.astype(np.float32)

    def add(self, level: Array, at: Ints | slice, effect: Array) -> None:
        """Adds what the effects, (effects,) or (effects, draws), make of the exposures to the
        ``level`` of the strata ``at``; all of them where that is a slice.
        """
        value = self.coarse if level.dtype == np.float32 else self.value
        own = effect[self.columns]
        if isinstance(at, slice):
            level[self.rows] += value.T @ own
            return
        here = np.flatnonzero((at >= self.rows.start) & (at < self.rows.stop))
        if len(here):
            level[here] += value[:, at[here] - self.rows.start].T @ own

    def sum_into(self, total: Exposed, runs: Runs, mean: Array, first: Array) -> None:
        """Adds the sums over these strata, whose weights are ``mean`` and ``first``."""
        begin, end = np.searchsorted(runs.first, (self.rows.start, self.rows.stop))
        own, of = slice(int(begin), int(end)), runs.of[self.rows] - begin
        periods = total.placed.shape[1]
        period = runs.place[own] - self.group * periods
        levels = [
            (total.placed[self.group], period),
            (total.by["unit"], runs.unit[own]),
            (total.by["lot"], runs.lot[own] + 1),
        ]
        weighed = self.value * mean
        total.both[np.ix_(self.columns, self.columns)] += self.value @ weighed.T
        total.by_group[self.group, self.columns] += self.value @ first
        for column, each in zip(self.columns, weighed, strict=True):
            by_run = tally(of, each, len(period))
            for table, code in levels:
                table[:, column] += tally(code, by_run, len(table))
