"""What weighted draws say about days to come: hazard gathered, chances by cause, remaining life."""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError
from tracker.models.life_model.whole.calendar_time import QUARTER, Track, track
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts
from tracker.models.outcomes import Numbers

Cause: TypeAlias = Literal["any", "wear", "accident"]
_AT_ONCE = 3e5  # numbers worked on together: few enough to stay in the cache
_STEPS = 24  # slices of the horizon when failures are split by cause
_LIVES_AHEAD = 20.0


def whole_days(days: Numbers) -> Array:
    """Numbers of days from today, refused below 0."""
    ahead = np.atleast_1d(np.asarray(days, dtype=float))
    if not (ahead >= 0).all():
        raise ModelError(f"days is {ahead.min():g}: days from today are 0 or more.")
    return ahead


def wear_gathered(draws: Levels, parts: Parts, days: Array, path: Steps | None) -> Array:
    """(draws, parts, days); unknown ages are averaged over as survival, not as hazard."""
    gathered = np.empty((len(draws), len(parts), len(days)))
    ahead = _path(draws, path)
    own = np.union1d(draws.open_days.own, np.unique(ahead.unit))
    calendar = np.where(np.isin(parts.unit, own), parts.unit, -1)
    order = np.argsort(calendar, kind="stable")
    for rows in np.split(order, np.nonzero(np.diff(calendar[order]))[0] + 1):
        if not len(rows):
            continue
        unit = int(calendar[rows[0]])
        timeline = _timeline(draws, ahead, unit, days)
        points = len(timeline[1]) + 1
        few = max(1, int(_AT_ONCE / (len(draws) * points)))
        for low in range(0, len(rows), few):
            here = rows[low : low + few]
            gathered[:, here] = _on_track(draws, parts.take(here), days, *timeline)
    return gathered


def _path(draws: Levels, path: Steps | None) -> Steps:
    known = draws.exposures
    if path is None:
        return known
    if path.value.shape[1] != known.value.shape[1]:
        raise ModelError(
            f"path has {path.value.shape[1]} exposures and the fit {known.value.shape[1]}: give "
            f"one column for each, in the fit's order."
        )
    return Steps(
        np.concatenate((known.unit, path.unit)),
        np.concatenate((known.from_day, path.from_day)),
        np.concatenate((known.value, path.value)),
        known.acts,
    )


def _timeline(draws: Levels, steps: Steps, unit: int, days: Array) -> tuple[Array, Track]:
    """Counted days gone at each end of each segment to come, and the segments."""
    today, horizon = draws.as_of, max(float(days.max()), 1e-6)
    seasonal = draws.season.shape[1] > 0
    near = min(horizon, draws.ahead.shape[1] * QUARTER)
    ahead = track((today, today + near), today, seasonal, steps, unit)
    ends = np.unique(np.concatenate((ahead.start, ahead.end, today + days)))
    middle = (ends[:-1] + ends[1:]) / 2
    at = np.minimum(np.searchsorted(ahead.end, middle), len(ahead) - 1)
    # Beyond the drift's last quarter a year's swing averages out.
    season = ahead.season[at] * (middle < today + near)[:, None]
    split = Track(ends[:-1], ends[1:], ahead.quarter[at], season, ahead.exposure[at])
    counted = draws.open_days.before(ends, unit)
    return counted - draws.open_days.before(np.array([today]), unit), split


def _on_track(
    draws: Levels,
    parts: Parts,
    days: Array,
    counted: Array,
    ahead: Track,
) -> Array:
    """The same for parts that share one calendar."""
    row, added, possible = _expanded(draws, parts)
    group = parts.group[row]
    drift = np.column_stack((np.zeros(len(draws)), draws.ahead))
    level = drift[:, np.clip(-ahead.quarter, 0, drift.shape[1] - 1)]
    if draws.season.shape[1]:
        level = level + draws.season @ ahead.season.T
    pace = np.exp(level)[:, None, :]
    if draws.effect.shape[1]:
        exposure = np.nan_to_num(ahead.exposure - draws.exposure_mean)
        acting = draws.exposures.acts.T[group]
        pace = pace * np.exp(np.einsum("de,pe,te->dpt", draws.effect, acting, exposure))
    age = (parts.age[row] + added)[:, None] + counted
    with np.errstate(divide="ignore"):
        log_age = np.log(age / draws.groups.told("typical_life")[group, None])
    log_y = draws.shape[:, group, None] * np.maximum(log_age, -1e4)
    log_y += draws.level(parts)[:, row, None]
    np.exp(log_y, out=log_y)
    gained = np.cumsum(np.diff(log_y, axis=2) * pace, axis=2)
    gained = np.concatenate((np.zeros((*gained.shape[:2], 1)), gained), axis=2)
    ends = np.concatenate((ahead.start[:1], ahead.end)) - draws.as_of
    gained = gained[:, :, np.searchsorted(ends, days - 1e-9)]
    if not len(possible):
        return gained
    starts = np.nonzero(np.diff(row, prepend=-1))[0]
    share = np.ones(gained.shape[:2])
    share[:, possible >= 0] = draws.ages.share[:, possible[possible >= 0]]
    lowest = np.minimum.reduceat(gained, starts, axis=1)
    size = np.diff(np.append(starts, len(row)))
    alive = share[:, :, None] * np.exp(np.repeat(lowest, size, axis=1) - gained)
    kept: Array = lowest - np.log(np.add.reduceat(alive, starts, axis=1))
    return kept


