"""How many failures and actions are there in a year when a task is done every so many days?

Yearly cost of a schedule = failures per year · cost of a failure + actions per year · cost of one,
for every draw of the posterior, so that what is not known about lives stays in the money.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.cost import DAYS_PER_YEAR
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.forecast.routine_exposure import schedule_exposure

_SHORTEST_LIFE_DAYS = 0.5  # as in the life table: a part that fails on its first day
_LONGEST_LIFE_DAYS = 1e6
# Gauss–Legendre over survival levels: the mean life is the integral of the quantiles.
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(64)
_SURVIVING = (_NODES + 1) / 2
_SHARES = _NODE_WEIGHTS / 2


@dataclass(frozen=True, eq=False)
class GroupLives:
    """Parts of one ink and type: the cumulative hazard at age a is e^log_rate · (a / unit)^shape
    today, at the usual exposures, one value per draw; ``positions`` of a printer carry them.
    """

    log_rate: Array
    shape: Array
    unit: float
    positions: float


@dataclass(frozen=True, eq=False)
class YearlyCounts:
    """Failures and actions per printer and year of doing the task every so many days, per draw.

    ``effect`` is that of the task's exposure on the log hazard, per draw, and ``centre`` the
    exposure at which ``groups`` hold; ``other_removals_per_day`` is how often a part comes out for
    another reason first; ``working_share`` of the open days are worked, ``closed_share`` of all
    days are closed.
    """

    draws: WeightedDraws
    effect: Array
    centre: float
    groups: tuple[GroupLives, ...]
    other_removals_per_day: float
    working_share: float
    closed_share: float = 0.0

    def actions_per_year(self, every_days: float) -> float:
        """Actions in a year; "every day" means every working day, closed days left out."""
        return DAYS_PER_YEAR * (1 - self.closed_share) * self._actions_per_day(every_days)

    def _actions_per_day(self, every_days: float) -> float:
        """On an open day."""
        return min(1 / every_days, self.working_share)

    def exposure_at(self, every_days: float) -> float:
        """The exposure of a printer on which the task is done every so many days."""
        return schedule_exposure(every_days, self.working_share)

    def failures_per_year(self, every_days: float) -> Array:
        """Failures per printer and year in the long run, one value per draw.

        Other exposures stay as usual.
        """
        return self.failures_if_moved(self.effect * (self.exposure_at(every_days) - self.centre))

    def failures_if_moved(self, moved: Array) -> Array:
        """The same where the log hazard is moved by so much in each draw.

        A position is a renewal process: a part fails, or comes out
        for another reason at rate ρ; with M = E[min(life, other)] failures come at rate 1/M − ρ.
        """
        rho = self.other_removals_per_day
        total = np.zeros(len(moved))
        shortest, longest = np.log(_SHORTEST_LIFE_DAYS), np.log(_LONGEST_LIFE_DAYS)
        for group in self.groups:
            log_hazard = (group.log_rate + moved)[:, None]
            # The age at which the cumulative hazard reaches −log of each survival level.
            log_life = (np.log(-np.log(_SURVIVING)) - log_hazard) / group.shape[:, None]
            life = np.exp(np.clip(log_life + np.log(group.unit), shortest, longest))
            watched = -np.expm1(-rho * life) / rho if rho > 0 else life
            total += group.positions * (1 / (watched @ _SHARES) - rho)
        yearly: Array = DAYS_PER_YEAR * total
        return yearly


@dataclass(frozen=True)
class Saving:
    """Money saved per printer and year, currency units: median, 10 % and 90 % points, chance > 0.

    The median, as likely more as less, and not the mean: with few failures the belief allows
    effects of any size, failures go with their exponential, and the mean then rests on a handful
    of outermost draws – it can lie outside the 80 % range and on the other side of 0 from the
    chance that it pays. With many failures the two are alike.
    """

    median: float
    p10: float
    p90: float
    chance_it_pays: float

    @classmethod
    def of(cls, draws: WeightedDraws, values: Array) -> Saving:
        """From one value per draw."""
        low, half, high = draws.quantiles(values, (0.1, 0.5, 0.9))
        return cls(float(half), float(low), float(high), draws.chance(values > 0))
