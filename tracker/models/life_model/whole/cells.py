"""Lives cut into cells: one life in one segment of calendar time, where every level stands still.

Within a cell the hazard is e^η · d(y)/da with y = (age / typical life)^shape, so its exposure is
exact: y at the end less y at the start. Cells of one unit, group, lot and segment form a *stratum*:
they share every term of η, so all sums but those over ages are over strata.

A failure found within a tenth of its age is placed in the middle of its interval: for the log of
e^−H(ok) − e^−H(end) that is right to second order. A longer interval keeps its own term,
log(1 − e^−x) with x the hazard gathered within it, at the levels of the segment of its middle;
its exposure then ends at the last good check.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, Self, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.models.life_model.whole.calendar_time import OpenDays, Tracks
from tracker.models.life_model.whole.history import History

Whole: TypeAlias = NDArray[np.signedinteger[Any]]
_NARROW = 0.1  # width of an interval over its middle age below which the middle serves
_LOG_OF_ZERO = -1e4  # stands for log(0): e^ of it is 0, and 0 times it is 0 too


class Rows:
    """Columns of one length, some rows of which can be taken."""

    def take(self, rows: Bools | Ints | slice) -> Self:
        """Only those rows."""
        columns = {f.name: getattr(self, f.name)[rows] for f in fields(self)}  # type: ignore[arg-type]
        return type(self)(**columns)


@dataclass(frozen=True, eq=False)
class Pieces(Rows):
    """Stretches of age: cells of exposure, or long intervals in which a failure lies.

    ``low, high`` are logs of age over the group's typical life. ``row`` is the life, or the
    possible age of a life, that each belongs to.
    """

    stratum: Whole
    row: Whole
    low: Array
    high: Array
    weight: Array

    def __len__(self) -> int:
        return len(self.row)


@dataclass(frozen=True, eq=False)
class Events(Rows):
    """Failures at an exact age: where, the log age over the typical life, and which row."""

    stratum: Whole
    row: Whole
    log_age: Array
    weight: Array


@dataclass(frozen=True, eq=False)
class Strata:
    """What each stratum is: ``lot`` −1 where none is known.

    They may be millions, and are looked at a few times only: numbers no wider than need be.
    """

    unit: Whole
    group: Whole
    lot: Whole
    segment: Whole
    band: Whole

    def __len__(self) -> int:
        return len(self.unit)


@dataclass(frozen=True, eq=False)
class Runs:
    """Strata that follow each other and differ in exposures alone: per run where it begins
    (``first``) and what all of it is; ``of (strata,)``: the run of each.
    """

    first: Ints
    of: Ints
    unit: Ints
    lot: Ints
    group: Ints
    place: Ints

    @classmethod
    def along(cls, strata: Strata, place: Whole) -> Runs:
        """The runs of strata of which these are the places (group and period)."""
        told = (strata.unit, strata.lot, strata.group, place)
        begins = np.ones(len(strata), dtype=bool)
        begins[1:] = False
        for column in told:
            begins[1:] |= column[1:] != column[:-1]
        first = np.flatnonzero(begins)
        of_run = (column[first].astype(np.int64) for column in told)
        return cls(first, np.cumsum(begins) - 1, *of_run)

    def __len__(self) -> int:
        return len(self.first)


PartT = TypeVar("PartT", Pieces, Events)


@dataclass(frozen=True, eq=False)
class Cells:
    """All of a history's cells.

    Rows from ``first_guess`` on are possible ages of lives of unknown age: ``owner`` counts those
    lives, ``guess_row`` is the guess of each life and ``guess_group`` its group, ``guess_age`` the
    possible age on its first day, ``log_chance`` its log chance beforehand, ``share`` what it
    counts for now; ``row_weight`` the lives' weights.
    """

    exposure: Pieces
    events: Events
    intervals: Pieces
    tracks: Tracks
    strata: Strata
    first_guess: int
    owner: Ints
    guess_row: Ints
    guess_group: Ints
    guess_age: Array
    log_chance: Array
    share: Array
    row_weight: Array

    @property
    def life_weight(self) -> Array:
        """The weight of each life of unknown age."""
        first = np.nonzero(np.diff(self.owner, prepend=-1))[0]
        weight: Array = self.row_weight[self.first_guess + first]
        return weight

    @cached_property
    def guessed(self) -> tuple[Bools, Bools, Bools]:
        """Which pieces of exposure, events and intervals belong to lives of unknown age."""
        return (
            self.exposure.row >= self.first_guess,
            self.events.row >= self.first_guess,
            self.intervals.row >= self.first_guess,
        )

    def weighted(self, share: Array) -> Cells:
        """The same with each possible age counting as this share of its life."""
        row = self.row_weight.copy()
        row[self.first_guess :] *= share
        return replace(
            self,
            share=share,
            exposure=_scaled(self.exposure, row),
            events=_scaled(self.events, row),
            intervals=_scaled(self.intervals, row),
        )


def _scaled(part: PartT, row_weight: Array) -> PartT:
    return replace(part, weight=row_weight[part.row])


def counted_until(age: Array, ok: Array) -> tuple[Array, Bools, Array]:
    """The age at which each failure stands (that of the end where it is exact), which ones lie in
    a long interval, and the age up to which the life is exposure.
    """
    middle = np.where(np.isnan(ok), age, (ok + age) / 2)
    wide = ~np.isnan(ok) & (age - ok > _NARROW * middle)
    return middle, wide, np.where(wide, ok, middle)


def life_cells(history: History, seasonal: bool) -> Cells:
    """Cut every life where a quarter ends or an exposure of its unit changes."""
    lives, tracks = history.lives, Tracks.of(history, seasonal)
    seat, sizes = _seats(history)
    life, added, owner, chance = _rows(history, seat)
    entry, age = lives.entry[life] + added, lives.age[life] + added
    ok = lives.last_ok[life] + added
    failed, group = lives.failed[life], lives.group[life]
    middle, wide, end = counted_until(age, ok)

    own = tracks.of_unit[lives.unit[life]]
    began = OpenDays(history.closed).counted(lives.unit, lives.began_on)[life]
    first, row, segment, start, stop = _stretches(tracks, own, began, began + end - entry)

    log_unit = np.log(history.groups.told("typical_life"))
    shift = (entry - began)[row]
    log_low = log_age(np.maximum(start + shift, 0.0)) - log_unit[group[row]]
    log_high = np.log(stop + shift) - log_unit[group[row]]
    exact, long = np.nonzero(failed & ~wide)[0], np.nonzero(wide)[0]
    found = tracks.find(own, began + middle - entry, "left")

    places = [(row, segment)] + [(r, np.maximum(found, first)[r]) for r in (exact, long)]
    strata, codes = _strata(seat, sizes, life, tracks, places)
    first_guess = len(life) - len(owner)
    guessed = life[first_guess:][np.diff(owner, prepend=-1) > 0]
    weight = lives.weight[life]
    log_exact = np.log(middle[exact]) - log_unit[group[exact]]
    log_ok = log_age(ok[long]) - log_unit[group[long]]
    log_found = np.log(age[long]) - log_unit[group[long]]
    cells = Cells(
        Pieces(codes[0], row, log_low, log_high, weight[row]),
        Events(codes[1], exact, log_exact, weight[exact]),
        Pieces(codes[2], long, log_ok, log_found, weight[long]),
        tracks,
        strata,
        first_guess,
        owner,
        lives.guess[guessed],
        lives.group[guessed],
        added[first_guess:],
        np.log(chance),
        chance,
        weight,
    )
    return cells.weighted(chance)


def _stretches(
    tracks: Tracks, own: Ints, began: Array, ended: Array
) -> tuple[Ints, Ints, Ints, Array, Array]:
    """Every watched time from ``began`` to ``ended``, on its ``own`` track, cut where a segment of
    it ends: the first segment of each, then of each stretch which one it is of, its segment, its
    start and its stop.
    """
    first = tracks.find(own, began, "right")
    last = np.maximum(tracks.find(own, ended, "left"), first)
    count = last - first + 1
    row = np.repeat(np.arange(len(own), dtype=_narrow(len(own))), count)
    segment = np.arange(len(row)) - np.repeat(np.cumsum(count) - count - first, count)
    start = np.maximum(tracks.counted_start[segment], began[row])
    start[np.cumsum(count) - count] = began  # the first and the last stretch reach the life's ends
    stop = np.minimum(tracks.counted_end[segment], ended[row])
    stop[np.cumsum(count) - 1] = ended
    open_ = stop > start
    return first, row[open_], segment[open_], start[open_], stop[open_]


def _seats(history: History) -> tuple[Ints, tuple[int, ...]]:
    """One number for each life's group, unit, lot and band, and how many there may be of each."""
    lives = history.lives
    bands = int(lives.band.max(initial=0)) + 1
    sizes = (len(history.groups), history.n_units, history.n_lots + 1, bands)
    told = (lives.group, lives.unit, lives.lot + 1, lives.band)
    return np.ravel_multi_index(told, sizes), sizes


