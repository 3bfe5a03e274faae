"""What does doing a task once cost, and is a spare at hand? In currency units.

``known``: the records as known on the day that is asked about.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary
from tracker.workshop.columns.sums import MINUTES
from tracker.workshop.records import Records

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True)
class TaskCost:
    """What doing a task once costs: minutes of work, fluid and ink; in currency units.

    ``is_logged``: the minutes are those of the log, else the trade's guess.
    """

    minutes: float
    fluid_ml: float
    work: float
    fluid: float
    is_logged: bool

    @property
    def total(self) -> float:
        """Work and fluid together."""
        return self.work + self.fluid


def task_cost(known: Records, task: str) -> TaskCost:
    """What does doing this task once cost? Minutes and fluid as logged, else the trade's guess."""
    task_code, why = known.codes("maintenance", "task"), known.codes("maintenance", "why")
    done = np.flatnonzero(task_code.is_word(task) & why.is_word("planned"))
    used_up = pd.Series(known.cells("maintenance", "fluid_ml")[done])
    guess = vocabulary.TASKS.get(task)
    minutes = task_minutes(known, task)
    fluid = _median(used_up, guess.fluid_ml if guess else 0.0)
    work = minutes / 60 * known.number("labour_per_hour")
    used = fluid / 1000 * known.number("fluid_per_litre")
    return TaskCost(minutes, fluid, work, used, task in known.once(_logged_minutes))


def task_minutes(known: Records, task: str) -> float:
    """How long does doing this task by plan take? As logged, else the trade's guess."""
    guess = vocabulary.TASKS.get(task)
    return known.once(_logged_minutes).get(task, guess.minutes if guess else 10.0)


def _logged_minutes(known: Records) -> dict[str, float]:
    """The median of each task done by plan: of the counts of all, those of the others taken off."""
    log = known.coded_table("maintenance")
    others = np.flatnonzero(~known.codes("maintenance", "why").is_word("planned"))
    planned = MINUTES.moved(
        known.sum_of("maintenance", MINUTES), log.cut(others), log.cut(others[:0]), log
    )
    return planned.medians(least=1)


def has_spare(known: Records, part_kind: str) -> bool:
    """Does one lie on the shelf? No stock written down counts as a spare."""
    moves = known.stock.loc[known.stock["part_kind"] == part_kind, "quantity"]
    return bool(moves.empty or moves.sum() > 0)


def _median(values: pd.Series, otherwise: float) -> float:
    return float(values.median()) if values.notna().any() else otherwise
