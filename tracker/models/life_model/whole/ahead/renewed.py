"""When will parts that are yet to be fitted wear out, each in a draw of its own?

For the parts that follow one another in a position: each starts on a day of its own, new, of a lot
not seen yet, in one draw's world.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.ahead.gathering import COMMON, Ahead, segments
from tracker.models.life_model.whole.history import UNSEEN, Steps
from tracker.models.life_model.whole.levels import Levels

_AT_ONCE = 16_384  # parts worked on together: few enough to stay in the cache


@dataclass(frozen=True, eq=False)
class NewParts:
    """Asked again and again about parts fitted on some day up to a ``horizon`` in days from today;
    ``path`` as of ``LifeDraws.cumulative_hazard``.
    """

    draws: Levels
    horizon: float
    path: Steps | None = None

    def ends(self, draw: Ints, group: Ints, unit: Ints, start: Array, hazard: Array) -> Array:
        """The day from today on which each new part has gathered so much hazard of wear: (parts,).

        Args:
            draw: in which draw's world each part lives, (parts,).
            group, unit: the parts' own, as of ``Parts.new``.
            start: the day from today on which each is fitted.
            hazard: how much each may gather (exponential with mean 1 for a random life).

        What lies beyond the horizon is infinite.
        """
        calendar = self._ahead.calendar(unit)
        ends = np.full(len(draw), np.inf)
        for each in np.flatnonzero(np.bincount(calendar - COMMON)) + COMMON:
            mine = np.flatnonzero(calendar == each)
            for low in range(0, len(mine), _AT_ONCE):
                rows = mine[low : low + _AT_ONCE]
                ends[rows] = self._on_one_calendar(
                    draw[rows], group[rows], unit[rows], start[rows], hazard[rows], int(each)
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

    @cached_property
    def _paces(self) -> dict[int, Array]:
        return {}

    def _pace(self, change: int) -> Array:
        """How fast new parts wear after so many changes of exposures but for drift and season:
        (groups, units and the two of which nothing is known, draws). Parts are far more than these.
        """
        if change not in self._paces:
            draws = self.draws
            level = draws.log_rate.T[:, None] + draws.by_unit + draws.unseen_lot
            if draws.effect.shape[1]:
                unit = np.append(np.arange(draws.unit.shape[1]), (UNSEEN, UNSEEN))
                exposure = self._ahead.exposure(unit, change)
                for group, acts in enumerate(draws.exposures.acts.T):
                    level[group] += (exposure * acts) @ draws.effect.T
            # As it is read: by group, unit and draw.
            self._paces[change] = np.ascontiguousarray(np.exp(level, out=level))
        return self._paces[change]

    def _on_one_calendar(
        self, draw: Ints, group: Ints, unit: Ints, start: Array, hazard: Array, own: int
    ) -> Array:
        draws, calendar, open_days = self.draws, self._calendar(own), self.draws.open_days
        units = draws.unit.shape[1] + 2
        at = (group * units + unit % units) * len(draws) + draw
        paces = [self._pace(each).ravel().take(at) for each in range(calendar.changes + 1)]
        life = draws.groups.told("typical_life")[group]
        shape = draws.shape[draw, group]
        today = open_days.before(np.array([draws.as_of]), own)
        began = open_days.before(draws.as_of + start, own) - today
        ends = np.full(len(draw), np.inf)
        most = calendar.fastest[draw] * np.max(paces, axis=0)
        worn = np.maximum(calendar.counted[-1] - began, 0.0) / life
        # Those that last whatever the drift are most, and are looked at no further.
        ending = np.flatnonzero(worn**shape * most >= hazard)
        segment = (np.searchsorted(calendar.counted, began[ending], "right") - 1).astype(np.int16)
        turn = np.argsort(segment, kind="stable")  # by their digits: in step with the parts
        begun = np.searchsorted(segment[turn], np.arange(len(calendar.counted)))
        row, left, before = ending[:0], np.zeros(0), np.zeros(0)
        for each, end in enumerate(calendar.counted[1:]):
            new = ending[turn[begun[each] : begun[each + 1]]]
            row, left = np.concatenate((row, new)), np.concatenate((left, hazard[new]))
            before = np.concatenate((before, np.zeros(len(new))))
            y = (np.maximum(end - began[row], 0.0) / life[row]) ** shape[row]
            pace = calendar.pace[draw[row], each] * paces[calendar.change[each]][row]
            gained = (y - before) * pace
            done = np.flatnonzero(gained >= left)
            if len(done):
                here = row[done]
                reached = before[done] + left[done] / pace[done]
                counted = began[here] + life[here] * reached ** (1 / shape[here])
                day = open_days.after(today + counted, own) - draws.as_of
                ends[here] = np.maximum(day, start[here])
            on = gained < left
            row, left, before = row[on], (left - gained)[on], y[on]
        return ends


@dataclass(frozen=True, eq=False)
class _Calendar:
    """``counted``: open days gone at each end of the segments to come, 0 first; ``pace (draws,
    segments)``: how fast wear goes in each but for exposures; ``change``: after how many changes
    of these it is; ``fastest (draws,)``: the highest pace.
    """

    counted: Array
    pace: Array
    change: Ints
    fastest: Array

    @property
    def changes(self) -> int:
        """How many changes of exposures there are up to the horizon."""
        return int(self.change[-1])

    @classmethod
    def of(cls, draws: Levels, ahead: Ahead, unit: int, horizon: float) -> _Calendar:
        counted, come, change = segments(draws, ahead, unit, np.array([horizon]))
        drift = np.column_stack((np.zeros(len(draws)), draws.ahead))
        log_pace: Array = drift[:, np.clip(-come.quarter, 0, drift.shape[1] - 1)]
        if draws.season.shape[1]:
            log_pace = log_pace + draws.season @ come.season.T
        pace = np.exp(log_pace)
        return cls(counted, pace, change, pace.max(axis=1))
