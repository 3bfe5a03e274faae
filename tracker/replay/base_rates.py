"""What anybody could have told without looking at ages: two chances to hold the forecasts against.

Both are known at the time: they count what was seen until the day they are told on. Ages and days
to come are open days, as those of the forecasts are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.forecast.fitted_lives import FittedLives
from tracker.models.life_model.whole import Parts
from tracker.models.life_model.whole.history import tally

WORTH_FAILURES = 0.5  # failures that the catalogue's typical life counts for in a kind's own rate


@dataclass(frozen=True, eq=False)
class BaseChances:
    """Chances of failing, one per part: ``kind_rate`` and ``age_free``."""

    kind_rate: Array
    age_free: Array


def base_chances(fitted: FittedLives, parts: Parts, days: float) -> BaseChances:
    """The chance of failing within the days, were age, printer, lot and season nothing to go by.

    ``kind_rate``: 1 − exp(−rate · days) with the kind's own rate, its failures and accidents per
    day that any of its parts was watched; WORTH_FAILURES in as many typical lives come on top, for
    a kind of which nothing has failed yet.

    ``age_free``: a constant hazard per kind, ink and type, with the catalogue's belief as the life
    model has it: the typical life counts for ``belief_failures``, and the rate is uncertain
    (gamma), so 1 − (E / (E + days))^D with D failures and E days, the belief's among them
    (exponential lives with their conjugate belief; Gelman et al., 2013, Bayesian Data Analysis,
    section 2.6).
    """
    if fitted.told is None or fitted.draws is None:
        return BaseChances(np.zeros(len(parts)), np.zeros(len(parts)))
    lives, groups = fitted.told.history.lives, fitted.told.history.groups
    failed = tally(lives.group, (lives.failed | lives.accident) * lives.weight, len(groups))
    watched = tally(lives.group, (lives.age - lives.entry) * lives.weight, len(groups))
    typical, worth = groups.told("typical_life"), groups.told("worth_failures")
    ahead = fitted.draws.counted_days(parts, days)[:, 0]

    of_kind = [tally(groups.kind, own, groups.n_kinds) for own in (failed, watched)]
    rate = (of_kind[0] + WORTH_FAILURES) / (of_kind[1] + WORTH_FAILURES * groups.per_kind(typical))
    kind_rate = -np.expm1(-rate[groups.kind[parts.group]] * ahead)

    events, exposure = worth + failed, worth * typical + watched
    lasting = np.log(exposure[parts.group] / (exposure[parts.group] + ahead))
    return BaseChances(kind_rate, -np.expm1(events[parts.group] * lasting))
