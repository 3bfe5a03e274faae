"""Draws of several part kinds put together: what a task does for one kind hints at the others.

Each kind is fitted by itself, with the belief that an effect on it is Normal(0, spread²) whatever
the task does for other kinds. But what keeps ink moving or an edge clean does so for all that it
protects, so the effects of one task are believed to go along with each other (common practice, no
source); many failures of dampers then say something of heads, of which few fail. Draws of the fits,
taken independently, are weighed by that belief over the one they were fitted with and drawn again
(importance resampling: Rubin 1988, Bayesian Statistics 3:395; partial pooling: Gelman & Hill 2007,
chapter 12).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws

# Correlation of a task's effects on two kinds, as believed: half of what it does is shared.
SHARED = 0.5
_TRIES = 20  # for each draw wanted; the weights leave a third of them or more


@dataclass(frozen=True, eq=False)
class EffectsOnKind:
    """``effects``: of each task on the log hazard of one kind, one value per draw; ``spread``: that
    of the belief about each, which the draws were fitted with.
    """

    draws: WeightedDraws
    effects: Mapping[str, Array]
    spread: float

    @classmethod
    def of(cls, model: EffectDraws, tasks: tuple[str, ...]) -> EffectsOnKind:
        """From a fit with these tasks."""
        steps = model.history.history.steps
        effects = {task: model.effect(f"x_{task}") for task in tasks}
        return cls(model, effects, 1.0 if steps is None else steps.spread)


def drawn_together(
    kinds: Mapping[str, EffectsOnKind], number: int, rng: np.random.Generator
) -> dict[str, Ints]:
    """Which draw of each kind goes into each of so many draws of the whole, all as likely?

    Kinds without a task in common go on independently of each other.
    """
    tasks = dict.fromkeys(task for one in kinds.values() for task in one.effects)
    shared = [[one for one in kinds if task in kinds[one].effects] for task in tasks]
    if all(len(own) < 2 for own in shared):
        return {kind: one.draws.matched(number, rng) for kind, one in kinds.items()}
    tried = {kind: one.draws.matched(_TRIES * number, rng) for kind, one in kinds.items()}
    log_weight = np.zeros(_TRIES * number)
    for task, own in zip(tasks, shared, strict=True):
        standard = [kinds[kind].effects[task][tried[kind]] / kinds[kind].spread for kind in own]
        log_weight += _log_ratio(np.array(standard))
    weight = np.exp(log_weight - log_weight.max())
    again = WeightedDraws(weight / weight.sum()).matched(number, rng)
    return {kind: picked[again] for kind, picked in tried.items()}


def _log_ratio(effects: Array) -> Array:
    """Log density of effects (kinds, draws) that go along over that of independent ones, up to a
    constant; both of spread 1. The inverse of (1 − ρ)I + ρJ is (I − ρ/(1 + (k − 1)ρ) J)/(1 − ρ).
    """
    squares, square = (effects**2).sum(axis=0), effects.sum(axis=0) ** 2
    apart = SHARED / (1 + (len(effects) - 1) * SHARED)
    return np.asarray((squares - (squares - apart * square) / (1 - SHARED)) / 2)
