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
from tracker.forecast.fitted_lives import LEAST_DRAWS, FittedLives
from tracker.forecast.futures.first_ends import Wearing, ends_without_wear
from tracker.forecast.futures.futures import NEEDS_AT_ONCE, Cause, Causes, Futures, Needs
from tracker.forecast.futures.luck import Luck, Use
from tracker.forecast.futures.other_needs import other_rates
from tracker.forecast.futures.positions import leaders
from tracker.forecast.planned_practice import margin_of
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.renewed import NewParts
from tracker.models.life_model.whole.history import UNSEEN
from tracker.workshop.remembered.reads import found_once

# Futures. Of many thousand parts a sum hangs on the draw and hardly on luck, so no draw of a fleet
# (`fitted_lives.LEAST_DRAWS`) may be left out: half of them told a tenth too little stock.
MOST, FEWEST = 4000, LEAST_DRAWS
_LIVES_PLAYED = 800_000  # futures × positions aimed at
_ROUNDS = 100  # parts after one another in a position, at most
_LONG = 1e5  # longer than any horizon: keeps leader and future apart where they are sorted


def futures_for(positions: int, *, most: int = MOST) -> int:
    """How many futures are played of a workshop with so many positions, however far."""
    return int(np.clip(_LIVES_PLAYED / max(positions, 1), FEWEST, most))


def play_futures(
    fitted: FittedLives,
    positions: pd.DataFrame,
    horizon: float,
    planned_ages: Mapping[str, float] | None = None,
    *,
    size: int | None = None,
) -> Futures:
    """What may be needed in these positions up to so many days from today?

    ``positions`` as of ``fitted_positions``: those that take others along must be among them.
    ``planned_ages``: days of age at which working parts of a kind are changed by plan; what is well
    past it (``planned_practice.margin_of``) was let run, and stays in till it fails. ``size``
    futures are played (None: ``futures_for`` these positions); as many futures of some of the
    positions, or up to another day, are the same futures.

    Raises OverflowError for a horizon of 100 000 days or more.
    """
    if not horizon < _LONG:  # no checked figure leads there, and it would fill the memory
        raise OverflowError(horizon)
    if size is None:
        size = futures_for(len(positions))
    table = _Table.of(fitted, positions, float(horizon), dict(planned_ages or {}), size)
    played: list[Needs] = []
    for rows in table.generations():
        played += _play(table, rows, played)
    needs = Needs.joined(played)
    if fitted.waits_counted:
        needs = needs.take(needs.cause != int(Cause.EMPTY))
    return Futures(size, table.horizon, needs)


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
    horizon: float
    draw: Ints  # of each future, among ``draws``
    kind: Ints  # which row of ``other`` each position has
    other: Array  # (kinds, draws)
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
        fitting = pd.Index(positions["fitting"])
        is_new = positions["is_new"].to_numpy(dtype=bool)
        wears = fitted.is_worn(fitting)
        is_empty = positions["empty_since"].notna().to_numpy(dtype=bool)
        leader = leaders(positions, fitted.known)
        draws, draw = fitted.draws, np.arange(size)
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
        truths = size if draws is None else len(draws)
        rates = other_rates(fitted, list(kinds), set(planned), truths)
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
            horizon=horizon,
            draw=draw,
            kind=kind.astype(np.int64),
            other=np.array([rates[one] for one in kinds]).reshape(len(kinds), truths),
            size=size,
        )

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
            ages[asked] = self.fitted.age_told(self.fitting[asked], lambda own: own.mean)
        ages[self.is_new | self.is_empty] = 0.0
        return ages

    def first_ends(self, rows: Ints) -> Iterator[tuple[Ints, Array, Causes]]:
        """When and why the parts fitted now in these positions come out, for some positions after
        the other: which ones, and (positions, futures) of them; all wear, or none does.
        """
        luck, kind = self.luck.take(rows), self.kind[rows]
        if self.draws is not None and self.wears[rows].all():
            parts, path, other = self.parts.take(self.part[rows]), self.fitted.path, self.other
            wearing = Wearing(self.draws, parts, path, self.horizon, self.draw, other, kind, luck)
            for some, day, cause in wearing.ends():
                yield rows[some], day, cause
        elif len(rows):
            yield rows, *ends_without_wear(self.other[kind][:, self.draw], luck)

    @found_once
    def _new_parts(self) -> NewParts:
        assert self.draws is not None
        return NewParts(self.draws, self.horizon, self.fitted.path)

    def next_ends(self, future: Ints, row: Ints, start: Array, life: int) -> tuple[Array, Causes]:
        """When do new parts, fitted on these days, come out, and why? After the horizon is as good
        as never. ``life``: which ones after those that are in now.
        """
        draws, draw = self.draws, self.draw[future]
        rate = self.other[self.kind[row], draw]
        sudden = -np.log(self.luck.each(Use.SUDDEN, row, future, life))
        if draws is None or not self.wears[row].all():
            day = start + sudden / np.maximum(rate, 1e-300)
            return day, np.full(len(row), Cause.OTHER, np.int8)
        own = self.part[row]
        group, unit = self.parts.group[own], self.parts.unit[own]
        hazard = -np.log(self.luck.each(Use.WEAR, row, future, life))
        day = self._new_parts.ends(draw, group, unit, start, hazard)
        cause = np.full(len(row), Cause.WEAR, np.int8)
        accident = draws.accident[draw, group]
        rate = rate + accident
        # Sudden ends are rare, and no closed day brings one forward.
        soon = np.flatnonzero(sudden <= rate * (np.minimum(self.horizon, day) - start))
        struck = draws.day_after(unit[soon], start[soon], sudden[soon] / rate[soon])
        first = struck < day[soon]
        soon, struck = soon[first], struck[first]
        pick = self.luck.each(Use.CAUSE, row[soon], future[soon], life) * rate[soon]
        day[soon] = struck
        cause[soon] = np.where(pick < accident[soon], np.int8(Cause.ACCIDENT), np.int8(Cause.OTHER))
        return day, cause


