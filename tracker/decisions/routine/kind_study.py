"""What a study tells of one part kind, and what its failures may cost, in draws of the whole."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tracker.arrays import Array, Ints
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.routine.study import RoutineStudy

DRAWS, SEED = 4000, 20240301


@dataclass(frozen=True, eq=False)
class KindStudy:
    """A part kind in the whole: its own ``study``, what one failure costs as the shelf mostly
    was, and how both go on in the draws of the whole: ``picked``, the study's draw in each, and
    ``costs``.
    """

    study: RoutineStudy = field(repr=False)
    cost: FailureCost
    picked: Ints = field(repr=False)
    costs: Array = field(repr=False)

    @classmethod
    def of(
        cls, study: RoutineStudy, cost: FailureCost, possible: CostDraws, rng: np.random.Generator
    ) -> KindStudy:
        """``possible``: what costs may be in DRAWS draws; ``rng`` puts those of the study to
        them."""
        picked = study.yearly.draws.matched(DRAWS, rng)
        return cls(study, cost, picked, possible.of_failure(cost))

    def failures_at(self, every_days: Array) -> Array:
        """Failures per printer and year, (intervals, draws of the whole)."""
        tried = self.study.by_interval
        known = dict(zip(tried.every_days.tolist(), tried.failures, strict=True))
        rows = [
            known[days] if days in known else self.study.yearly.failures_per_year(days)
            for days in every_days.tolist()
        ]
        return np.array(rows)[:, self.picked]

    @property
    def is_belief(self) -> bool:
        """True where the log says nothing: no failure, or the task always at one frequency."""
        fits = self.study.fits
        return not fits.failures or fits.never_varied