def _strata(
    seat: Ints,
    sizes: tuple[int, ...],
    life: Ints,
    tracks: Tracks,
    places: list[tuple[Ints, Ints]],
) -> tuple[Strata, list[Ints]]:
    """The strata that occur, group by group and by unit, and of each list of rows and segments the
    stratum.
    """
    seats, seat_of = np.unique(seat, return_inverse=True)
    group, unit, lot, band = (
        column.astype(_narrow(size))
        for column, size in zip(np.unravel_index(seats, sizes), sizes, strict=True)
    )
    first = np.searchsorted(tracks.track, np.arange(tracks.track[-1] + 2))
    longest = int(np.diff(first).max())
    # A segment counts from the beginning of its unit's track: few numbers, none of them sorted.
    shift = np.arange(len(seats)) * longest - first[tracks.of_unit[unit]]
    of_life = shift[seat_of][life]
    keys = [of_life[rows] + segment for rows, segment in places]
    there = np.zeros(len(seats) * longest, dtype=bool)
    for key in keys:
        there[key] = True
    found = np.flatnonzero(there)
    at = found // longest
    # A stratum's number: those of the seats before, and of its own the segments up to it.
    before = np.searchsorted(at, np.arange(len(seats))).astype(_narrow(len(found)))
    small = np.int8 if longest < 2**7 else _narrow(longest)
    up_to = np.cumsum(there.reshape(-1, longest), axis=1, dtype=small).ravel()
    number = [before[key // longest] + (up_to[key] - small(1)) for key in keys]
    segment = (found - shift[at]).astype(_narrow(len(tracks.segment)))
    strata = Strata(unit[at], group[at], lot[at] - 1, segment, band[at])
    return strata, number


def _narrow(size: int) -> type[np.signedinteger[Any]]:
    """The narrowest whole numbers below that size."""
    return np.int16 if size < 2**15 else np.int32 if size < 2**31 else np.int64


def _rows(history: History, seat: Ints) -> tuple[Ints, Array, Ints, Array]:
    """Which life each row is, the age added, and for guessed rows their guess and its chance."""
    lives, guesses = history.lives, history.guesses
    # Group by group and by unit: what is read together then lies together.
    order = np.argsort(seat, kind="stable")
    known = order[lives.guess[order] < 0]
    if guesses is None or len(known) == len(lives):
        return known, np.zeros(len(known)), np.zeros(0, np.int64), np.zeros(0)
    unknown = order[lives.guess[order] >= 0]
    points = guesses.age.shape[1]
    rows = lives.guess[unknown]
    chance = guesses.chance[rows].ravel()
    keep = chance > 0
    life = np.concatenate((known, np.repeat(unknown, points)[keep]))
    added = np.concatenate((np.zeros(len(known)), guesses.age[rows].ravel()[keep]))
    return life, added, np.repeat(np.arange(len(unknown)), points)[keep], chance[keep]


def log_age(age: Array) -> Array:
    """The log of ages, one that stands for it at age 0."""
    with np.errstate(divide="ignore"):
        return np.where(age > 0, np.log(age), _LOG_OF_ZERO)
