"""Everything the records tell of a task's effect on a part kind, before any schedule is chosen.

Gathering reads the whole log and takes seconds; comparing two schedules afterwards takes none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.decisions.failure_cost import FailureCost, FailureCosts, positions_per_printer
from tracker.decisions.routine.change import RoutineHistory, routine_changes
from tracker.decisions.routine.cost import TaskCost, has_spare, task_cost
from tracker.decisions.routine.interval import DEFAULT_INTERVALS, CostsByInterval
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_fits import (
    LAGS,
    EffectFits,
    TaskAndPart,
    effect_at_lag,
    fit_effect,
)
from tracker.decisions.routine.yearly_counts import EffectByAge, GroupLives, YearlyCounts
from tracker.forecast.routine_exposure import says_why, usual_lag
from tracker.lives.life_table import life_table
from tracker.lives.open_days import closed_share
from tracker.workshop.records import Records
from tracker.workshop.working_days import WorkingDays

_DRAWS, _DRAWS_PER_LAG = 2000, 800


@dataclass(frozen=True, eq=False)
class RoutineStudy:
    """The fits, the money and the history of one task on one part kind.

    ``by_lag``: the fit with the window ending 0, 3, 7, 14 days before each day; ``fits`` are those
    that are relied on. ``with_spare``, ``without_spare``: what a failure costs then;
    ``has_spare`` as the stock stands (no stock written down counts as a spare).
    ``says_why``: does the log tell planned actions from those a symptom called for?
    ``proportional_p_value``: does the effect change with the age of the part?
    """

    part_kind: str
    task: str
    as_of: date
    currency: str
    says_why: bool
    fits: EffectFits
    by_lag: Mapping[int, EffectDraws]
    yearly: YearlyCounts
    with_spare: FailureCost
    without_spare: FailureCost
    has_spare: bool
    task_cost: TaskCost
    history: RoutineHistory
    proportional_p_value: float
    intervals: tuple[float, ...] = field(default=DEFAULT_INTERVALS)

    @cached_property
    def by_interval(self) -> CostsByInterval:
        """Failures and actions at every interval tried, computed once."""
        return CostsByInterval.of(self.yearly, self.intervals)


def routine_study(
    records: Records,
    as_of: date,
    part_kind: str,
    task: str,
    *,
    lag_days: int | None = None,
    rng: np.random.Generator | None = None,
) -> RoutineStudy:
    """What do the records tell of this task's effect on this kind of part?

    ``lag_days`` None: 0 where the log tells planned actions from those a symptom called for, else
    7. ``rng`` draws the posterior; left out, always the same draws.

    Raises NotEnoughData: no part of the kind was watched long enough.
    """
    rng = rng or np.random.default_rng(20240229)
    known = records.known_at(as_of)
    asked = TaskAndPart(known, as_of, part_kind, task)
    if lag_days is None:
        lag_days = usual_lag(known)
    fits = fit_effect(asked, lag_days, rng, _DRAWS)
    by_lag = {lag: effect_at_lag(asked, fits, lag, rng, _DRAWS_PER_LAG) for lag in LAGS}
    lives = life_table(known, as_of)
    costs = FailureCosts.of(known, as_of, lives)
    return RoutineStudy(
        part_kind=part_kind,
        task=task,
        as_of=as_of,
        currency=known.setting("currency"),
        says_why=says_why(known),
        fits=fits,
        by_lag=by_lag,
        yearly=YearlyCounts(
            draws=fits.model,
            effect=fits.model.effect(fits.exposure),
            centre=fits.model.centre(fits.exposure),
            groups=_groups(known, part_kind, fits.model),
            other_removals_per_day=_other_removals(lives, part_kind),
            working_share=WorkingDays.of(known, as_of).share,
            closed_share=closed_share(known, as_of),
            by_age=_by_age(fits),
        ),
        with_spare=costs.of_kind(part_kind, spare_on_shelf=True),
        without_spare=costs.of_kind(part_kind, spare_on_shelf=False),
        has_spare=has_spare(known, part_kind),
        task_cost=task_cost(known, task),
        history=routine_changes(known, as_of, part_kind, task),
        proportional_p_value=_drift(fits),
    )


def _groups(known: Records, part_kind: str, fit: EffectDraws) -> tuple[GroupLives, ...]:
    """The lives in each group, and how many positions of a printer carry it."""
    lives, groups = fit.history.history.lives, fit.model.groups
    days = np.bincount(lives.group, lives.age - lives.entry, len(groups))
    positions = positions_per_printer(known, part_kind) * days / days.sum()
    return tuple(
        GroupLives(
            log_rate=fit.model.log_rate[:, group] + fit.printers_level(fit.model.shape[:, group]),
            shape=fit.model.shape[:, group],
            unit=float(groups.told("typical_life")[group]),
            positions=float(positions[group]),
        )
        for group in range(len(groups))
    )


def _by_age(fits: EffectFits) -> EffectByAge | None:
    found, until_age = fits.model.by_age(fits.exposure), fits.model.history.until_age
    return None if found is None or until_age is None else EffectByAge(until_age, *found)


def _other_removals(lives: pd.DataFrame, part_kind: str) -> float:
    """How often a part comes out for another reason than wear, per day it is in."""
    lives = lives[(lives["part_kind"] == part_kind) & lives["counted"]]
    days = float((lives["age"] - lives["entry"]).sum())
    ended = lives["outcome"].isin(["accident", "planned", "with_other", "unknown"]).sum()
    return float(ended) / days if days > 0 else 0.0


def _drift(fits: EffectFits) -> float:
    """Does the task's effect change with the age of the part? p-value of the score test."""
    if fits.cox is None:
        return float("nan")
    table = fits.cox.proportional_hazards().by_covariate
    if fits.exposure not in table.index:
        return float("nan")
    return float(table["p_value"].to_dict()[fits.exposure])
