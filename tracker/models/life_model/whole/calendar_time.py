"""Calendar time: quarters counted back from today, the season, steps of exposures, open days.

Every unit follows a *track*: consecutive segments of days within which all that changes in
calendar time stands still. Units without steps or closed days of their own share track 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.history import Closed, History, Steps

YEAR = 365.25
QUARTER = YEAR / 4
SEASON_FROM = 1.5 * YEAR  # a yearly swing cannot be told from drift in less
WAVES = 4
_HALF_YEAR = 0.35  # spread of the half-year's swing over the year's (common practice, no source)
_FAR = 1e7  # longer than any log, in days: keeps tracks apart in one sorted array


@dataclass(frozen=True, eq=False)
class OpenDays:
    """How many counted days lie before a day, everywhere or at a unit with closures of its own."""

    closed: Closed

    @cached_property
    def own(self) -> Ints:
        """The units that close on days of their own."""
        return np.unique(self.closed.unit[self.closed.unit >= 0])

    def before(self, day: Array, unit: int = -1) -> Array:
        """The day with the closed days before it taken off."""
        table = self._table(unit)
        return day if table is None else day - np.interp(day, *table)

    def after(self, counted: Array, unit: int = -1) -> Array:
        """The day on which so many counted days have gone: the inverse of ``before``."""
        table = self._table(unit)
        if table is None:
            return counted
        return counted + np.interp(counted, table[0] - table[1], table[1])

    def counted(self, unit: Ints, day: Array) -> Array:
        """Days with each one's own unit's closed days before them taken off."""
        counted = np.array(self.before(day), dtype=float)
        for own in self.own:
            here = unit == own
            counted[here] = self.before(day[here], int(own))
        return counted

    @cached_property
    def _tables(self) -> dict[int, tuple[Array, Array] | None]:
        return {}

    def _table(self, unit: int) -> tuple[Array, Array] | None:
        """Days at which closed days begin and end, and how many have passed by then."""
        if unit not in self._tables:
            self._tables[unit] = self._laid_out(unit)
        return self._tables[unit]

    def _laid_out(self, unit: int) -> tuple[Array, Array] | None:
        here = (self.closed.unit < 0) | (self.closed.unit == unit)
        if not here.any():
            return None
        order = np.argsort(self.closed.began_on[here])
        began = self.closed.began_on[here][order]
        ended = np.maximum.accumulate(self.closed.ended_on[here][order] + 1)
        new = np.concatenate(([True], began[1:] > ended[:-1]))
        starts = began[new]
        ends = ended[np.concatenate((np.nonzero(new)[0][1:] - 1, [len(ended) - 1]))]
        passed = np.cumsum(ends - starts)
        days = np.stack((starts, ends), 1).ravel()
        return days, np.stack((passed - (ends - starts), passed), 1).ravel()


def season_wave(start: Array, end: Array) -> Array:
    """Cosine and sine of the year and, held to less, of the half-year, averaged from day to day:
    (segments, ``WAVES``).

    The second pair makes trough and crest unlike on the log scale: a hazard that swings by ±60 %
    falls by 0.92 there and rises by 0.47.
    """
    waves = []
    for cycles, size in ((1, 1.0), (2, _HALF_YEAR)):
        turn = 2 * np.pi / YEAR * cycles
        width = np.maximum(end - start, 1e-9) * turn
        waves.append(size * (np.sin(end * turn) - np.sin(start * turn)) / width)
        waves.append(size * (np.cos(start * turn) - np.cos(end * turn)) / width)
    return np.stack(waves, axis=1)


@dataclass(frozen=True, eq=False)
class Track:
    """Segments of one calendar: days ``start`` to ``end``, quarter (0: the one up to today, 1 the
    one before; −1 the next), season and raw exposures of each.
    """

    start: Array
    end: Array
    quarter: Ints
    season: Array
    exposure: Array

    def __len__(self) -> int:
        return len(self.start)


@dataclass(frozen=True, eq=False)
class Tracks:
    """All units' tracks end to end. ``of_unit (units,)``; ``segment`` holds them as one;
    ``counted_start, counted_end`` are the segments' ends in counted days.
    """

    of_unit: Ints
    segment: Track
    track: Ints
    counted_start: Array
    counted_end: Array

    @classmethod
    def of(cls, history: History, seasonal: bool) -> Tracks:
        """The tracks of a history from its first day to today."""
        span = (history.first_day, history.as_of)
        open_days = OpenDays(history.closed)
        units = history.n_units
        return cls.between(span, history.as_of, seasonal, history.exposures, open_days, units)

    @classmethod
    def between(
        cls,
        span: tuple[float, float],
        as_of: float,
        seasonal: bool,
        steps: Steps,
        open_days: OpenDays,
        units: int,
    ) -> Tracks:
        """The tracks of so many units between two days: cut at quarters (halves of them where a
        season is sought) counted from ``as_of``, and where a unit's exposures change.
        """
        special = np.union1d(open_days.own, np.unique(steps.unit)).astype(np.int64)
        of_unit = np.zeros(units, np.int64)
        of_unit[special] = 1 + np.arange(len(special))
        tracks = 1 + len(special)
        cuts = _cuts(span, as_of, QUARTER / 2 if seasonal else QUARTER)
        order = np.lexsort((steps.from_day, steps.unit))
        owner, from_day = of_unit[steps.unit[order]], steps.from_day[order]
        inside = (from_day >= span[0]) & (from_day <= span[1])
        # Cuts and steps of all tracks in order, each day once; how many steps have begun by then.
        which = np.append(np.repeat(np.arange(tracks), len(cuts)), owner[inside])
        day = np.append(np.tile(cuts, tracks), from_day[inside])
        is_step = np.arange(len(day)) >= tracks * len(cuts)
        by_day = np.lexsort((day, which))
        which, day, begun = which[by_day], day[by_day], np.cumsum(is_step[by_day])
        is_last = np.append((which[1:] != which[:-1]) | (day[1:] != day[:-1]), True)
        which, day, begun = which[is_last], day[is_last], begun[is_last]
        starts = np.flatnonzero(np.append(which[1:] == which[:-1], False))
        which, start, end, begun = which[starts], day[starts], day[starts + 1], begun[starts]
        first = np.searchsorted(owner, np.arange(tracks + 1))
        early = np.bincount(owner[from_day < span[0]], minlength=tracks)
        within = np.bincount(owner[inside], minlength=tracks)
        begun = begun - (np.cumsum(within) - within)[which] + early[which]
        exposure = np.full((len(which), steps.value.shape[1]), np.nan)
        known = first[which] < first[which + 1]
        # Before its first day a unit's first value holds.
        at = first[which] + np.maximum(begun - 1, 0)
        exposure[known] = steps.value[order[at[known]]]
        segment = _track(start, end, as_of, seasonal, exposure)
        counted_start, counted_end = open_days.before(start), open_days.before(end)
        for unit in open_days.own:
            here = which == of_unit[unit]
            counted_start[here] = open_days.before(start[here], int(unit))
            counted_end[here] = open_days.before(end[here], int(unit))
        return cls(of_unit, segment, which, counted_start, counted_end)

    def find(self, track: Ints, counted: Array, side: str) -> Ints:
        """The segment of each track that holds a counted day; on an end, the one after it
        (``right``) or before it (``left``).
        """
        key = self.track * _FAR + (self.counted_start - self.counted_start[0])
        asked = track * _FAR + (counted - self.counted_start[0])
        first = np.searchsorted(self.track, np.arange(self.track[-1] + 2))
        found = np.searchsorted(key, asked, side=side) - 1  # type: ignore[call-overload]
        return np.clip(found, first[track], first[track + 1] - 1)


def common_track(span: tuple[float, float], as_of: float, seasonal: bool) -> Track:
    """The segments between two days of a unit without exposures."""
    days = _cuts(span, as_of, QUARTER / 2 if seasonal else QUARTER)
    return _track(days[:-1], days[1:], as_of, seasonal, np.zeros((len(days) - 1, 0)))


def _cuts(span: tuple[float, float], as_of: float, width: float) -> Array:
    """The ends of the span, and between them the days that lie so many widths from today."""
    first, last = np.floor((span[0] - as_of) / width), np.ceil((span[1] - as_of) / width)
    cuts = np.unique(np.append(as_of + width * np.arange(first, last + 1), span))
    return cuts[(cuts >= span[0]) & (cuts <= span[1])]


def _track(start: Array, end: Array, as_of: float, seasonal: bool, exposure: Array) -> Track:
    width = QUARTER / 2 if seasonal else QUARTER
    middle = (start + end) / 2
    quarter = -np.floor((middle - as_of) / QUARTER).astype(np.int64) - 1
    # The season of the whole period, wherever else it is cut: a day has one season.
    period = np.floor((middle - as_of) / width)
    periods, of_period = np.unique(period, return_inverse=True)
    begins = as_of + width * periods
    return Track(start, end, quarter, season_wave(begins, begins + width)[of_period], exposure)
