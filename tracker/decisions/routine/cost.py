"""What does doing a task once cost, and is a spare at hand? In currency units.

``known``: the records as known on the day that is asked about.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary
from tracker.workshop.columns.sums import MINUTES
from tracker.workshop.records import Records
from tracker.workshop.shelf import stock_moves
from tracker.workshop.variants import fittings_in_use, part_types, pooled_variants, spare_variants

DAYS_PER_YEAR = 365.25
_SHELF_DAYS = 365  # looked back on


def open_days_per_year(closed_share: float) -> float:
    """How many days of a year are open? Parts live and work is done on these alone."""
    return DAYS_PER_YEAR * (1 - closed_share)


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


def has_spare(known: Records, part_kind: str, as_of: date) -> bool:
    """Did one that fits lie on the shelf on most days of the year up to that one? What failures
    cost over years hangs little on what lies there today. Of several types each counts by the
    parts in use. No stock written down counts as a spare.
    """
    moves = stock_moves(known)
    moves = moves[moves["part_kind"] == part_kind]
    if moves.empty:
        return True
    types = [part.variant for part in part_types(known) if part.part_kind == part_kind]
    fitted = known.fittings["part_kind"].eq(part_kind) & fittings_in_use(known)
    parts = pooled_variants(known)[fitted].value_counts().reindex(types, fill_value=0).to_numpy()
    lying = [_lying(moves[spare_variants(known, moves) == one], as_of) for one in types]
    return bool(2 * np.average(lying, weights=parts if parts.any() else None) >= 1)


def _lying(moves: pd.DataFrame, as_of: date) -> float:
    """The share of the days since the first move, of a year at most, on which there was a spare."""
    if moves.empty:
        return 0.0
    held = moves.groupby("moved_on")["quantity"].sum().cumsum()
    today, began = pd.Timestamp(as_of), held.index.to_numpy()
    began = np.maximum(began, (today - pd.Timedelta(days=_SHELF_DAYS)).to_datetime64())
    days = np.diff(began, append=(today + pd.Timedelta(days=1)).to_datetime64())
    return float(days[held.to_numpy() > 0].sum() / days.sum())


def _median(values: pd.Series, otherwise: float) -> float:
    return float(values.median()) if values.notna().any() else otherwise
