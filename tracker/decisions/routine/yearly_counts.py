"""How many failures and actions are there in a year when a task is done every so many days?

Yearly cost of a schedule = failures per year · cost of a failure + actions per year · cost of one,
for every draw of the posterior, so that what is not known about lives stays in the money.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.cost import DAYS_PER_YEAR
from tracker.errors import UsageError
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.models.regression import WeibullHazardFit

_SHORTEST_LIFE_DAYS = 0.5  # as in the life table: a part that fails on its first day
_LONGEST_LIFE_DAYS = 1e6
# Gauss–Legendre over survival levels: the mean life is the integral of the quantiles.
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(64)
_SURVIVING = (_NODES + 1) / 2
_SHARES = _NODE_WEIGHTS / 2


@dataclass(frozen=True)
class YearlyCounts:
    """Failures and actions per printer and year of doing the task every so many days, per draw.

    ``fit`` holds the effect of ``exposure`` (the task's column); ``groups`` maps the other
    exposures to how many positions of a printer have them (white and colour apart);
    ``other_removals_per_day`` is how often a part comes out for another reason first;
    ``working_share`` of the open days are worked, ``closed_share`` of all days are closed.
    """

    fit: WeibullHazardFit
    exposure: str
    groups: tuple[tuple[dict[str, float], float], ...]
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
        check_interval("every_days", every_days)
        actions = PER_DAYS * self._actions_per_day(every_days)
        return float(log2_rate(np.array([actions]))[0])

    def failures_per_year(self, every_days: float) -> Array:
        """Failures per printer and year in the long run, one value per draw.

        A position is a renewal process: a part fails, or comes out for another reason at rate ρ;
        with M = E[min(life, other)] failures come at rate 1/M − ρ.
        """
        shape = self.fit.draws["shape"].to_numpy()
        rho = self.other_removals_per_day
        total = np.zeros(len(shape))
        shortest, longest = np.log(_SHORTEST_LIFE_DAYS), np.log(_LONGEST_LIFE_DAYS)
        for exposures, positions in self.groups:
            at = {**exposures, self.exposure: self.exposure_at(every_days)}
            hazard = self.fit.cumulative_hazard(np.array([self.fit.unit]), at)
            with np.errstate(divide="ignore", over="ignore"):
                # The age at which the cumulative hazard reaches −log of each survival level.
                log_life = (np.log(-np.log(_SURVIVING)) - np.log(hazard)) / shape[:, None]
            life = np.exp(np.clip(log_life + np.log(self.fit.unit), shortest, longest))
            watched = -np.expm1(-rho * life) / rho if rho > 0 else life
            total += positions * (1 / (watched @ _SHARES) - rho)
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
    def of(cls, fit: WeibullHazardFit, values: Array) -> Saving:
        """From one value per draw."""
        low, half, high = fit.quantiles(values, (0.1, 0.5, 0.9))
        return cls(float(half), float(low), float(high), fit.chance(values > 0))


def middle(fit: WeibullHazardFit, values: Array) -> float:
    """Posterior median of one value per draw; see ``Saving`` for why not the mean."""
    return float(fit.quantiles(values, (0.5,))[0])


def check_interval(name: str, days: float) -> None:
    """Raises UsageError for days that cannot lie between two times of doing a task."""
    if not 0 < days <= 3650:
        raise UsageError(
            f"{name}: {days:g} days cannot be an interval; give days above 0 and up to 3650."
        )