def _expanded(draws: Levels, parts: Parts) -> tuple[Ints, Array, Ints]:
    """Parts with one row per possible age: the part, the age added, which possible age (−1: the
    age is known); the last empty where all are known.
    """
    rows = np.arange(len(parts))
    if not (parts.guess >= 0).any():
        return rows, np.zeros(len(rows)), np.zeros(0, np.int64)
    ages, known = draws.ages, parts.guess < 0
    order = np.argsort(ages.row)
    at = np.minimum(np.searchsorted(ages.row[order], parts.guess), len(order) - 1)
    life = np.where(known, 0, order[at])
    first = np.searchsorted(ages.owner, np.arange(len(ages.row) + 1))
    count = np.where(known, 1, first[life + 1] - first[life])
    row = np.repeat(rows, count)
    within = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    possible = np.where(known[row], -1, first[life[row]] + within)
    return row, np.where(known[row], 0.0, ages.added[possible]), possible


def chance_by_draw(
    draws: Levels, parts: Parts, days: Array, cause: Cause, path: Steps | None
) -> Array:
    """(draws, parts, days): any failure, or the share of it that comes from this cause first."""
    accident = draws.accident[:, parts.group, None]
    if cause == "any":
        gone = _counted(draws, parts, days)
        return -np.expm1(-wear_gathered(draws, parts, days, path) - accident * gone)
    fine = np.unique(np.concatenate((days, np.linspace(0, days.max(), _STEPS + 1))))
    wear = np.diff(wear_gathered(draws, parts, fine, path), axis=2)
    struck = np.diff(accident * _counted(draws, parts, fine), axis=2)
    both = wear + struck
    before = np.cumsum(both, axis=2) - both
    mine = wear if cause == "wear" else struck
    # Within a slice the two hazards keep their proportion.
    with np.errstate(invalid="ignore"):
        share = np.where(both > 0, mine / both, 0.0)
    ends = np.cumsum(np.exp(-before) * -np.expm1(-both) * share, axis=2)
    ends = np.concatenate((np.zeros((*ends.shape[:2], 1)), ends), axis=2)
    chance: Array = ends[:, :, np.searchsorted(fine, days)]
    return chance


def mean_chance(
    draws: Levels, parts: Parts, days: Array, cause: Cause, path: Steps | None
) -> Array:
    """The draws' weighted mean of these chances, a few parts at a time: (parts, days)."""
    chance = np.empty((len(parts), len(days)))
    few = max(1, int(_AT_ONCE / (len(draws) * len(days))))
    for low in range(0, len(parts), few):
        rows = np.arange(low, min(low + few, len(parts)))
        by_draw = chance_by_draw(draws, parts.take(rows), days, cause, path)
        chance[rows] = np.tensordot(draws.weight, by_draw, axes=1)
    return chance


def _counted(draws: Levels, parts: Parts, days: Array) -> Array:
    """Open days within so many days from today: (parts, days)."""
    ends = draws.as_of + np.concatenate(([0.0], days))
    counted = np.tile(draws.open_days.before(ends), (len(parts), 1))
    for unit in draws.open_days.own:
        counted[parts.unit == unit] = draws.open_days.before(ends, int(unit))
    return counted[:, 1:] - counted[:, :1]


def remaining_life(draws: Levels, parts: Parts, chances: Array, path: Steps | None) -> Array:
    """Quantiles of the mean survival, read from a table of days that grow by an eighth."""
    longest = _LIVES_AHEAD * draws.groups.told("typical_life").max()
    days = np.concatenate(([0.0], np.geomspace(0.25, longest, int(np.log(4 * longest) / 0.118))))
    alive = 1 - mean_chance(draws, parts, days, "any", path)
    lines = [_crossings(days, line, 1 - chances) for line in alive]
    return np.array(lines).reshape(len(parts), len(chances))


def _crossings(days: Array, alive: Array, asked: Array) -> Array:
    """The days at which survival falls to each level, its log taken as straight in between."""
    log_alive = np.minimum.accumulate(np.log(np.maximum(alive, 1e-300)))
    with np.errstate(divide="ignore"):
        level = np.log(asked)
    crossed = np.interp(-level, -log_alive, days)
    beyond: Bools = level < log_alive[-1]
    return np.where(beyond, np.inf, crossed)
