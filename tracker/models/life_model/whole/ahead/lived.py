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
from tracker.models.life_model.whole.calendar_time import Track, track
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
    gathered = np.zeros((len(draws), len(parts)))
    own = np.union1d(draws.open_days.own, np.unique(draws.exposures.unit))
    calendar = np.where(np.isin(parts.unit, own), parts.unit, -1)
    order = np.argsort(calendar, kind="stable")
    for rows in np.split(order, np.nonzero(np.diff(calendar[order]))[0] + 1):
        if len(rows):
            unit, here = int(calendar[rows[0]]), parts.take(rows)
            gathered[:, rows] = _on_one_calendar(draws, here, unit, start[rows], counted[rows])
    return gathered


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


def _on_one_calendar(draws: Levels, parts: Parts, unit: int, start: Array, counted: Array) -> Array:
    began = draws.open_days.before(draws.as_of + start, unit)
    until = draws.open_days.after(began + counted, unit)
    span = float((draws.as_of + start).min()), float(until.max())
    if not span[1] > span[0]:
        return np.zeros((len(draws), len(parts)))
    seasonal = draws.season.shape[1] > 0
    segment = track(span, draws.as_of, seasonal, draws.exposures, unit)
    ends = np.concatenate((segment.start[:1], segment.end))
    # Open days of each part's stretch that lie before each end of a segment.
    gone = draws.open_days.before(ends, unit) - began[:, None]
    gone = np.clip(gone, 0.0, counted[:, None])
    part, at = np.nonzero(np.diff(gone, axis=1) > 0)
    log_life = np.log(draws.groups.told("typical_life"))[parts.group[part]]
    with np.errstate(divide="ignore"):
        low = np.maximum(np.log(parts.age[part] + gone[part, at]) - log_life, -1e4)
    high = np.log(parts.age[part] + gone[part, at + 1]) - log_life
    pace, level = _pace(draws, segment), draws.level(parts)
    gathered = np.zeros((len(draws), len(parts)))
    few = max(1, int(_AT_ONCE / len(draws)))
    for first in range(0, len(part), few):
        cut = slice(first, first + few)
        row, group = part[cut], parts.group[part[cut]]
        shape = draws.shape[:, group]
        gained = np.exp(shape * high[cut]) - np.exp(shape * low[cut])
        log_pace = level[:, row] + pace[:, at[cut]]
        if draws.effect.shape[1]:
            exposure = np.nan_to_num(segment.exposure - draws.exposure_mean)[at[cut]]
            log_pace += draws.effect @ (exposure * draws.exposures.acts.T[group]).T
        gained *= np.exp(log_pace)
        starts = np.nonzero(np.diff(row, prepend=-1))[0]
        gathered[:, row[starts]] += np.add.reduceat(gained, starts, axis=1)
    return gathered


def _pace(draws: Levels, segment: Track) -> Array:
    """Drift and season of each segment: (draws, segments)."""
    coming = draws.ahead.shape[1]
    drift = np.concatenate((draws.ahead[:, ::-1], draws.drift), axis=1)
    quarter: Ints = np.clip(segment.quarter + coming, 0, drift.shape[1] - 1)
    pace: Array = drift[:, quarter]
    return pace + draws.season @ segment.season.T if draws.season.shape[1] else pace
