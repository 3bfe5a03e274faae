"""What the life model says of one part kind and the exposures beside it, draw by draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.special import logsumexp, ndtri

from tracker.arrays import Array, Ints
from tracker.decisions.routine.task_effect.ages_apart import (
    between_ages,
    effects_by_age,
    in_bands,
    younger,
)
from tracker.decisions.routine.task_effect.effect_history import EffectHistory
from tracker.decisions.routine.task_effect.failure_days import between_checks, on_possible_days
from tracker.decisions.routine.task_effect.task_frequency import usual
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.errors import ModelError
from tracker.forecast.remembered import remembered
from tracker.language import _
from tracker.models.fit.profile_limits import Estimate
from tracker.models.life_model.whole import History, LifeDraws, SpreadGrid
from tracker.models.life_model.whole.fit import fit_and_ask
from tracker.models.life_model.whole.score_test import AskedOfFit, Difference

_FIRST_DRAWS = 200
_FIRST_SPREADS = SpreadGrid((0.25,), (0.1,), (0.05,), (0.03,))


def _fitted(
    history: History,
    draws: int,
    rng: np.random.Generator,
    grid: SpreadGrid | None,
    like: LifeDraws | None = None,
    asks: AskedOfFit | None = None,
    asked: str = "",
) -> tuple[LifeDraws, Difference | None]:
    """The fit, remembered: the review of a month and the page on a task ask for the same ones.

    ``asks`` is told by the history and ``asked``, an exposure. ``like`` says where to begin, not
    what is found, and so is none of what it is remembered by.
    """
    (own,) = rng.spawn(1)  # so that what follows does not hang on whether it was remembered
    seed = repr(own.bit_generator.seed_seq)
    return remembered(
        lambda: fit_and_ask(history, draws, asks, rng=own, grid=grid, like=like),
        history,
        draws,
        grid,
        seed,
        asked,
    )


@dataclass(frozen=True, eq=False, repr=False)
class EffectDraws(WeightedDraws):
    """The fitted ``model`` of ``history``, read by exposures' names; ``difference``: what its mode
    tells of one between younger and older parts, where that was asked and can be told.
    """

    history: EffectHistory
    model: LifeDraws
    difference: Difference | None = None

    @classmethod
    def of(
        cls,
        history: EffectHistory,
        draws: int,
        rng: np.random.Generator,
        *,
        like: EffectDraws | None = None,
        by_age: str = "",
    ) -> EffectDraws:
        """So many weighted draws; ``by_age``: the exposure whose effect may hang on the age.

        Fitted twice where failures lie between checks: a first fit of few draws says how likely
        each possible day is. ``like``, a fit of nearly the same exposures, stands in for it and
        lends its spreads.
        """
        told, effect, grid = history.history, np.zeros(len(history.names)), None
        if like is not None:
            told_of = [like.mean_effect(n) if n in like.names else 0.0 for n in history.names]
            effect = np.array(told_of) * history.unit
            grid = SpreadGrid(*((float(one),) for one in like.weights @ like.model.spreads))
        elif len(between_checks(told.lives)):
            shared = on_possible_days(told, effect)
            first, _ = _fitted(shared, _FIRST_DRAWS, rng, _FIRST_SPREADS)
            effect = first.weight @ first.effect
        shared = on_possible_days(told, effect)
        if history.until_age is not None:
            shared = in_bands(shared, history.until_age)
        begin = None if like is None else like.model
        asks = partial(between_ages, history, by_age) if by_age else None
        model, difference = _fitted(shared, draws, rng, grid, begin, asks, by_age)
        return cls(model.weight, history, model, difference)

    def __repr__(self) -> str:
        return f"EffectDraws({', '.join(self.names)}: {self.model!r})"

    @property
    def names(self) -> tuple[str, ...]:
        """The exposures: ``x_<task>``, idle share and the like."""
        return self.history.names

    @property
    def failures(self) -> int:
        """Failures it rests on."""
        return round(float(self.model.failures.sum()))

    @property
    def printers(self) -> tuple[str, ...]:
        """The printers on which the parts were watched."""
        return self.history.told.printers

    @property
    def groups(self) -> tuple[tuple[str, str, str], ...]:
        """Kind, ink and variant of each group of parts."""
        return self.history.told.groups

    def effect(self, name: str) -> Array:
        """Change of the log hazard with one more of this exposure, one value per draw."""
        if name not in self.names:
            raise ModelError(
                _(
                    "{name} is no exposure here; there are {names}.",
                    name=name,
                    names=", ".join(self.names),
                )
            )
        at = self.names.index(name)
        return np.asarray(self.model.effect[:, at] / self.history.unit[at])

    def mean_effect(self, name: str) -> float:
        """Its mean over the draws."""
        return float(self.weights @ self.effect(name))

    def centre(self, name: str) -> float:
        """The exposure's mean over the time watched."""
        at = self.names.index(name)
        return float(self.model.exposure_mean[at] * self.history.unit[at])

    def log_hazard_ratio(self, change: Mapping[str, float]) -> Array:
        """Log hazard ratio of a change in some exposures, one value per draw."""
        total = np.zeros(len(self.weights))
        for name, step in change.items():
            total += step * self.effect(name)
        return total

    def hazard_ratio(self, change: Mapping[str, float], level: float = 0.95) -> Estimate:
        """How many times the risk is, after a change in some exposures; posterior median."""
        return self.ratio(self.log_hazard_ratio(change), level)

    def ratio(self, values: Array, level: float = 0.95) -> Estimate:
        """The same from a log hazard ratio per draw."""
        mean = float(self.weights @ values)
        spread = float(np.sqrt(self.weights @ (values - mean) ** 2))
        tail = (1 - level) / 2
        lower, middle, upper = np.exp(self.quantiles(values, (tail, 0.5, 1 - tail)))
        width = float(ndtri(1 - tail)) * spread
        wald = (float(np.exp(mean - width)), float(np.exp(mean + width)))
        return Estimate(float(middle), float(lower), float(upper), wald, level, "posterior")

    def beyond_the_task(self, exposure: str) -> Array | None:
        """How the printers' own levels go along with how often they have the task, beyond what it
        does itself, on the log hazard with each doubling; None where printers have it alike.
        """
        return self.effect(usual(exposure)) if usual(exposure) in self.names else None

    def pooled(self, exposure: str) -> Array:
        """The effect of a task as it were if printers' levels had nothing to do with it: changes
        within printers and differences between them count alike.

        The draws given that ``beyond_the_task`` is nought, as for a normal posterior.
        """
        own, beyond = self.effect(exposure), self.beyond_the_task(exposure)
        if beyond is None:
            return own
        spread = np.cov(np.stack((own, beyond)), aweights=self.weights)
        return np.asarray(own - spread[0, 1] / spread[1, 1] * beyond)

    def by_age(self, exposure: str) -> tuple[Array, Array] | None:
        """The effect on younger and on older parts; None where it is taken as one."""
        if younger(exposure) not in self.names:
            return None
        return effects_by_age(self.history, self.effect(exposure), self.effect(younger(exposure)))

    @property
    def levels(self) -> Array:
        """The printers' levels on the log hazard at the usual exposures: (draws, printers)."""
        level = self.model.unit
        for name, mean in self.history.printers_mean.items():
            level = level + np.outer(self.effect(usual(name)), mean - self.centre(usual(name)))
        return level

    def printers_level(self, power: Array) -> Array:
        """What the printers' own levels come to, on the log hazard.

        A printer's parts fail e^(level / power) times as often in the long run, with the shape as
        power where they are replaced as they fail (``GroupLives.power``); the mean of that.
        """
        own = self.levels / power[:, None]
        return np.asarray(power * (logsumexp(own, axis=1) - np.log(own.shape[1])))

    def gathered(self, group: Ints, printer: Ints, from_age: Array, to_age: Array) -> Array:
        """The hazard that parts gather between two ages at today's level and the usual exposures:
        (draws, parts). ``printer`` −1: one at large.
        """
        model = self.model
        shape, unit = model.shape[:, group], model.groups.told("typical_life")[group]
        level = np.where(printer >= 0, self.levels[:, printer], 0.0) + model.log_rate[:, group]
        with np.errstate(divide="ignore"):
            ends = [np.log(np.maximum(age, 0.0) / unit) for age in (from_age, to_age)]
        begin, end = (np.exp(level + shape * at) for at in ends)
        return np.asarray(end - begin)
