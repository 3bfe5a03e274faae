"""Everything the records tell of a task's effect on a part kind, before any schedule is chosen.

Gathering reads the whole log and takes seconds; comparing two schedules afterwards takes none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from datetime import date
from typing import cast

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.failure_cost import FailureCosts, positions_per_printer
from tracker.decisions.routine.change import RoutineHistory, routine_changes
from tracker.decisions.routine.cost import TaskCost, has_spare, task_cost
from tracker.decisions.routine.interval import DEFAULT_INTERVALS, CostsByInterval
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_fits import (
    EffectFits,
    TaskAndPart,
    effect_alone,
    effect_at_lag,
    fit_effect,
)
from tracker.decisions.routine.yearly_counts import (
    EffectByAge,
    GroupLives,
    TakenAlong,
    YearlyCounts,
)
from tracker.errors import NotEnoughData
from tracker.forecast.log_quality.judged_log import JudgedLog, judge_log
from tracker.forecast.log_quality.pile_up import LAGS
from tracker.forecast.log_quality.suspects import Suspect
from tracker.forecast.planned_practice import practised_ages
from tracker.lives.life_table import life_table, open_days_watched
from tracker.lives.open_days import Closures, closed_share
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once
from tracker.workshop.working_days import WorkingDays

_DRAWS, _DRAWS_PER_LAG = 2000, 800
_SEED = 20240229


@dataclass(frozen=True, eq=False)
class RoutineStudy:
    """The fits, the money and the history of one task on one part kind.

    ``log``: what the log is worth. ``fits`` are those relied on, without the suspects of the log.
    ``with_spare``, ``without_spare``: what a failure costs then; ``has_spare`` as the shelf
    mostly was (no stock written down counts as a spare).
    ``seeds`` of the draws of what is worked out only when it is looked at.
    """

    part_kind: str
    task: str
    as_of: date
    currency: str
    log: JudgedLog
    fits: EffectFits
    yearly: YearlyCounts
    with_spare: FailureCost
    without_spare: FailureCost
    has_spare: bool
    task_cost: TaskCost
    history: RoutineHistory
    seeds: np.random.SeedSequence = field(repr=False)
    intervals: tuple[float, ...] = field(default=DEFAULT_INTERVALS)

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Planned entries of the task that look like work because of a symptom."""
        return self.log.suspects_of(self.task)

    @found_once
    def by_lag(self) -> Mapping[int, EffectDraws]:
        """The log as it is written, with the window ending 0, 3, 7, 14 days before each day: a fit
        for each, which nobody waits for who does not look at them.
        """
        as_written = replace(self.fits.asked, known=self.log.known)
        rng = np.random.default_rng(deepcopy(self.seeds))  # the same draws whenever it is looked at
        return {lag: effect_at_lag(as_written, self.fits, lag, rng, _DRAWS_PER_LAG) for lag in LAGS}

    @found_once
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

    The log is judged first: entries that look like work because of a symptom do not count, and what
    is missing is made up for where its pattern allows. ``lag_days`` None: as ``CountedLog`` says.
    ``rng`` draws the posterior; left out, always the same draws.

    Raises NotEnoughData: no part of the kind was watched long enough.
    """
    rng = rng or np.random.default_rng(_SEED)
    known = records.known_at(as_of)
    log = judge_log(known, as_of)
    asked = TaskAndPart(log.counted.records, as_of, part_kind, task, log.counted.gaps)
    if lag_days is None:
        lag_days = log.counted.lag_of(task)
    fits = fit_effect(asked, lag_days, rng, _DRAWS)
    # As spawned from so far: whoever draws with ``rng`` later goes on from here as well.
    seeds = cast(np.random.SeedSequence, deepcopy(rng.bit_generator.seed_seq))
    lives = life_table(known, as_of)
    costs = FailureCosts.of(known, as_of)
    return RoutineStudy(
        part_kind=part_kind,
        task=task,
        as_of=as_of,
        currency=known.setting("currency"),
        log=log,
        fits=fits,
        yearly=replace(
            _yearly_counts(asked, lives, fits.model),
            along=_taken_along(asked, lives, lag_days, len(fits.model.weights)),
        ),
        with_spare=costs.of_kind(part_kind, spare_on_shelf=True),
        without_spare=costs.of_kind(part_kind, spare_on_shelf=False),
        has_spare=has_spare(known, part_kind, as_of),
        task_cost=task_cost(known, task),
        history=routine_changes(known, as_of, part_kind, task),
        seeds=seeds,
    )


def group_lives(
    known: Records,
    part_kind: str,
    fit: EffectDraws,
    level: Callable[[Array], Array],
    planned_age: float,
) -> tuple[GroupLives, ...]:
    """The lives in each group, and how many positions of a printer carry it.

    ``level`` gives a printer's own level on the log hazard, per draw, for a group's ``power`` where
    parts are changed by plan at ``planned_age``.
    """
    lives, groups = fit.history.history.lives, fit.model.groups
    days = np.bincount(lives.group, lives.age - lives.entry, len(groups))
    positions = positions_per_printer(known, part_kind) * days / days.sum()
    found = (
        GroupLives(
            log_rate=fit.model.log_rate[:, group],
            shape=fit.model.shape[:, group],
            unit=float(groups.told("typical_life")[group]),
            positions=float(positions[group]),
        )
        for group in range(len(groups))
    )
    return tuple(
        replace(own, log_rate=own.log_rate + level(own.power(planned_age))) for own in found
    )


def _yearly_counts(asked: TaskAndPart, lives: pd.DataFrame, model: EffectDraws) -> YearlyCounts:
    """Failures and actions of a year, but for what goes out along with other parts."""
    effects, until_age = model.by_age(asked.exposure), model.history.until_age
    others, planned_age = other_removals(asked.known, lives, asked.part_kind, asked.as_of)
    return YearlyCounts(
        draws=model,
        effect=model.effect(asked.exposure),
        centre=model.centre(asked.exposure),
        groups=group_lives(asked.known, asked.part_kind, model, model.printers_level, planned_age),
        other_removals_per_day=others,
        working_share=WorkingDays.of(asked.known, asked.as_of).share,
        closed_share=closed_share(asked.known, asked.as_of),
        planned_age=planned_age,
        by_age=EffectByAge(until_age, *effects) if effects and until_age else None,
    )


def _taken_along(
    asked: TaskAndPart, lives: pd.DataFrame, lag_days: int, draws: int
) -> TakenAlong | None:
    """How the kind goes out along with failures of another one that the task protects too."""
    leader = asked.known.part_facts(asked.part_kind).replaced_with
    usual = vocabulary.TASKS.get(asked.task)
    if usual is None or not {leader, asked.part_kind} <= set(usual.likely_helps):
        return None
    counted = lives[lives["counted"]]
    own, leading = (counted[counted["part_kind"] == kind] for kind in (asked.part_kind, leader))
    ended = leading["outcome"].isin(["failed", "accident", "planned"]).sum()
    days = open_days_watched(Closures.of(asked.known), own, asked.as_of)
    if not ended or days <= 0:
        return None
    failed = (leading["outcome"] == "failed").sum() / ended
    per_day = float(failed * (own["outcome"] == "with_other").sum() / days)
    there = replace(asked, part_kind=leader)
    try:  # as the leader's own study fits it, so that it is remembered
        model = effect_alone(there, lag_days, np.random.default_rng(_SEED), _DRAWS)
    except NotEnoughData:
        return None
    rng = np.random.default_rng(_SEED)
    picked = model.matched(draws, rng)
    return TakenAlong(_yearly_counts(there, lives, model), picked, per_day)


def other_removals(
    known: Records, lives: pd.DataFrame, part_kind: str, as_of: date
) -> tuple[float, float]:
    """How often a part comes out for another reason than wear, per open day it is in; and the age
    in open days at which the workshop changes those still good, infinite where at none
    (``planned_practice``). Where there is one, changes by plan hang on age and have no rate.
    """
    lives = lives[lives["part_kind"] == part_kind]
    changed_at = practised_ages(known, as_of, lives).get(part_kind, np.inf)
    reasons = ["accident", "with_other", "unknown"]
    if np.isinf(changed_at):
        reasons.append("planned")
    lives = lives[lives["counted"]]
    days = open_days_watched(Closures.of(known), lives, as_of)
    per_day = float(lives["outcome"].isin(reasons).sum()) / days if days > 0 else 0.0
    return per_day, changed_at * (1 - closed_share(known, as_of))
