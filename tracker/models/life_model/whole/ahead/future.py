"""What weighted draws say about days to come: hazard gathered, chances by cause, remaining life."""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.whole.ahead.gathering import gathering
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts
from tracker.models.outcomes import Numbers

Cause: TypeAlias = Literal["any", "wear", "accident"]
_AT_ONCE = 3e5  # numbers worked on together: few enough to stay in the cache
_STEPS = 24  # slices of the horizon when failures are split by cause
_LIVES_AHEAD = 20.0
_SOONEST, _WEEK = 1.0, 8.0  # days
_LEAST_TOLD = np.log(1e-5)  # of hazard, in single precision


def whole_days(days: Numbers) -> Array:
    """Numbers of days from today, refused below 0."""
    ahead = np.atleast_1d(np.asarray(days, dtype=float))
    if not (ahead >= 0).all():
        raise ModelError(f"days is {ahead.min():g}: days from today are 0 or more.")
    return ahead


def wear_gathered(draws: Levels, parts: Parts, days: Array, path: Steps | None) -> Array:
    """(draws, parts, days); unknown ages are averaged over as survival, not as hazard."""
    gathered = np.empty((len(days), len(parts), len(draws)))
    for block in gathering(draws, parts, days, path):
        for day, worn in block.walk:
            gathered[day, block.rows] = block.of_parts(worn)
    return gathered.transpose(2, 1, 0)


def chance_by_draw(
    draws: Levels, parts: Parts, days: Array, cause: Cause, path: Steps | None
) -> Array:
    """(draws, parts, days): any failure, or the share of it that comes from this cause first."""
    accident = draws.accident[:, parts.group, None]
    if cause == "any":
        gone = counted_days(draws, parts, days)
        return -np.expm1(-wear_gathered(draws, parts, days, path) - accident * gone)
    fine = np.unique(np.concatenate((days, np.linspace(0, days.max(), _STEPS + 1))))
    wear = np.diff(wear_gathered(draws, parts, fine, path), axis=2)
    struck = np.diff(accident * counted_days(draws, parts, fine), axis=2)
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
    """The draws' weighted mean of these chances: (parts, days)."""
    if cause == "any":
        return 1 - _mean_survival(draws, parts, days, path)
    chance = np.empty((len(parts), len(days)))
    few = max(1, int(_AT_ONCE / (len(draws) * (len(days) + _STEPS))))
    for low in range(0, len(parts), few):
        rows = np.arange(low, min(low + few, len(parts)))
        by_draw = chance_by_draw(draws, parts.take(rows), days, cause, path)
        chance[rows] = np.tensordot(draws.weight, by_draw, axes=1)
    return chance


def _mean_survival(
    draws: Levels,
    parts: Parts,
    days: Array,
    path: Steps | None,
    *,
    coarse: bool = False,
    down_to: float = 0.0,
) -> Array:
    """The draws' weighted mean chance that a part still works: (parts, days). Once it is below
    ``down_to`` for parts like it, it may be told as 0.
    """
    alive = np.zeros((len(parts), len(days)))
    gone = counted_days(draws, parts, days)
    number = np.float32 if coarse else np.float64
    accident: Array = np.ascontiguousarray(draws.accident.T, dtype=number)
    weight = draws.weight.astype(number)
    for block in gathering(draws, parts, days, path, coarse=coarse):
        rows = block.rows
        group = parts.group[rows]
        since: Array = np.asarray(-gone[rows], dtype=number)
        if (group == group[0]).all() and (since == since[0]).all():
            group, since = group[:1], since[:1]
        struck = accident[group]
        for day, worn in block.walk:
            left = block.of_parts(worn)
            np.subtract(struck * since[:, day, None], left, out=left)
            alive[rows, day] = np.exp(left, out=left) @ weight
            if alive[rows, day].max() < down_to:
                break
    return alive


def counted_days(draws: Levels, parts: Parts, days: Array) -> Array:
    """Open days within so many days from today: (parts, days)."""
    ends = draws.as_of + np.concatenate(([0.0], days))
    counted = np.tile(draws.open_days.before(ends), (len(parts), 1))
    for unit in draws.open_days.own:
        counted[parts.unit == unit] = draws.open_days.before(ends, int(unit))
    return counted[:, 1:] - counted[:, :1]


def remaining_life(draws: Levels, parts: Parts, chances: Array, path: Steps | None) -> Array:
    """Quantiles of the mean survival, read from a table of days."""
    days = _tabled(_LIVES_AHEAD * float(draws.groups.told("typical_life").max()))
    least = float(1 - chances.max())
    alive = _mean_survival(draws, parts, days, path, coarse=True, down_to=least)
    return _crossings(days, alive, 1 - chances)


def _tabled(longest: float) -> Array:
    """Days that grow by a quarter; the first few, within which hardly any life bends, double."""
    early = _SOONEST * 2.0 ** np.arange(np.log2(_WEEK / _SOONEST))
    grown = np.geomspace(_WEEK, longest, max(2, round(np.log(longest / _WEEK) / np.log(1.25))))
    return np.concatenate((early, grown))


def _crossings(days: Array, alive: Array, asked: Array) -> Array:
    """The days at which survival falls to each level: (parts, levels).

    The log of the days against that of the hazard gathered is a straight line for a Weibull life,
    and for any life while it is short against its age: a parabola through the day beyond the level
    and the two before it.
    """
    gathered = np.maximum.accumulate(-np.log(np.clip(alive, 1e-37, 1 - 1e-12)), axis=1)
    log_days, log_gathered = np.log(days), np.log(gathered)
    crossed = np.empty((len(alive), len(asked)))
    with np.errstate(divide="ignore"):
        levels = np.log(-np.log(asked))
    part = np.arange(len(alive))
    for column, level in enumerate(levels):
        beyond = np.clip((log_gathered < level).sum(axis=1), 2, len(days) - 1)
        low, middle, high = (log_gathered[part, beyond - back] for back in (2, 1, 0))
        first, second, third = (log_days[beyond - back] for back in (2, 1, 0))
        with np.errstate(divide="ignore", invalid="ignore"):
            pace = (third - second) / (high - middle)
            bend = (pace - (second - first) / (middle - low)) / (high - low)
            most = 0.9 * pace / (high - middle)  # beyond, it would turn back in between
            bend = np.clip(bend, -most, most)
            step = (level - middle) * (pace + (level - high) * bend)
        # No parabola where nothing is gathered for a while (closed days), nor through a chance too
        # small to be told from none.
        straight = np.where(high > middle, (level - middle) * pace, 0.0)
        bends = np.isfinite(step) & (level > middle) & (low > _LEAST_TOLD)
        log_day = second + np.where(bends, step, straight)
        crossed[:, column] = np.where(log_gathered[:, -1] < level, np.inf, np.exp(log_day))
    return crossed
