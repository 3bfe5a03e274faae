"""What does a failure cost, and what does doing a task once cost? In currency units.

``known``: the records as known on the day that is asked about.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracker.workshop import vocabulary
from tracker.workshop.records import Records

DAYS_PER_YEAR = 365.25


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


def failure_cost(known: Records, part_kind: str, *, spare_on_shelf: bool) -> FailureCost:
    """What does a failure of this kind cost with, or without, a spare on the shelf?

    The part, what is changed along with it, the hours to change it (work and standing), the wait
    for delivery without a spare (working hours of five days in seven), and the mean scrap noted
    with stoppages of this kind.
    """
    facts = known.part_facts(part_kind)
    labour, margin = known.number("labour_per_hour"), known.number("margin_per_hour")
    along = 0.0
    for kind in known.part_kinds():
        if kind != part_kind and known.part_facts(kind).replaced_with == part_kind:
            own = positions_per_printer(known, kind)
            along += own * known.part_facts(kind).unit_cost
    waiting = 0.0
    if not spare_on_shelf:
        waiting = facts.lead_days * 5 / 7 * known.number("hours_per_day")
    noted = known.stoppages.loc[known.stoppages["part_kind"] == part_kind, "scrap_cost"]
    scrap = float(noted.mean()) if noted.notna().any() else 0.0
    return FailureCost(
        part=facts.unit_cost,
        parts_along=along,
        work=facts.hours_to_change * labour,
        standing=(facts.hours_to_change + waiting) * margin,
        scrap=scrap,
    )


def task_cost(known: Records, task: str) -> TaskCost:
    """What does doing this task once cost? Minutes and fluid as logged, else the trade's guess."""
    log = known.maintenance
    own = log[(log["task"] == task) & (log["why"] == "planned")]
    guess = vocabulary.TASKS.get(task)
    minutes = _median(own["minutes"], guess.minutes if guess else 10.0)
    fluid = _median(own["fluid_ml"], guess.fluid_ml if guess else 0.0)
    work = minutes / 60 * known.number("labour_per_hour")
    used = fluid / 1000 * known.number("fluid_per_litre")
    return TaskCost(minutes, fluid, work, used)


def positions_per_printer(known: Records, part_kind: str) -> float:
    """How many parts of this kind does a printer hold, on average over printers that hold any?"""
    own = known.fittings[known.fittings["part_kind"] == part_kind]
    if own.empty:
        return 0.0
    return len(own[["printer", "position"]].drop_duplicates()) / own["printer"].nunique()


def has_spare(known: Records, part_kind: str) -> bool:
    """Does one lie on the shelf? No stock written down counts as a spare."""
    moves = known.stock.loc[known.stock["part_kind"] == part_kind, "quantity"]
    return bool(moves.empty or moves.sum() > 0)


def _median(values: pd.Series, otherwise: float) -> float:
    return float(values.median()) if values.notna().any() else otherwise
