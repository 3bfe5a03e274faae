"""What the draws say in plain figures: how lives have drifted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.models.life_model.life_forecast import Limits
from tracker.models.life_model.whole.calendar_time import QUARTER
from tracker.models.life_model.whole.draws import LifeDraws

WORTH_TELLING = 1.25  # a change of the hazard by less than this factor is no finding
_SURE = 0.8  # chance of a change below which no day is named


@dataclass(frozen=True)
class Drift:
    """How lives have changed: since the day ``since`` (its 95 % limits are days too) the hazard
    is ``hazard`` times what it was, lives ``lives`` times as long (95 % limits).

    ``chance``: that the hazard really changed that way by a quarter or more.
    """

    since: Limits
    hazard: Limits
    lives: Limits
    chance: float

    @property
    def is_told(self) -> bool:
        """True where the change is likely enough to be named, its limits on one side of none."""
        return self.chance > _SURE and not self.lives.lower <= 1 <= self.lives.upper


def drift_found(draws: LifeDraws) -> Drift | None:
    """Since when, and by how much, have all lives changed? None in a log of one quarter.

    Each draw's own change is the quarter that splits its drift best into two levels (least
    squares, Page, 1955, Biometrika 42:523, in its simplest form).
    """
    quarters = draws.drift.shape[1]
    if quarters < 2:
        return None
    recent = np.cumsum(draws.drift, axis=1)[:, :-1]
    count = np.arange(1, quarters)
    older = draws.drift.sum(axis=1, keepdims=True) - recent
    gap = recent / count - older / (quarters - count)
    gained = gap**2 * count * (quarters - count)
    split = np.argmax(gained, axis=1)
    mean_gain = draws.weight @ gained
    # One split for the factor, so that it is the factor of one stretch against another.
    change = gap[:, int(np.argmax(mean_gain))]
    middle = float(draws.weight @ change)
    told = np.log(WORTH_TELLING)
    real = change > told if middle > 0 else change < -told
    shape = np.exp(np.log(draws.shape).mean(axis=1))
    when = draws.as_of - (split + 1.0) * QUARTER
    since = limits(when, draws.weight)
    best = draws.as_of - (int(np.argmax(mean_gain)) + 1.0) * QUARTER
    return Drift(
        Limits(best, min(since.lower, best), max(since.upper, best)),
        limits(np.exp(change), draws.weight),
        limits(np.exp(-change / shape), draws.weight),
        float(draws.weight @ real),
    )


def limits(values: Array, weight: Array, *, level: float = 0.95) -> Limits:
    """Weighted median and the limits between which the value lies with that chance."""
    order = np.argsort(values)
    at = np.cumsum(weight[order]) - weight[order] / 2
    tail = (1 - level) / 2
    low, middle, high = np.interp((tail, 0.5, 1 - tail), at, values[order])
    return Limits(float(middle), float(low), float(high), level)
