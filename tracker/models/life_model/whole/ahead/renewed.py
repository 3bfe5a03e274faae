"""When will parts that are yet to be fitted wear out, each in a draw of its own?

For the parts that follow one another in a position: each starts on a day of its own, new, of a lot
not seen yet, in one draw's world.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.ahead.gathering import Ahead, segments
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts

_AT_ONCE = 65_536  # numbers worked on together: few enough to stay in the cache


@dataclass(frozen=True, eq=False)
class NewParts:
    """Asked again and again about parts fitted on some day up to a ``horizon`` in days from today;
    ``path`` as of ``LifeDraws.cumulative_hazard``.
    """

    draws: Levels
    horizon: float
    path: Steps | None = None

    def ends(self, draw: Ints, parts: Parts, start: Array, hazard: Array) -> Array:
        """The day from today on which each new part has gathered so much hazard of wear: (parts,).

        Args:
            draw: in which draw's world each part lives, (parts,).
            parts: new parts (``Parts.new``).
            start: the day from today on which each is fitted.
            hazard: how much each may gather (exponential with mean 1 for a random life).

        What lies beyond the horizon is infinite.
        """
        calendar = self._ahead.calendar(parts.unit)
        ends = np.full(len(parts), np.inf)
        for each in np.unique(calendar):
            mine = np.flatnonzero(calendar == each)
            few = max(1, _AT_ONCE // len(self._calendar(int(each)).counted))
            for low in range(0, len(mine), few):
                rows = mine[low : low + few]
                ends[rows] = self._on_one_calendar(
                    draw[rows], parts.take(rows), start[rows], hazard[rows], int(each)
                )
        return ends

    @cached_property
    def _ahead(self) -> Ahead:
        return Ahead.of(self.draws, self.path)

    @cached_property
    def _calendars(self) -> dict[int, _Calendar]:
        return {}

    def _calendar(self, unit: int) -> _Calendar:
        if unit not in self._calendars:
            self._calendars[unit] = _Calendar.of(self.draws, self._ahead, unit, self.horizon)
        return self._calendars[unit]

    def _on_one_calendar(
        self, draw: Ints, parts: Parts, start: Array, hazard: Array, unit: int
    ) -> Array:
        draws, calendar, group = self.draws, self._calendar(unit), parts.group
        level = draws.level_in(draw, parts)
        pace = calendar.pace[draw]
        if draws.effect.shape[1]:
            effect = draws.effect[draw] * draws.exposures.acts.T[group]
            for each in range(int(calendar.change[-1]) + 1):
                exposed = (effect * self._ahead.exposure(parts.unit, each)).sum(axis=1)
                factor = np.exp(exposed)[:, None]
                if calendar.change[-1]:
                    pace[:, calendar.change == each] *= factor
                else:
                    pace *= factor
        pace *= np.exp(level)[:, None]
        life = draws.groups.told("typical_life")[group]
        shape = draws.shape[draw, group]
        open_days, today = draws.open_days, np.full(len(start), draws.as_of)
        began = open_days.counted(parts.unit, draws.as_of + start)
        began = began - open_days.counted(parts.unit, today)
        used = np.maximum(calendar.counted - began[:, None], 0.0) / life[:, None]
        y = used ** shape[:, None]
        gained = np.cumsum(np.diff(y, axis=1) * pace, axis=1)
        at = (gained < hazard[:, None]).sum(axis=1)
        lasts = at >= gained.shape[1]
        at = np.minimum(at, gained.shape[1] - 1)
        row = np.arange(len(draw))
        before = np.where(at > 0, gained[row, at - 1], 0.0)
        reached = y[row, at] + (hazard - before) / pace[row, at]
        worn = began + life * reached ** (1 / shape)
        end = draws.day_after(parts.unit, np.zeros(len(start)), worn)
        return np.where(lasts, np.inf, np.maximum(end, start))


@dataclass(frozen=True, eq=False)
class _Calendar:
    """``counted``: open days gone at each end of the segments to come, 0 first; ``pace (draws,
    segments)``: how fast wear goes in each but for exposures; ``change``: after how many changes
    of these it is.
    """

    counted: Array
    pace: Array
    change: Ints

    @classmethod
    def of(cls, draws: Levels, ahead: Ahead, unit: int, horizon: float) -> _Calendar:
        counted, come, change = segments(draws, ahead, unit, np.array([horizon]))
        drift = np.column_stack((np.zeros(len(draws)), draws.ahead))
        log_pace: Array = drift[:, np.clip(-come.quarter, 0, drift.shape[1] - 1)]
        if draws.season.shape[1]:
            log_pace = log_pace + draws.season @ come.season.T
        return cls(counted, np.exp(log_pace), change)