def _fitted_after(fitted: FittedLives, positions: pd.DataFrame, leader: Ints) -> Bools:
    """Which parts went in when the one that leads them was out already, and so stay when the place
    it left is filled?
    """
    fitted_on = fitted.lives["fitted_on"].reindex(positions["fitting"]).to_numpy()
    left = positions["empty_since"].to_numpy()[np.maximum(leader, 0)]
    found: Bools = (leader >= 0) & (fitted_on >= left)
    return found


def _play(table: _Table, generation: Ints, played: list[Needs]) -> Iterator[Needs]:
    """All needs of these positions; ``played`` are those of what leads them."""
    led = table.leader[generation].max(initial=-1) >= 0
    lead = _Leads.of(table, played) if led else None
    worn = table.wears[generation]
    for rows in (generation[worn], generation[~worn]):
        few: list[Needs] = []
        for first in _first_needs(table, rows, lead):
            few.append(first)
            if sum(len(each.day) for each in few) > NEEDS_AT_ONCE:
                yield from _in_turn(table, Needs.joined(few), lead)
                few = []
        yield from _in_turn(table, Needs.joined(few), lead)


def _first_needs(table: _Table, rows: Ints, lead: _Leads | None) -> Iterator[Needs]:
    """When the parts that are in these positions now come out."""
    planned = table.planned_age
    # Who let a part run well past that age is not going to change it today.
    let_run = np.isfinite(planned) & (table.ages > planned + margin_of(planned))
    in_use = np.where(let_run, np.inf, np.maximum(planned - table.ages, 0.0))
    for own, day, cause in table.first_ends(rows):
        day[table.is_empty[own]], cause[table.is_empty[own]] = 0.0, int(Cause.EMPTY)
        taken = None if lead is None else lead.first_after(table.leader[own], table.since[own])
        day, cause = _cut_short(day, cause, in_use[own, None], taken)
        happens = (day <= table.horizon) & (day < table.until[own, None])
        part, future = np.nonzero(happens)
        yield Needs(future, own[part], day[happens], cause[happens])


def _in_turn(table: _Table, ended: Needs, lead: _Leads | None) -> Iterator[Needs]:
    """These needs, of positions that all wear or of which none does, and then what follows each,
    and so on.
    """
    for life in range(1, _ROUNDS):
        if not len(ended.day):
            break
        yield ended
        future, row, start = ended.future, ended.row, ended.day
        day, cause = table.next_ends(future, row, start, life)
        taken = None if lead is None else lead.next_after(future, table.leader[row], start)
        day, cause = _cut_short(day, cause, start + table.planned_age[row], taken)
        happens = np.flatnonzero((day <= table.horizon) & (day < table.until[row]))
        ended = Needs(future, row, day, cause).take(happens)


def _cut_short(
    day: Array, cause: Causes, planned: Array, taken: Array | None
) -> tuple[Array, Causes]:
    """Ends by plan and along with a leading part where these come before."""
    for other, why in ((planned, Cause.PLANNED), (taken, Cause.WITH)):
        if other is not None and np.isfinite(other).any():
            cause = np.where(other < day, np.int8(why), cause)
            day = np.minimum(day, other)
    return day, cause


@dataclass(frozen=True, eq=False)
class _Leads:
    """On which days the leading parts come out, by position, future and day: those of a position
    (``place (positions,)`` among the leading ones) and future from ``first`` on.
    """

    day: Array
    first: Ints
    place: Ints
    futures: int

    @classmethod
    def of(cls, table: _Table, played: list[Needs]) -> _Leads:
        leads = np.zeros(len(table.kind), dtype=bool)
        leads[table.leader[table.leader >= 0]] = True
        place = np.cumsum(leads) - 1
        needs = Needs.joined([each.take(leads[each.row]) for each in played])
        pair = place[needs.row] * table.size + needs.future
        count = np.bincount(pair, minlength=int(leads.sum()) * table.size)
        day = np.append(needs.day[np.argsort(pair * _LONG + needs.day)], np.inf)
        return cls(day, np.concatenate(([0], np.cumsum(count))), place, table.size)

    def first_after(self, leader: Ints, start: Array) -> Array:
        """The same in every future, by leading part and day: (parts, futures)."""
        asked, each = np.unique(np.stack((leader, start)), axis=1, return_inverse=True)
        future = np.tile(np.arange(self.futures), asked.shape[1])
        lead, since = np.repeat(asked, self.futures, axis=1)
        found = self.next_after(future, lead.astype(np.int64), since)
        return found.reshape(-1, self.futures)[each.ravel()]

    def next_after(self, future: Ints, leader: Ints, start: Array) -> Array:
        """The first day after ``start`` on which the leading part comes out; infinite: none."""
        pair = self.place[leader] * self.futures + future
        at, end = self.first[pair], self.first[pair + 1]
        # Few parts follow one another before the horizon: looking at each is less than halving.
        behind = np.flatnonzero((at < end) & (self.day[at] <= start))
        while len(behind):
            at[behind] += 1
            later = at[behind]
            behind = behind[(later < end[behind]) & (self.day[later] <= start[behind])]
        return np.where(at < end, self.day[at], np.inf)
