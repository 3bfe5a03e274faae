"""Futures are played position by position: the part fitted now, then each one after it.

A position that waits for a part needs one at once, and a new part is in it from today on. A part
comes out when it wears out or meets an accident, when the workshop changes it (at a certain
age, or at a constant rate for any other reason), or along with the part that leads it; parts that
lead are played first. Whatever follows is new, of a lot not seen yet, in the same printer. Its luck
hangs on the position alone (``luck``): what else is played does not move it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.futures.first_ends import Hazards
from tracker.forecast.futures.futures import Cause, Futures
from tracker.forecast.futures.luck import Luck, Use
from tracker.forecast.futures.other_needs import other_rates
from tracker.forecast.futures.positions import leaders
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.renewed import NewParts
from tracker.models.life_model.whole.history import UNSEEN
from tracker.workshop.remembered.reads import found_once

MOST, FEWEST = 4000, 128  # futures; a sum over many thousand parts hardly differs among them
_LIVES_PLAYED = 1_000_000  # futures × positions aimed at, longer horizons counting for more
_YEAR = 365.0
_DAYS = 25  # of the table of hazards, closer together near today
_MOST_EDGES = 20  # of closed days told exactly
_TABLE = 3_000_000  # numbers in it worked on at once
_ROUNDS = 100  # parts after one another in a position, at most
_LONG = 1e5  # longer than any horizon: keeps (future, leader) apart in one sorted array


def play_futures(
    fitted: FittedLives,
    positions: pd.DataFrame,
    horizon: float,
    planned_ages: Mapping[str, float] | None = None,
    *,
    most: int = MOST,
) -> Futures:
    """What may be needed in these positions up to so many days from today?

    ``positions`` as of ``fitted_positions``: those that take others along must be among them.
    ``planned_ages``: days of age at which working parts of a kind are changed by plan. ``most``
    futures are played, fewer where there are many positions.
    """
    lives = max(len(positions), 1) * (1 + horizon / _YEAR)
    size = int(np.clip(_LIVES_PLAYED / lives, FEWEST, most))
    table = _Table.of(fitted, positions, float(horizon), dict(planned_ages or {}), size)
    played = _joined([])
    for rows in table.generations():
        played = _joined([played, *_play(table, rows, played)])
    needs = played
    if fitted.waits_counted:
        needs = needs.take(np.flatnonzero(needs.cause != int(Cause.EMPTY)))
    return Futures.of_needs(size, table.horizon, needs.future, needs.row, needs.day, needs.cause)


@dataclass(frozen=True, eq=False)
class _Needs:
    """Columns of one length."""

    future: Ints
    row: Ints
    day: Array
    cause: Ints

    def take(self, rows: Ints | np.ndarray) -> _Needs:
        return _Needs(self.future[rows], self.row[rows], self.day[rows], self.cause[rows])


def _joined(parts: list[_Needs]) -> _Needs:
    if not parts:
        none = np.zeros(0, np.int64)
        return _Needs(none, none, np.zeros(0), none)
    names = ("future", "row", "day", "cause")
    return _Needs(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


@dataclass(frozen=True, eq=False)
class _Table:
    """Everything a future is played from; arrays have one entry per position."""

    fitted: FittedLives
    draws: LifeDraws | None  # only those that some future is played from
    luck: Luck
    fitting: pd.Index
    is_new: np.ndarray
    until: Array
    planned_age: Array  # infinite: changed at no certain age
    is_empty: Bools
    since: Array  # before the first day on which what leads it may take its part along
    leader: Ints
    wears: np.ndarray
    parts: Parts  # of the positions that wear, in order; the others have no entry
    part: Ints  # which of them each position is; -1
    days: Array
    draw: Ints  # of each future, among ``draws``
    kind: Ints  # which row of ``other`` each position has
    other: Array  # (kinds, futures)
    size: int

    @classmethod
    def of(
        cls,
        fitted: FittedLives,
        positions: pd.DataFrame,
        horizon: float,
        planned: Mapping[str, float],
        size: int,
    ) -> _Table:
        kind, kinds = pd.factorize(positions["part_kind"], sort=True)
        names = [positions[name] for name in ("part_kind", "printer", "position")]
        rates = other_rates(fitted, list(kinds), set(planned), size)
        fitting = pd.Index(positions["fitting"])
        is_new = positions["is_new"].to_numpy(dtype=bool)
        wears = fitted.is_worn(fitting)
        is_empty = positions["empty_since"].notna().to_numpy(dtype=bool)
        leader = leaders(positions, fitted.known)
        days = _days(fitted, horizon)
        draws, draw = fitted.draws, np.zeros(size, np.int64)
        none = np.zeros(0, np.int64)
        parts = Parts(none, none, none, np.zeros(0), none)
        if draws is not None:
            reached = np.cumsum(draws.weight)
            draw = np.searchsorted(reached, (np.arange(size) + 0.5) / size * reached[-1])
            played, draw = np.unique(np.minimum(draw, len(draws) - 1), return_inverse=True)
            draws = draws.only(played)
            parts = fitted.parts(fitting[wears])
            new = is_new[wears]
            parts = replace(
                parts,
                unit=np.where(new, UNSEEN, parts.unit),
                lot=np.where(new, UNSEEN, parts.lot),
                age=np.where(new, 0.0, parts.age),
                guess=np.where(new, -1, parts.guess),
                near=None if parts.near is None else np.where(new, 1.0, parts.near),
            )
        part = np.full(len(kind), -1, dtype=np.int64)
        part[wears] = np.arange(len(parts))
        return cls(
            fitted=fitted,
            draws=draws,
            luck=Luck.of(zip(*names, strict=True)),
            fitting=fitting,
            is_new=is_new,
            until=positions["until"].to_numpy(dtype=float),
            planned_age=np.array([planned.get(one, np.inf) for one in kinds], dtype=float)[kind],
            is_empty=is_empty,
            since=np.where(_fitted_after(fitted, positions, leader), 0.0, -1.0),
            leader=leader,
            wears=wears,
            parts=parts,
            part=part,
            days=days,
            draw=draw,
            kind=kind.astype(np.int64),
            other=np.array([rates[one] for one in kinds]).reshape(len(kinds), size),
            size=size,
        )

    @property
    def horizon(self) -> float:
        return float(self.days[-1])

    def generations(self) -> list[Ints]:
        """The positions, those that lead before those that follow; where they lead one another in a
        ring, nothing is taken along.
        """
        depth, most = np.zeros(len(self.kind), np.int64), len(self.other)
        for _ in range(most):
            depth = np.where(self.leader >= 0, depth[self.leader] + 1, 0)
        return [np.flatnonzero(depth == own) for own in np.unique(depth)]

    @found_once
    def ages(self) -> Array:
        """Days each part that is changed at a certain age has been in, by calendar; of unknown ages
        the one to be expected.
        """
        ages = np.zeros(len(self.kind))
        asked = self.wears & np.isfinite(self.planned_age)
        if asked.any():
            ages[asked] = [own.mean for own in self.fitted.ages(self.fitting[asked])]
        ages[self.is_new | self.is_empty] = 0.0
        return ages

    def chunks(self, rows: Ints) -> Iterator[Ints]:
        draws = 1 if self.draws is None else len(self.draws)
        few = max(1, int(_TABLE / max(draws * len(self.days), self.size)))
        for low in range(0, len(rows), few):
            yield rows[low : low + few]

    def hazards(self, rows: Ints) -> Hazards:
        """What the parts fitted now in these positions gather; all wear, or none does."""
        draws, luck = self.draws, self.luck.take(rows)
        other = self.other[self.kind[rows]].T
        if draws is None or not self.wears[rows].all():
            return Hazards(
                self.days,
                np.zeros((self.draw.max() + 1, len(rows), len(self.days))),
                np.tile(self.days, (len(rows), 1)),
                np.zeros(other.shape),
                other,
                self.draw,
                luck,
            )
        parts = self.parts.take(self.part[rows])
        return Hazards(
            self.days,
            self._wear(self.part[rows]),
            draws.counted_days(parts, self.days),
            np.take(draws.accident[self.draw].T, parts.group, axis=0).T,
            other,
            self.draw,
            luck,
        )

    def _wear(self, part: Ints) -> Array:
        """What these parts gather, all parts at once where the table is small: (draws, parts,
        days).
        """
        assert self.draws is not None
        if len(self.draws) * len(self.parts) * len(self.days) > _TABLE:
            return self.draws.cumulative_hazard(self.parts.take(part), self.days, self.fitted.path)
        return self._all_wear[:, part]

    @found_once
    def _all_wear(self) -> Array:
        assert self.draws is not None
        return self.draws.cumulative_hazard(self.parts, self.days, self.fitted.path)

    @found_once
    def _new_parts(self) -> NewParts:
        assert self.draws is not None
        return NewParts(self.draws, self.horizon, self.fitted.path)

    def next_ends(self, future: Ints, row: Ints, start: Array, life: int) -> tuple[Array, Ints]:
        """When do new parts, fitted on these days, come out, and why? ``life``: which ones after
        those that are in now.
        """
        draws, draw = self.draws, self.draw[future]
        other = self.other[self.kind[row], future]
        sudden = -np.log(self.luck.each(Use.SUDDEN, row, future, life))
        if draws is None or not self.wears[row].all():
            return start + sudden / np.maximum(other, 1e-300), np.full(len(row), int(Cause.OTHER))
        own = self.part[row]
        parts = Parts.new(self.parts.group[own], self.parts.unit[own])
        hazard = -np.log(self.luck.each(Use.WEAR, row, future, life))
        worn = self._new_parts.ends(draw, parts, start, hazard)
        accident = draws.accident[draw, parts.group]
        struck = draws.day_after(parts.unit, start, sudden / (accident + other))
        pick = self.luck.each(Use.CAUSE, row, future, life) * (accident + other)
        why = np.where(pick < accident, int(Cause.ACCIDENT), int(Cause.OTHER))
        return np.minimum(worn, struck), np.where(worn <= struck, int(Cause.WEAR), why)


def _fitted_after(fitted: FittedLives, positions: pd.DataFrame, leader: Ints) -> Bools:
    """Which parts went in when the one that leads them was out already, and so stay when the place
    it left is filled?
    """
    fitted_on = fitted.lives["fitted_on"].reindex(positions["fitting"]).to_numpy()
    left = positions["empty_since"].to_numpy()[np.maximum(leader, 0)]
    found: Bools = (leader >= 0) & (fitted_on >= left)
    return found


def _days(fitted: FittedLives, horizon: float) -> Array:
    """The days tabled: closer together near today, and where the workshop closes and opens."""
    days = horizon * np.linspace(0.0, 1.0, _DAYS) ** 1.5
    if fitted.draws is None:
        return days
    closed = fitted.draws.open_days.closed
    edges = np.unique(np.concatenate((closed.began_on, closed.ended_on + 1))) - fitted.draws.as_of
    edges = edges[(edges > 0) & (edges < horizon)]
    return np.union1d(days, edges[:_MOST_EDGES])


def _play(table: _Table, generation: Ints, played: _Needs) -> list[_Needs]:
    """All needs of these positions; ``played`` holds those of what leads them."""
    led = table.leader[generation].max(initial=-1) >= 0
    lead = _Leads.of(table, played) if led else None
    worn = table.wears[generation]
    found: list[_Needs] = []
    for rows in (generation[worn], generation[~worn]):
        for chunk in table.chunks(rows):
            found += _play_chunk(table, chunk, lead)
    return found


def _play_chunk(table: _Table, chunk: Ints, lead: _Leads | None) -> list[_Needs]:
    """The same for a few, which all wear or none of which does: what is in now, what follows it,
    and so on.
    """
    day, cause = table.hazards(chunk).ends()
    day[:, table.is_empty[chunk]], cause[:, table.is_empty[chunk]] = 0.0, int(Cause.EMPTY)
    future = np.repeat(np.arange(table.size), len(chunk))
    row = np.tile(chunk, table.size)
    planned = np.maximum(table.planned_age - table.ages, 0.0)[row]
    ended = _Needs(future, row, day.ravel(), cause.ravel())
    ended = _cut_short(table, ended, planned, table.since[row], lead)
    found = [ended]
    for life in range(1, _ROUNDS):
        if not len(ended.day):
            break
        start = ended.day
        after = _Needs(
            ended.future, ended.row, *table.next_ends(ended.future, ended.row, start, life)
        )
        ended = _cut_short(table, after, start + table.planned_age[ended.row], start, lead)
        found.append(ended)
    return found


def _cut_short(
    table: _Table, ends: _Needs, planned: Array, start: Array, lead: _Leads | None
) -> _Needs:
    """Ends by plan and along with a leading part where these come before; those that happen."""
    day, cause = ends.day, ends.cause
    cause = np.where(planned < day, int(Cause.PLANNED), cause)
    day = np.minimum(day, planned)
    if lead is not None:
        taken = lead.next_after(ends.future, table.leader[ends.row], start)
        cause = np.where(taken < day, int(Cause.WITH), cause)
        day = np.minimum(day, taken)
    happens = (day <= table.horizon) & (day < table.until[ends.row])
    return _Needs(ends.future[happens], ends.row[happens], day[happens], cause[happens])


@dataclass(frozen=True, eq=False)
class _Leads:
    """On which days the leading parts come out, sorted by future, position and day."""

    key: Array
    day: Array
    places: int

    @classmethod
    def of(cls, table: _Table, needs: _Needs) -> _Leads:
        places = len(table.kind)
        leads = np.zeros(places, dtype=bool)
        leads[table.leader[table.leader >= 0]] = True
        needs = needs.take(leads[needs.row])
        key = (needs.future * places + needs.row) * _LONG + needs.day
        order = np.argsort(key)
        return cls(key[order], needs.day[order], places)

    def next_after(self, future: Ints, leader: Ints, start: Array) -> Array:
        """The first day after ``start`` on which the leading part comes out; infinite: none."""
        base = (future * self.places + leader) * _LONG
        at = np.searchsorted(self.key, base + start, side="right")
        inside = at < len(self.key)
        here = np.minimum(at, max(len(self.key) - 1, 0))
        if not len(self.key):
            return np.full(len(future), np.inf)
        same = inside & (leader >= 0) & (self.key[here] < base + _LONG)
        return np.where(same, self.day[here], np.inf)
