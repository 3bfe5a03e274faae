"""Small seeded histories with a known truth."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import (
    Closed,
    Groups,
    Guesses,
    History,
    LifeDraws,
    Lives,
    Parts,
    SpreadGrid,
    Steps,
    fit_life_model,
)

Array = npt.NDArray[np.float64]
STILL = SpreadGrid((1e-4,), (1e-4,), (1e-4,))  # no levels and no drift


def fresh(age: float, *, unit: int = 0, group: int = 0, lot: int = -1, guess: int = -1) -> Parts:
    """One part."""
    one = [np.array([value]) for value in (group, unit, lot)]
    return Parts(*one, np.array([age]), np.array([guess]))


def fitted(history: History, size: int = 1000, seed: int = 1, **more: object) -> LifeDraws:
    """The fit with a seed."""
    return fit_life_model(history, size, rng=np.random.default_rng(seed), **more)  # type: ignore[arg-type]


def one_group(lives: Lives, as_of: float, typical: float = 300.0, **more: object) -> History:
    """A history of one group; units as many as the lives name."""
    groups = Groups(np.array([0]), (LifeBelief(typical),))
    return History(lives, groups, as_of, int(lives.unit.max()) + 1, **more)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Truth:
    """Parts of one group at each place, replaced when they fail: days from 0 to ``days``.

    Log hazard: Weibull, plus the unit's level, plus ``jump`` from day ``jump_on`` on, plus
    ``effect`` times an exposure that is 0 or 1 in turn for ``turn`` days (units out of step).
    """

    units: int = 4
    places: int = 6
    days: int = 900
    shape: float = 1.8
    scale: float = 150.0
    level: tuple[float, ...] = field(default=())
    jump: float = 0.0
    jump_on: float = 0.0
    effect: float = 0.0
    turn: int = 120
    bad_lot: int = -1
    bad_level: float = 0.0


def simulated(truth: Truth, rng: np.random.Generator) -> History:
    """A history of that truth, day by day; each quarter's parts are a lot."""
    unit = np.repeat(np.arange(truth.units), truth.places)
    level = np.array(truth.level or (0.0,) * truth.units)[unit]
    born = np.zeros(len(unit))
    lot = np.zeros(len(unit), np.int64)
    rows = []
    for day in range(truth.days):
        age = day - born
        hazard = ((age + 1) / truth.scale) ** truth.shape - (age / truth.scale) ** truth.shape
        log_pace = level + truth.jump * (day >= truth.jump_on)
        log_pace = log_pace + truth.effect * exposed(truth, unit, day)
        log_pace = log_pace + truth.bad_level * (lot == truth.bad_lot)
        for i in np.nonzero(rng.random(len(unit)) < -np.expm1(-hazard * np.exp(log_pace)))[0]:
            rows.append((unit[i], lot[i], born[i], day + 0.5 - born[i], True))
            born[i], lot[i] = day + 0.5, 1 + day // 90
    rows += [(u, v, b, truth.days - b, False) for u, v, b in zip(unit, lot, born, strict=True)]
    units, lots, began, age, failed = (np.array(c) for c in zip(*rows, strict=True))
    lives = Lives.of(0, units, began, age, failed, lot=lots)
    steps = None
    if truth.effect:
        days = np.tile(np.arange(0, truth.days, truth.turn), truth.units)
        of = np.repeat(np.arange(truth.units), len(days) // truth.units)
        value = np.array([exposed(truth, u, d) for u, d in zip(of, days, strict=True)])[:, None]
        steps = Steps(of, days.astype(float), value, np.ones((1, 1), bool))
    return one_group(lives, float(truth.days), truth.scale, n_lots=int(lots.max()) + 1, steps=steps)


def exposed(truth: Truth, unit: Array, day: float) -> Array:
    """0 or 1."""
    return (unit + day // truth.turn) % 2.0


__all__ = ["STILL", "Closed", "Guesses", "Truth", "fitted", "fresh", "one_group", "simulated"]
