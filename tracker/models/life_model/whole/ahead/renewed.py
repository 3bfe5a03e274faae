"""When will parts that are yet to be fitted wear out, each in a draw of its own?

For the parts that follow one another in a position: each starts on a day of its own, new, of a lot
not seen yet, in one draw's world.
"""

from __future__ import annotations

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.ahead.gathering import Ahead, segments
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts


def new_parts_ends(
    draws: Levels,
    draw: Ints,
    parts: Parts,
    start: Array,
    hazard: Array,
    horizon: float,
    path: Steps | None = None,
) -> Array:
    """The day from today on which each new part has gathered so much hazard of wear: (parts,).

    Args:
        draw: in which draw's world each part lives, (parts,).
        parts: new parts (``Parts.new``).
        start: the day from today on which each is fitted.
        hazard: how much each may gather (exponential with mean 1 for a random life).
        horizon: days from today; what lies beyond is infinite.
        path: as of ``LifeDraws.cumulative_hazard``.
    """
    ends = np.full(len(parts), np.inf)
    ahead = Ahead.of(draws, path)
    calendar = ahead.calendar(parts.unit)
    order = np.argsort(calendar, kind="stable")
    for rows in np.split(order, np.nonzero(np.diff(calendar[order]))[0] + 1):
        if len(rows):
            ends[rows] = _on_one_calendar(
                draws,
                draw[rows],
                parts.take(rows),
                start[rows],
                hazard[rows],
                horizon,
                ahead,
                int(calendar[rows[0]]),
            )
    return ends


def _on_one_calendar(
    draws: Levels,
    draw: Ints,
    parts: Parts,
    start: Array,
    hazard: Array,
    horizon: float,
    ahead: Ahead,
    unit: int,
) -> Array:
    group = parts.group
    counted, come, change = segments(draws, ahead, unit, np.array([horizon]))
    drift = np.column_stack((np.zeros(len(draws)), draws.ahead))
    level: Array = drift[:, np.clip(-come.quarter, 0, drift.shape[1] - 1)]
    if draws.season.shape[1]:
        level = level + draws.season @ come.season.T
    level = level[draw]
    if draws.effect.shape[1]:
        effect = draws.effect[draw] * draws.exposures.acts.T[group]
        for each in np.unique(change):
            exposed = (effect * ahead.exposure(parts.unit, int(each))).sum(axis=1)
            level[:, change == each] += exposed[:, None]
    level += draws.level_in(draw, parts)[:, None]
    life = draws.groups.told("typical_life")[group]
    shape = draws.shape[draw, group]
    open_days, today = draws.open_days, np.full(len(start), draws.as_of)
    began = open_days.counted(parts.unit, draws.as_of + start)
    began = began - open_days.counted(parts.unit, today)
    used = np.maximum(counted - began[:, None], 0.0) / life[:, None]
    y = used ** shape[:, None]
    pace = np.exp(level)
    gained = np.cumsum(np.diff(y, axis=1) * pace, axis=1)
    at = (gained < hazard[:, None]).sum(axis=1)
    lasts = at >= gained.shape[1]
    at = np.minimum(at, gained.shape[1] - 1)
    row = np.arange(len(draw))
    before = np.where(at > 0, gained[row, at - 1], 0.0)
    reached = y[row, at] + (hazard - before) / pace[row, at]
    end = draws.day_after(parts.unit, np.zeros(len(start)), began + life * reached ** (1 / shape))
    return np.where(lasts, np.inf, np.maximum(end, start))
