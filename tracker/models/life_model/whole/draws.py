"""The fitted life model as weighted draws: what every answer about lives is computed from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.models.life_model.whole.future import (
    Cause,
    chance_by_draw,
    mean_chance,
    remaining_life,
    wear_gathered,
    whole_days,
)
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts
from tracker.models.outcomes import Numbers


@dataclass(frozen=True, eq=False, repr=False)
class LifeDraws(Levels):
    """The levels, and what they say of days to come."""

    def cumulative_hazard(self, parts: Parts, days: Numbers, path: Steps | None = None) -> Array:
        """How much hazard of wear each part gathers within each number of days from today, drift
        going on as a random walk: (draws, parts, days).

        ``path``: exposures to come (``acts`` and ``spread`` unread); left out, each unit's last
        ones go on.
        """
        return wear_gathered(self, parts, whole_days(days), path)

    def chances(
        self, parts: Parts, days: Numbers, cause: Cause = "any", path: Steps | None = None
    ) -> Array:
        """Each draw's chance that a part has failed, by this cause first: (draws, parts, days)."""
        return chance_by_draw(self, parts, whole_days(days), cause, path)

    def chance_of_failure(
        self, parts: Parts, days: Numbers, cause: Cause = "any", path: Steps | None = None
    ) -> Array:
        """The chance that each part has failed within each number of days: (parts, days)."""
        return mean_chance(self, parts, whole_days(days), cause, path)

    def remaining_quantiles(
        self, parts: Parts, chances: Numbers, path: Steps | None = None
    ) -> Array:
        """Days from today within which each part fails with each chance: (parts, chances).

        Wear and accident together; inf beyond twenty typical lives.
        """
        return remaining_life(self, parts, np.asarray(chances, dtype=float), path)
