"""Hazard of wear gathered from today on, for many parts and draws, a day asked about at a time.

Tables here have draws in their last direction: rows are copied many times faster than columns.
Parts of units whose exposures change on the same days walk along one calendar, each with exposures
of its own; a unit with closed days of its own has its own calendar. Today's exposures are a part of
the level.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.models.life_model.whole.calendar_time import QUARTER, Track, common_track
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts

_AT_ONCE = 32_768  # numbers worked on together: few enough to stay in the cache
COMMON = -1  # the calendar of all units without one of their own
_LARGEST = 40.0  # log of a level, or of an age's hazard, beyond which single precision overflows


def gathering(
    draws: Levels, parts: Parts, days: Array, path: Steps | None, *, coarse: bool = False
) -> Iterator[Block]:
    """The parts, block by block, each with a walk through the rising ``days`` from today (0 or
    more). Each part comes once; those of a block share closed days.

    ``coarse``: in single precision and with one mean pace between two days, for curves of many
    days. Unknown ages are averaged over as survival, not as hazard. Parts of a group come together.
    """
    ahead = Ahead.of(draws, path)
    tables = _Tables.of(draws, np.float32 if coarse else np.float64)
    count = draws.ages.possible(parts.guess)[1]
    calendar = ahead.calendar(parts.unit)
    order = np.lexsort((parts.age, parts.group, calendar))
    for together in np.split(order, np.nonzero(np.diff(calendar[order]))[0] + 1):
        if not len(together):
            continue
        timeline = _Timeline.of(
            draws, ahead, int(calendar[together[0]]), days, coarse=coarse, cut=parts.near_days
        )
        filled = np.cumsum(count[together]) * len(draws) // _AT_ONCE
        for rows in np.split(together, np.nonzero(np.diff(filled))[0] + 1):
            yield _block(draws, tables, rows, parts.take(rows), ahead, timeline)


@dataclass(frozen=True, eq=False)
class Block:
    """Parts worked on together, the ``rows`` of them: each gathers what those like it do, which
    class it is of (``alike (rows,)``, ``classes`` of them), times a level of its ``own (rows,
    draws)``.

    ``walk``: which day, and what each class has gathered by then, (classes, draws), to be read
    before the next day is asked for.
    """

    rows: Ints
    alike: Ints
    own: Array
    walk: Iterator[tuple[int, Array]]

    @property
    def classes(self) -> int:
        """How many are told apart but for their levels."""
        return int(self.alike[-1]) + 1

    def of_parts(self, gathered: Array) -> Array:
        """What the parts have gathered where the classes have this: (rows, draws)."""
        found: Array = np.take(gathered, self.alike, axis=0, mode="clip")
        found *= self.own
        return found


@dataclass(frozen=True, eq=False)
class Ahead:
    """Exposures to come: ``value (rows, exposures)``, less the mean, 0 where unknown, and
    ``from_day``, by unit and day, those of a unit from ``first (units + 1,)`` on, ``begun
    (units,)`` of them by today; ``follows (units,)``: whose calendar each follows.
    """

    value: Array
    from_day: Array
    first: Ints
    begun: Ints
    follows: Ints
    today: float

    @classmethod
    def of(cls, draws: Levels, path: Steps | None) -> Ahead:
        """Those of the draws, or with a ``path`` of their own."""
        if path is not None:
            return cls._put_together(draws, path)
        if draws not in _standing:
            _standing[draws] = cls._put_together(draws, None)
        return _standing[draws]

    @classmethod
    def _put_together(cls, draws: Levels, path: Steps | None) -> Ahead:
        known = draws.exposures
        unit, from_day, value = known.unit, known.from_day, known.value
        if path is not None:
            if path.value.shape[1] != known.value.shape[1]:
                raise ModelError(
                    f"path has {path.value.shape[1]} exposures and the fit "
                    f"{known.value.shape[1]}: give one column for each, in the fit's order."
                )
            unit, from_day = np.append(unit, path.unit), np.append(from_day, path.from_day)
            value = np.concatenate((value, path.value))
        order = np.lexsort((from_day, unit))
        unit, from_day = unit[order], from_day[order]
        # Of two values from one day on the later one written holds.
        last = np.append((unit[1:] != unit[:-1]) | (from_day[1:] != from_day[:-1]), True)
        last = np.nonzero(last[: len(unit)])[0]
        unit, from_day = unit[last], from_day[last]
        units = draws.unit.shape[1]
        first = np.searchsorted(unit, np.arange(units + 1))
        begun = np.bincount(unit[from_day <= draws.as_of], minlength=units)
        return cls(
            np.nan_to_num(value[order][last] - draws.exposure_mean),
            from_day,
            first,
            begun,
            _followed(from_day, first, begun, draws.open_days.own),
            draws.as_of,
        )

    def calendar(self, unit: Ints) -> Ints:
        """The unit whose calendar each unit follows; −1: the common one."""
        known = unit >= 0
        return np.where(known, self.follows[np.where(known, unit, 0)], COMMON)

    def changes(self, unit: int) -> Array:
        """The days after today on which the exposures of a unit change."""
        if unit < 0:
            return np.zeros(0)
        return self.from_day[self.first[unit] + self.begun[unit] : self.first[unit + 1]]

    def exposure(self, unit: Ints, change: int) -> Array:
        """Each unit's exposures after so many changes, 0 of a unit not seen yet: (units,
        exposures).
        """
        known = unit >= 0
        own = np.where(known, unit, 0)
        size = self.first[own + 1] - self.first[own]
        found = np.zeros((len(unit), self.value.shape[1]))
        known &= size > 0
        # Before its first day a unit's first value holds.
        at = self.first[own] + np.clip(self.begun[own] - 1 + change, 0, np.maximum(size - 1, 0))
        found[known] = self.value[at[known]]
        return found


# Asked for again and again, and much to put together of a fleet.
_standing: WeakKeyDictionary[Levels, Ahead] = WeakKeyDictionary()


def _followed(from_day: Array, first: Ints, begun: Ints, own: Ints) -> Ints:
    """The first unit whose exposures change on the same days to come; −1 where none do."""
    follows = np.full(len(begun), COMMON, dtype=np.int64)
    follows[own] = own  # a unit with closed days of its own leads nobody else
    leaders: dict[bytes, int] = {}
    for unit in np.nonzero((np.diff(first) > begun) & (follows == COMMON))[0]:
        days = from_day[first[unit] + begun[unit] : first[unit + 1]]
        follows[unit] = leaders.setdefault(days.tobytes(), int(unit))
    return follows


def segments(draws: Levels, ahead: Ahead, unit: int, days: Array) -> tuple[Array, Track, Ints]:
    """Open days gone at each end of each segment to come on that unit's calendar (−1: the common
    one), 0 first; the segments, cut at each of the ``days`` from today too; and after how many
    changes of the exposures each is.
    """
    today, horizon = draws.as_of, max(float(days.max()), 1e-6)
    near = today + min(horizon, draws.ahead.shape[1] * QUARTER)
    come = common_track((today, near), today, draws.season.shape[1] > 0)
    changes = ahead.changes(unit)
    inside = changes[changes < today + horizon]
    ends = np.unique(np.concatenate((come.start, come.end, today + days, inside)))
    middle = (ends[:-1] + ends[1:]) / 2
    at = np.minimum(np.searchsorted(come.end, middle), len(come) - 1)
    # Beyond the drift's last quarter a year's swing averages out.
    season = come.season[at] * (middle < near)[:, None]
    split = Track(ends[:-1], ends[1:], come.quarter[at], season, come.exposure[at])
    counted = draws.open_days.before(ends, unit)
    gone = counted - draws.open_days.before(np.array([today]), unit)
    return gone, split, np.searchsorted(changes, middle)


@dataclass(frozen=True, eq=False)
class _Tables:
    """Levels by row, draws along it; ``pattern (groups,)`` numbers the groups' ``acts (patterns,
    exposures)``: which exposures touch them.
    """

    rate: Array
    shape: Array
    unit: Array
    lot: Array
    effect: Array
    acts: Array
    pattern: Ints

    @classmethod
    def of(cls, draws: Levels, number: Any) -> _Tables:
        acts, pattern = np.unique(draws.exposures.acts.T, axis=0, return_inverse=True)
        tables = (draws.log_rate.T, draws.shape.T, draws.by_unit, draws.by_lot, draws.effect.T)
        rate, shape, unit, lot, effect = (
            np.ascontiguousarray(table, dtype=number) for table in tables
        )
        return cls(rate, shape, unit, lot, effect, acts.astype(float), pattern.ravel())


@dataclass(frozen=True, eq=False)
class _Timeline:
    """``counted``: open days gone at each end of the segments to come, 0 first; ``pace
    (segments, draws)``: how fast wear goes in each but for exposures, against today; ``change``:
    after how many changes of these it is; ``reached``: which days asked about each end is; ``end
    (segments,)`` in days from today.
    """

    counted: Array
    pace: Array
    change: Ints
    reached: list[Ints]
    end: Array

    @classmethod
    def of(
        cls,
        draws: Levels,
        ahead: Ahead,
        unit: int,
        days: Array,
        *,
        coarse: bool,
        cut: float,
    ) -> _Timeline:
        """``cut``: a further day at which segments end; 0: none."""
        cuts = np.append(days, cut) if cut > 0 else days
        counted, come, change = segments(draws, ahead, unit, cuts)
        drift = np.column_stack((np.zeros(len(draws)), draws.ahead))
        log_pace = drift[:, np.clip(-come.quarter, 0, drift.shape[1] - 1)].T
        if draws.season.shape[1]:
            log_pace = log_pace + come.season @ draws.season.T
        pace = np.exp(log_pace)
        today = draws.as_of
        ends = np.concatenate((come.start[:1], come.end))
        if coarse:
            middle = (come.start + come.end) / 2
            turns = come.start[1:][np.diff(change) > 0]
            whole = np.unique(np.concatenate(([today], today + cuts, turns)))
            into = np.searchsorted(whole, middle) - 1
            share = np.zeros((len(whole) - 1, len(middle)))
            share[into, np.arange(len(middle))] = np.diff(ends) / np.diff(whole)[into]
            pace = (share @ pace).astype(np.float32)
            change = change[np.searchsorted(come.start, whole[:-1])]
            counted, ends = counted[np.searchsorted(ends, whole)], whole
        reached = [np.nonzero(today + days == end)[0] for end in ends]
        return cls(counted, pace, change, reached, ends[1:] - today)


def _block(
    draws: Levels, tables: _Tables, rows: Ints, parts: Parts, ahead: Ahead, timeline: _Timeline
) -> Block:
    """Parts of one calendar, few enough to be worked on together."""
    row, added, possible = _expanded(draws, parts)
    group, unit = parts.group[row], parts.unit[row]
    pattern = tables.pattern[group]
    level = tables.rate[group] + tables.unit[unit] + tables.lot[parts.lot[row]]
    standing = ahead.exposure(unit, 0)
    if len(tables.effect):
        level += (standing * tables.acts[pattern]).astype(level.dtype) @ tables.effect
    scale: Array = np.exp(np.minimum(level, _LARGEST, out=level), out=level)
    age = parts.age[row] + added
    # Parts of a group and one age, next to each other, wear alike but for their level.
    differs = (np.diff(group) != 0) | (np.diff(age) != 0)
    first = np.concatenate(([0], 1 + np.nonzero(differs)[0]))
    alike = np.concatenate(([0], np.cumsum(differs)))
    wear = _worn(draws, tables, group[first], age[first], timeline)
    near = None if parts.near is None or (parts.near == 1).all() else parts.near
    if near is None and not timeline.change.any() and not len(possible):
        gathered = np.zeros((len(first), len(draws)), level.dtype)
        return Block(rows, alike, scale, _summed(gathered, wear, timeline))
    moved_by = [scale]
    for change in range(1, int(timeline.change.max(initial=0)) + 1):
        moved = (ahead.exposure(unit, change) - standing) * tables.acts[pattern]
        moved_by.append(scale * np.exp(moved.astype(level.dtype) @ tables.effect))
    close = None if near is None else near[row, None].astype(level.dtype)
    gained = _apart(wear, alike, moved_by, close, parts.near_days, timeline)
    walk = _summed(np.zeros_like(level), gained, timeline)
    share = _shares(draws, possible).astype(level.dtype)
    starts = np.nonzero(np.diff(row, prepend=-1))[0]
    mixed = ((day, _mixed(gathered, share, starts)) for day, gathered in walk)
    return Block(rows, np.arange(len(rows)), np.ones((1, 1), level.dtype), mixed)


def _worn(
    draws: Levels, tables: _Tables, group: Ints, age: Array, timeline: _Timeline
) -> Iterator[Array]:
    """What parts of each group and age gather in a segment after the other, but for their levels:
    (parts, draws), read before the next is asked for.
    """
    shape, typical = tables.shape[group], draws.groups.told("typical_life")[group]
    with np.errstate(divide="ignore"):
        log_age = np.log((age[:, None] + timeline.counted) / typical[:, None])
    log_age = np.maximum(log_age, -1e4).astype(shape.dtype)
    before, now, steepest = np.empty_like(shape), np.empty_like(shape), shape.max(initial=0.0)
    for end in range(len(timeline.counted)):
        np.multiply(shape, log_age[:, end, None], out=now)
        if steepest * max(log_age[:, end].max(initial=0.0), 0.0) > _LARGEST:
            np.minimum(now, _LARGEST, out=now)
        np.exp(now, out=now)
        if end:
            np.subtract(now, before, out=before)
            before *= timeline.pace[end - 1]
            yield before
        before, now = now, before


def _apart(
    wear: Iterator[Array],
    alike: Ints,
    moved_by: list[Array],
    near: Array | None,
    near_days: float,
    timeline: _Timeline,
) -> Iterator[Array]:
    """The same of parts that each have levels of their own, after every change of exposures."""
    gained = np.empty_like(moved_by[0])
    for segment, worn in enumerate(wear):
        np.take(worn, alike, axis=0, out=gained, mode="clip")  # without a further copy
        gained *= moved_by[timeline.change[segment]]
        if near is not None and timeline.end[segment] <= near_days + 1e-9:
            gained *= near
        yield gained


def _summed(
    gathered: Array, gained: Iterator[Array], timeline: _Timeline
) -> Iterator[tuple[int, Array]]:
    """Which of the days asked about, and what has been gathered by then."""
    for day in timeline.reached[0]:
        yield int(day), gathered
    for segment, more in enumerate(gained):
        gathered += more
        for day in timeline.reached[segment + 1]:
            yield int(day), gathered


def _mixed(gathered: Array, share: Array, starts: Ints) -> Array:
    """Possible ages mixed as survival into one hazard gathered by each part."""
    if not len(share):
        return gathered
    lowest = np.minimum.reduceat(gathered, starts, axis=0)
    size = np.diff(np.append(starts, len(gathered)))
    alive = share * np.exp(np.repeat(lowest, size, axis=0) - gathered)
    kept: Array = lowest - np.log(np.add.reduceat(alive, starts, axis=0))
    return kept


def _shares(draws: Levels, possible: Ints) -> Array:
    """What each possible age counts for in each draw, a known one all: (rows, draws)."""
    share = np.ones((len(possible), len(draws)))
    share[possible >= 0] = draws.ages.share[:, possible[possible >= 0]].T
    return share


def _expanded(draws: Levels, parts: Parts) -> tuple[Ints, Array, Ints]:
    """Parts with one row per possible age: the part, the age added, which possible age (−1: the
    age is known); the last empty where all are known.
    """
    rows = np.arange(len(parts))
    if not (parts.guess >= 0).any():
        return rows, np.zeros(len(rows)), np.zeros(0, np.int64)
    first, count = draws.ages.possible(parts.guess)
    row = np.repeat(rows, count)
    within = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    possible = np.where(parts.guess[row] < 0, -1, first[row] + within)
    return row, np.where(possible < 0, 0.0, draws.ages.added[possible]), possible
