"""How long does a part last if all goes on as it does today? For changes by plan.

A change by plan makes a part new and leaves everything else as it is, so its worth is reckoned at
today's hazard: today's drift, the printer's level, the routine as last done, the mean of a year's
seasons. Drift that went on with the days would be taken for wear, which a new part would cure; and
of new parts, which come of many lots in the years to come, none is of a bad one for ever.
Ages count open days, as the life model's do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.calendar_time import YEAR, OpenDays, season_wave
from tracker.models.life_model.whole.history import never_closed

# Days into the future, in typical lives, between which practically every life ends.
_SPANS = np.geomspace(1e-3, 1e3, 80)
_LOTS = 2  # the column of ``LifeDraws.spreads``
# A normal spread by three points (Gauss and Hermite).
_LOT_AWAY, _LOT_SHARE = np.array([-np.sqrt(3), 0.0, np.sqrt(3)]), np.array([1, 4, 1]) / 6
_BEYOND = 600.0  # of a log
_PIECES = 48  # of a year, over which its season is averaged
_AT_ONCE = 4_000_000  # numbers worked on together


@dataclass(frozen=True, eq=False)
class NewLives:
    """The lives of new parts of one group, each in its printer; ages in open days, (ages,) or
    (lives, 1, ages) of each its own.

    ``wear (lives, draws)`` is the hazard of wear gathered by the age ``typical_life``; ``weight,
    shape, accident (draws,)``.
    """

    weight: Array
    typical_life: float
    wear: Array
    shape: Array
    accident: Array

    def take(self, rows: Ints) -> NewLives:
        """Only these lives."""
        return replace(self, wear=self.wear[rows])

    def cumulative_hazard(self, age: Array) -> Array:
        """Hazard of wear and accident gathered by each age: (lives, draws, ages)."""
        gathered = self._wear(age)
        gathered += self.accident[:, None] * age
        return gathered

    def hazard(self, age: Array) -> Array:
        """Both per open day at each age above 0: (lives, draws, ages)."""
        per_day = self._wear(age)
        per_day *= self.shape[:, None] / age
        per_day += self.accident[:, None]
        return per_day

    def _wear(self, age: Array) -> Array:
        with np.errstate(divide="ignore"):
            power = self.shape[:, None] * np.log(age / self.typical_life)
        # What is beyond is as good as infinite.
        power = np.exp(np.minimum(power, _BEYOND, out=power), out=power)
        return np.asarray(self.wear[..., None] * power)


def as_today(draws: LifeDraws) -> LifeDraws:
    """The same draws where nothing drifts, no day is closed, a season is a year's mean and a lot
    not seen yet is like most.
    """
    seasons = draws.season
    mean = np.zeros(len(draws))
    if seasons.shape[1]:
        # Moments of an even year, not stretches, whose means would blunt the wave: the mean of a
        # smooth periodic curve over even points is exact but for the last digits.
        day = np.linspace(0.0, YEAR, _PIECES, endpoint=False)
        mean = np.log(np.exp(seasons @ season_wave(day, day + 0.01).T).mean(axis=1))
    return replace(
        draws,
        log_rate=draws.log_rate + mean[:, None],
        season=seasons[:, :0],
        ahead=np.zeros((len(draws), 1)),
        unseen_lot=np.zeros(len(draws)),
        open_days=OpenDays(never_closed()),
    )


def new_parts(today: LifeDraws, group: int, units: Ints) -> NewLives:
    """The life of a new part of a group in each of these printers; ``today``: see ``as_today``."""
    typical, wear = _by_typical_life(today, group, units)
    shape, accident = today.shape[:, group], today.accident[:, group]
    return NewLives(today.weight, typical, wear.T, shape, accident)


def in_order_of_hazard(today: LifeDraws, group: int, units: Ints) -> Ints:
    """The places of these printers, first the one that is gentlest on new parts of a group."""
    _typical, wear = _by_typical_life(today, group, units)
    return np.argsort(today.weight @ np.log(wear), kind="stable")


def _by_typical_life(today: LifeDraws, group: int, units: Ints) -> tuple[float, Array]:
    """A group's typical life and what new parts gather of wear by then: (draws, units)."""
    typical = float(today.groups.told("typical_life")[group])
    parts = Parts.new(np.full(len(units), group), units)
    return typical, today.cumulative_hazard(parts, typical)[:, :, 0]


def mean_remaining_life(today: LifeDraws, parts: Parts) -> Array:
    """How many open days each part has left in the mean of a draw: (draws, parts).

    ∫ S by the trapezoid rule in the logarithm of the days, in which S·days dies away smoothly to
    both sides (before the first of them it is a geometric series); ages that are not known are
    averaged over.
    """
    typical = today.groups.told("typical_life")[parts.group]
    mean = np.empty((len(today), len(parts)))
    step = float(np.log(_SPANS[1] / _SPANS[0]))
    few = max(1, int(_AT_ONCE / (len(today) * len(_SPANS))))
    for life in np.unique(typical):
        days = life * _SPANS
        rows = np.flatnonzero(typical == life)
        for low in range(0, len(rows), few):
            here = rows[low : low + few]
            alive = 1 - today.chances(parts.take(here), days)
            mean[:, here] = step * (alive @ days + days[0] / np.expm1(step))
    return mean


def mean_new_life(today: LifeDraws, parts: Parts) -> Array:
    """How many open days new parts (``Parts.new``) last in the mean of a draw: (draws, parts).

    The mean over the lots they may come from as well, so that a fitted part of which no more is
    known than that it came from some lot is weighed against its like.
    """
    spread = today.spreads[:, _LOTS]
    return np.asarray(
        sum(
            share * mean_remaining_life(replace(today, unseen_lot=away * spread), parts)
            for away, share in zip(_LOT_AWAY, _LOT_SHARE, strict=True)
        )
    )
