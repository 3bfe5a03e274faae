"""How much hazard did parts gather over stretches of their lives, gone by or to come?

What is held against the failures that were really seen: a life as it was lived, at the ages, in
the quarters and under the exposures it had.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.models.life_model.whole.calendar_time import Track, Tracks
from tracker.models.life_model.whole.levels import Levels, Parts

_AT_ONCE = 3e5  # numbers worked on together: few enough to stay in the cache
LevelsT = TypeVar("LevelsT", bound=Levels)


def wear_between(draws: Levels, parts: Parts, start: Array, counted: Array) -> Array:
    """How much hazard of wear each part gathers in so many open days: (draws, parts).

    Args:
        parts: of known age, the age in open days that each has on its day ``start``.
        start: days from today; below 0 for what has gone by.
        counted: open days lived from then on.

    Raises:
        ModelError: a part of unknown age.
    """
    if (parts.guess >= 0).any():
        raise ModelError(
            f"guess[{int((parts.guess >= 0).argmax())}]: the age is not known; ask "
            f"cumulative_hazard about such a part."
        )
    # Of each part all draws lie together, as they are read.
    gathered = np.zeros((len(parts), len(draws)))
    if not len(parts):
        return gathered.T
    began = draws.open_days.counted(parts.unit, draws.as_of + start)
    until = draws.day_after(parts.unit, start, counted)
    span = draws.as_of + float(start.min()), draws.as_of + float(until.max())
    if not span[1] > span[0]:
        return gathered.T
    tracks = Tracks.between(
        span,
        draws.as_of,
        draws.season.shape[1] > 0,
        draws.exposures,
        draws.open_days,
        draws.unit.shape[1],
    )
    row, at, low, high = _stretches(parts, tracks, began, began + counted)
    pace, cell = _paces(draws, parts.group[row], tracks.segment, at)
    log_life = np.log(draws.groups.told("typical_life"))[parts.group[row]]
    with np.errstate(divide="ignore"):
        low = np.maximum(np.log(parts.age[row] + low) - log_life, -1e4)
    high = np.log(parts.age[row] + high) - log_life
    shapes = np.ascontiguousarray(draws.shape.T)
    few = max(1, int(_AT_ONCE / len(draws)))
    for first in range(0, len(row), few):
        cut = slice(first, first + few)
        part, shape = row[cut], shapes[parts.group[row[cut]]]
        starts = np.flatnonzero(np.diff(part, prepend=-1))
        worn = np.exp(shape * high[cut, None])
        # A stretch begins at the age at which the part's one before ends.
        gained = np.diff(worn, axis=0, prepend=0.0)
        gained[starts] = worn[starts] - np.exp(shape[starts] * low[cut][starts, None])
        gained *= pace[cell[cut]]
        gathered[part[starts]] += np.add.reduceat(gained, starts, axis=0)
    gathered *= np.exp(draws.level(parts)).T
    return gathered.T


def _stretches(
    parts: Parts, tracks: Tracks, began: Array, ended: Array
) -> tuple[Ints, Ints, Array, Array]:
    """Where each part's stretch, from one counted day to another, lies in the segments of its
    unit: the part, the segment, and from how many open days of the stretch to how many.
    """
    own = np.where(parts.unit >= 0, tracks.of_unit[np.maximum(parts.unit, 0)], 0)
    first = tracks.find(own, began, "right")
    count = np.maximum(tracks.find(own, ended, "left") - first, 0) + 1
    row = np.repeat(np.arange(len(parts)), count)
    at = np.arange(len(row)) - np.repeat(np.cumsum(count) - count - first, count)
    low = np.maximum(tracks.counted_start[at], began[row]) - began[row]
    high = np.minimum(tracks.counted_end[at], ended[row]) - began[row]
    lived = high > low
    return row[lived], at[lived], low[lived], high[lived]


def _paces(draws: Levels, group: Ints, segment: Track, at: Ints) -> tuple[Array, Ints]:
    """How fast wear goes in each stretch, but for the part's level and its age, each pace once:
    (paces, draws), and which of them is each stretch's, of a part of that ``group`` in a segment.
    """
    acts, of_group = np.unique(draws.exposures.acts.T, axis=0, return_inverse=True)
    asked = of_group.ravel()[group] * len(segment) + at
    occurs = np.zeros((len(acts), len(segment)), dtype=bool)
    occurs.ravel()[asked] = True
    place: Ints = np.cumsum(occurs) - 1
    coming = draws.ahead.shape[1]
    drift = np.concatenate((draws.ahead[:, ::-1], draws.drift), axis=1).T
    # The first and the last go on beyond.
    quarter = np.clip(segment.quarter + coming, 0, len(drift) - 1)
    exposure = np.nan_to_num(segment.exposure - draws.exposure_mean)
    pace = np.empty((int(place[-1]) + 1, len(draws)))
    end = 0
    for acting, there in zip(acts, occurs, strict=True):
        here = np.flatnonzero(there)
        begin, end = end, end + len(here)
        mine = pace[begin:end]
        mine[:] = drift[quarter[here]]
        if draws.season.shape[1]:
            mine += segment.season[here] @ draws.season.T
        if acting.any():
            mine += exposure[np.ix_(here, acting)] @ draws.effect[:, acting].T
    return np.exp(pace, out=pace), place[asked]


def fewer(draws: LevelsT, size: int) -> LevelsT:
    """So many of the draws, picked evenly by weight: for what needs a middle and no range."""
    reached = np.cumsum(draws.weight)
    at = np.searchsorted(reached, (np.arange(size) + 0.5) / size * reached[-1])
    at = np.minimum(at, len(draws) - 1)
    names = (
        "log_rate", "shape", "accident", "unit", "lot", "unseen_unit", "unseen_lot", "drift",
        "ahead", "season", "effect", "spreads",
    )  # fmt: skip
    return replace(
        draws,
        weight=np.full(size, 1 / size),
        ages=replace(draws.ages, share=draws.ages.share[at]),
        leaning=replace(draws.leaning, share=draws.leaning.share[at]),
        **{name: getattr(draws, name)[at] for name in names},
    )
