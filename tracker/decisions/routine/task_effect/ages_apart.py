"""The effect of a task on younger and on older parts: how the life model is asked for it.

The effect is b on the mean failure, with a difference d between younger parts and older ones that
is believed none, Normal(0, 0.5²), as the effect itself is: younger ones have b + d · (share of
failures of older ones), older ones b − d · (share of younger ones). So b keeps its meaning, and
little evidence leaves d near none.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.task_effect.effect_history import EffectHistory
from tracker.decisions.routine.task_effect.failure_days import rows_of, together
from tracker.models.life_model.whole import History, LifeDraws
from tracker.models.life_model.whole.calendar_time import OpenDays
from tracker.models.life_model.whole.score_test import BetweenAges

_LEAST_OF_AN_AGE = 5  # failures of younger and of older parts
_OF_TYPICAL = 0.5  # the age at which a part is no longer young, in typical lives


def younger(exposure: str) -> str:
    """The name of the difference between younger and older parts of a task's effect."""
    return f"younger_{exposure.removeprefix('x_')}"


def turning_age(model: LifeDraws) -> float:
    """Half of the typical life, the median one: the mean over groups by their failures."""
    unit = model.groups.told("typical_life")
    life = unit * np.exp((np.log(np.log(2)) - model.log_rate) / model.shape)
    middle = np.array([np.average(np.log(own), weights=model.weight) for own in life.T])
    weight = model.failures if model.failures.sum() > 0 else np.ones(len(unit))
    return float(_OF_TYPICAL * np.exp(np.average(middle, weights=weight)))


def failures_by_age(history: History, until_age: float) -> tuple[float, float]:
    """How many failures younger and older parts had; one between two checks lies in the middle."""
    lives = history.lives
    age = np.where(np.isnan(lives.last_ok), lives.age, (lives.last_ok + lives.age) / 2)
    young = lives.failed & (age <= until_age)
    return float(lives.weight @ young), float(lives.weight @ (lives.failed & ~young))


def between_ages(history: EffectHistory, exposure: str, model: LifeDraws) -> BetweenAges | None:
    """The difference between younger and older parts that a fit without it is asked for; None where
    too few of one sort failed to tell.
    """
    until_age = turning_age(model)
    counts = failures_by_age(history.history, until_age)
    if min(counts) < _LEAST_OF_AN_AGE:
        return None
    spread = history.history.exposures.spread
    return BetweenAges(history.names.index(exposure), until_age, _multiplier(*counts), spread)


def _multiplier(young: float, old: float) -> tuple[float, float]:
    """What of the difference younger and older parts have, so that it is none on the mean failure
    of so many.
    """
    share = young / max(young + old, 1e-9)
    return 1 - share, -share


def by_age(history: EffectHistory, exposure: str, until_age: float) -> EffectHistory:
    """The same history with an exposure more, ``younger(exposure)``, last of all: its effect is
    the difference between parts up to this age and older ones.
    """
    steps, at = history.history.exposures, history.names.index(exposure)
    multiplier = np.ones((len(history.names) + 1, 2))
    multiplier[-1] = _multiplier(*failures_by_age(history.history, until_age))
    more = replace(
        steps,
        value=np.column_stack((steps.value, steps.value[:, at])),
        acts=np.vstack((steps.acts, steps.acts[at])),
        by_band=multiplier,
    )
    return replace(
        history,
        told=history.with_steps(more),
        names=(*history.names, younger(exposure)),
        unit=np.append(history.unit, history.unit[at]),
        until_age=until_age,
    )


def effects_by_age(history: EffectHistory, mean: Array, difference: Array) -> tuple[Array, Array]:
    """The effect on younger and on older parts, per draw, from ``by_age``'s two effects."""
    bands = history.history.exposures.by_band
    assert bands is not None
    first, later = bands[-1]
    return mean + first * difference, mean + later * difference


def in_bands(history: History, until_age: float) -> History:
    """The same history with each life over that age in two rows, the second from then on."""
    lives = history.lives
    band = (lives.entry >= until_age).astype(np.int64)
    over = np.nonzero((lives.entry < until_age) & (lives.age > until_age))[0]
    if not len(over):
        return replace(history, lives=replace(lives, band=band))
    open_days = OpenDays(history.closed)
    unit = lives.unit[over]
    goal = open_days.counted(unit, lives.began_on[over]) + until_age - lives.entry[over]
    began = np.array(open_days.after(goal), dtype=float)
    for own in open_days.own:
        here = unit == own
        began[here] = open_days.after(goal[here], int(own))
    second = replace(
        rows_of(lives, over),
        began_on=began,
        entry=np.full(len(over), until_age),
        band=np.ones(len(over), np.int64),
    )
    age, failed, accident = lives.age.copy(), lives.failed.copy(), lives.accident.copy()
    age[over], failed[over], accident[over] = until_age, False, False
    first = replace(lives, age=age, failed=failed, accident=accident, band=band)
    return replace(history, lives=together(first, second))
