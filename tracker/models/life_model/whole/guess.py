"""How much of an answer is the belief? The same draws, had typical lives been believed otherwise.

Given all else a kind's rate is Gamma(events, exposure), and the belief "a typical life is m"
brings worth · pace of that exposure. "It is f·m" brings f^shape as much, so each draw's rate moves
by the ratio of the two exposures, and the draw would count by the ratio of the two gammas'
normalising constants: f^(shape · worth) over (exposure after / before)^events. Over many kinds
these weights leave a few draws only; so the draws are moved instead of weighted: a normal curve
tilted by a log weight moves its mean by each level's covariance with it (Stein, 1981, Ann. Stat.
9:1135), in small steps of the factor, along which the log weight is nearly straight. Ages stay
scaled by m.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import numpy as np
from scipy.special import expit, logit

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.whole.history import Groups
from tracker.models.life_model.whole.levels import Levels
from tracker.models.life_model.whole.likelihood import GROUP_SPREAD

LevelsT = TypeVar("LevelsT", bound=Levels)
_STEP = 0.1  # of the factor's log


def believed_otherwise(draws: LevelsT, factor: float) -> LevelsT:
    """The draws, had every group's typical life been believed ``factor`` times as long."""
    if not 0 < factor < np.inf:
        raise ModelError(f"factor is {factor:g}: a belief can be changed by a factor above 0.")
    steps = int(np.ceil(abs(np.log(factor)) / _STEP))
    accident = draws.accident / (1 + draws.leaning.accident_share * (factor - 1))[draws.groups.kind]
    for _ in range(steps):
        draws = _stretched(draws, np.log(factor) / steps)
    return replace(draws, accident=accident)


def _stretched(draws: LevelsT, by: float) -> LevelsT:
    """One step: ``by`` is the log of its factor."""
    groups, lean = draws.groups, draws.leaning
    kind_shape = draws.shape @ _mean_of_kind(groups)
    # Log of the exposure after over the one before: log(1 + share·(f^shape − 1)).
    longer = np.log1p(lean.share * np.expm1(kind_shape * by))
    log_weight = kind_shape * by @ lean.worth - longer @ lean.events
    pull = draws.weight * (log_weight - draws.weight @ log_weight)
    log_rate = draws.log_rate - longer[:, groups.kind] - _departing(draws, kind_shape) * by
    share = logit(np.clip(lean.share, 1e-12, 1 - 1e-12)) + kind_shape * by

    def moved(level: Array) -> Array:
        return level + pull @ level

    return replace(
        draws,
        log_rate=moved(log_rate),
        shape=np.exp(moved(np.log(draws.shape))),
        unit=moved(draws.unit),
        lot=moved(draws.lot),
        drift=moved(draws.drift),
        season=moved(draws.season),
        effect=moved(draws.effect),
        leaning=replace(lean, share=expit(moved(share))),
    )


def _mean_of_kind(groups: Groups) -> Array:
    """Weights by which groups' numbers become their kind's mean: (groups, kinds)."""
    belongs = groups.kind[:, None] == np.arange(groups.n_kinds)
    return belongs / np.maximum(belongs.sum(0), 1)


def _departing(draws: Levels, kind_shape: Array) -> Array:
    """How much more than its kind's the log rate of each group moves per log of the factor.

    With a shape of its own a group's rate moves by more or less than its kind's, as far as its
    departure is still the belief's and not its failures': by precision, 1/spread² against them.
    """
    belief = GROUP_SPREAD**-2
    share = belief / (belief + draws.failures)
    moved: Array = (draws.shape - kind_shape[:, draws.groups.kind]) * share
    return moved
