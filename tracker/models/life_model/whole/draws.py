"""The fitted life model as weighted draws: what every answer about lives is computed from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.models.life_model.whole.ahead.future import (
    Cause,
    chance_by_draw,
    counted_days,
    mean_chance,
    remaining_life,
    wear_gathered,
    whole_days,
)
from tracker.models.life_model.whole.guess import believed_otherwise
from tracker.models.life_model.whole.history import Steps
from tracker.models.life_model.whole.levels import Levels, Parts
from tracker.models.outcomes import Numbers


@dataclass(frozen=True, eq=False, repr=False)
class LifeDraws(Levels):
    """The levels, and what they say of days to come."""

    def if_guess(self, factor: float) -> LifeDraws:
        """What would be told, had every believed typical life been ``factor`` times as long?

        From the same draws, without a new fit. Accidents, believed to be one in so many typical
        lives, move along; guesses of unknown ages stay. Raises ModelError unless factor is above
        0.
        """
        return believed_otherwise(self, factor)

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

    def counted_days(self, parts: Parts, days: Numbers) -> Array:
        """Open days gone at each part within each number of days from today: (parts, days)."""
        return counted_days(self, parts, whole_days(days))
