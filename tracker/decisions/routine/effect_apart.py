"""Where an effect is not one number: within printers against between them, young parts and old."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.decisions.routine.task_effect.ages_apart import failures_by_age
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.models.fit.profile_limits import Estimate


@dataclass(frozen=True)
class PrintersApart:
    """The hazard ratio of the change where it is read between printers: those that have the task
    more often against those that have it less; and ``pooled``, both counted alike.

    The effect that is relied on speaks of changes within printers, as far as there are any.
    ``is_apart``: the two differ beyond chance (95 % limits), so that printers cared for more often
    are better or worse ones for other reasons.
    """

    between: Estimate
    pooled: Estimate
    is_apart: bool

    @classmethod
    def of(cls, fit: EffectDraws, exposure: str, step: float) -> PrintersApart | None:
        """``step``: by how much the change moves the exposure. None where all printers have the
        task about as often over the whole log.
        """
        beyond = fit.beyond_the_task(exposure)
        if beyond is None:
            return None
        return cls(
            fit.ratio(step * (fit.effect(exposure) + beyond)),
            fit.ratio(step * fit.pooled(exposure)),
            fit.leaves_out_none(beyond),
        )


@dataclass(frozen=True)
class AgesApart:
    """The hazard ratio of the change on parts up to an age in open days, and on older ones, each
    with the failures it rests on.
    """

    until_age: float
    younger: Estimate
    older: Estimate
    younger_failures: int
    older_failures: int

    @classmethod
    def of(cls, fit: EffectDraws, exposure: str, step: float) -> AgesApart | None:
        """None where the log does not tell that the effect differs with age."""
        effects, until_age = fit.by_age(exposure), fit.history.until_age
        if effects is None or until_age is None:
            return None
        younger, older = (fit.ratio(step * one) for one in effects)
        young, old = failures_by_age(fit.history.history, until_age)
        return cls(until_age, younger, older, round(young), round(old))
