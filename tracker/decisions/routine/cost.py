"""What does a task cost, what does a failure cost, and how often will both come in a year?

Yearly cost of a schedule = failures per year · cost of a failure + actions per year · cost of one,
for every draw of the posterior, so that what is not known about lives stays in the money.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import UsageError
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.models.regression import WeibullHazardFit
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

DAYS_PER_YEAR = 365.25
_SHORTEST_LIFE_DAYS = 0.5  # as in the life table: a part that fails on its first day
_LONGEST_LIFE_DAYS = 1e6
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(64)
_SURVIVING = (_NODES + 1) / 2  # survival levels at which a mean life is summed
_SHARES = _NODE_WEIGHTS / 2


@dataclass(frozen=True)
class FailureCost:
    """What one failure costs, item by item; in currency units."""

    part: float
    parts_along: float
    work: float
    standing: float
    scrap: float

    @property
    def total(self) -> float:
        """All items together."""
        return self.part + self.parts_along + self.work + self.standing + self.scrap


@dataclass(frozen=True)
class TaskCost:
    """What doing a task once costs: minutes of work, fluid and ink; in currency units."""

    minutes: float
    fluid_ml: float
    work: float
    fluid: float

    @property
    def total(self) -> float:
        """Work and fluid together."""
        return self.work + self.fluid


def failure_cost(records: Records, part_kind: str, *, spare_on_shelf: bool) -> FailureCost:
    """What does a failure of this kind cost with, or without, a spare on the shelf?

    The part, what is changed along with it, the hours to change it (work and standing), the wait
    for delivery without a spare (working hours of five days in seven), and the mean scrap noted
    with stoppages of this kind.
    """
    facts = records.part_facts(part_kind)
    labour, margin = records.number("labour_per_hour"), records.number("margin_per_hour")
    along = 0.0
    for kind in records.part_kinds():
        if kind != part_kind and records.part_facts(kind).replaced_with == part_kind:
            own = positions_per_printer(records, kind)
            along += own * records.part_facts(kind).unit_cost
    waiting = 0.0
    if not spare_on_shelf:
        waiting = facts.lead_days * 5 / 7 * records.number("hours_per_day")
    noted = records.stoppages.loc[records.stoppages["part_kind"] == part_kind, "scrap_cost"]
    scrap = float(noted.mean()) if noted.notna().any() else 0.0
    return FailureCost(
        part=facts.unit_cost,
        parts_along=along,
        work=facts.hours_to_change * labour,
        standing=(facts.hours_to_change + waiting) * margin,
        scrap=scrap,
    )


def task_cost(records: Records, task: str) -> TaskCost:
    """What does doing this task once cost? Minutes and fluid as logged, else the trade's guess."""
    log = records.maintenance
    own = log[(log["task"] == task) & (log["why"] == "planned")]
    guess = words.TASKS.get(task)
    minutes = _median(own["minutes"], guess.minutes if guess else 10.0)
    fluid = _median(own["fluid_ml"], guess.fluid_ml if guess else 0.0)
    work = minutes / 60 * records.number("labour_per_hour")
    used = fluid / 1000 * records.number("fluid_per_litre")
    return TaskCost(minutes, fluid, work, used)


def positions_per_printer(records: Records, part_kind: str) -> float:
    """How many parts of this kind does a printer hold, on average over printers that hold any?"""
    own = records.fittings[records.fittings["part_kind"] == part_kind]
    if own.empty:
        return 0.0
    return len(own[["printer", "position"]].drop_duplicates()) / own["printer"].nunique()


def working_share(records: Records) -> float:
    """The share of days on which people work there: weekdays that see planned maintenance.

    >>> working_share(Records())
    0.7142857142857143
    """
    log = records.maintenance
    days = log.loc[log["why"] == "planned", "done_on"].dt.dayofweek.dropna()
    if len(days) < 20:
        return 5 / 7
    seen = np.bincount(days.astype(np.int64), minlength=7) >= 0.03 * len(days)
    return float(seen.sum() / 7)


@dataclass(frozen=True)
class Schedules:
    """Failures and actions per printer and year of doing the task every so many days, per draw.

    ``fit`` holds the effect of ``exposure`` (the task's column); ``groups`` maps the other
    exposures to how many positions of a printer have them (white and colour apart);
    ``other_removals_per_day`` is how often a part comes out for another reason first.
    """

    fit: WeibullHazardFit
    exposure: str
    groups: tuple[tuple[dict[str, float], float], ...]
    other_removals_per_day: float
    working_share: float

    def actions_per_year(self, every_days: float) -> float:
        """Actions in a year; "every day" means every working day."""
        return DAYS_PER_YEAR * min(1 / every_days, self.working_share)

    def exposure_at(self, every_days: float) -> float:
        """The exposure of a printer on which the task is done every so many days."""
        _check_interval(every_days)
        actions = PER_DAYS / DAYS_PER_YEAR * self.actions_per_year(every_days)
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


def _median(values: pd.Series, otherwise: float) -> float:
    return float(values.median()) if values.notna().any() else otherwise


def _check_interval(every_days: float) -> None:
    if not 0 < every_days <= 3650:
        raise UsageError(
            f"every_days: {every_days:g} cannot be used; give the days between, above 0 and up to "
            "3650."
        )
