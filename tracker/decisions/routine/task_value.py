"""What is a task worth over all part kinds that it protects? Each kind's failures, the work once.

The draws of two kinds come from fits of their own, so given the log they are taken as independent:
savings are added draw by draw, each kind's draws in an order of its own. What costs may really be
goes into the saving as well (``cost_draws``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

import numpy as np

from tracker.arrays import Array, Ints
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.failure_cost import FailureCost
from tracker.decisions.routine.break_even_cost import BreakEvenCost, break_even_cost
from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.effect import RoutineEffect, compare
from tracker.decisions.routine.interval import LeastCost, least_cost
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.yearly_counts import Saving
from tracker.errors import NotEnoughData, UsageError
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_DRAWS = 4000


@dataclass(frozen=True, eq=False)
class KindStudy:
    """A part kind in the whole: its own ``study``, what one failure costs as the stock stands, and
    how both go on in the draws of the whole: ``picked``, the study's draw in each, and ``costs``.
    """

    study: RoutineStudy = field(repr=False)
    cost: FailureCost
    picked: Ints = field(repr=False)
    costs: Array = field(repr=False)

    @property
    def is_belief(self) -> bool:
        """True where the log says nothing: no failure, or the task always at one frequency."""
        fits = self.study.fits
        return not fits.failures or fits.never_varied


@dataclass(frozen=True, eq=False)
class TaskStudies:
    """Everything the records tell of a task on all kinds, before any schedule is chosen.

    ``not_watched`` names kinds that it protects and that are fitted, but were not watched long
    enough for any answer. ``work``: what doing the task once may cost, per draw.
    """

    task: str
    as_of: date
    kinds: tuple[KindStudy, ...]
    not_watched: tuple[str, ...]
    task_cost: TaskCost
    work: Array = field(repr=False)

    @property
    def currency(self) -> str:
        """The workshop's currency."""
        return self.kinds[0].study.currency

    @property
    def draws(self) -> WeightedDraws:
        """The draws of the whole, all as likely."""
        return WeightedDraws(np.full(len(self.work), 1 / len(self.work)))

    @cached_property
    def least_cost(self) -> LeastCost:
        """How often should the task be done so that work and all failures together cost least?"""
        tables = [one.study.by_interval for one in self.kinds]
        failures = [
            table.failures[:, one.picked] for one, table in zip(self.kinds, tables, strict=True)
        ]
        costs = self.work * tables[0].actions[:, None]
        for one, own in zip(self.kinds, failures, strict=True):
            costs = costs + one.costs * own
        return least_cost(self.draws, tables[0].every_days, costs, np.sum(failures, axis=0))


@dataclass(frozen=True, eq=False)
class KindValue:
    """One part kind's share in the value of a change.

    ``avoided``: failures avoided per printer and year, median, 10 % and 90 % points; ``saved``:
    money saved by them, one value per draw of the whole.
    """

    kind: KindStudy = field(repr=False)
    effect: RoutineEffect
    avoided: tuple[float, float, float]
    saved: Array = field(repr=False)
    break_even: BreakEvenCost

    @property
    def part_kind(self) -> str:
        """The part kind."""
        return self.effect.part_kind

    @property
    def cost(self) -> FailureCost:
        """What one failure costs; what it does to kinds that are counted themselves is not in."""
        return self.kind.cost

    @property
    def is_told(self) -> bool:
        """False where the log cannot tell, and belief is in the range as much as failures are."""
        return self.effect.is_enough and not self.kind.is_belief


@dataclass(frozen=True, eq=False)
class TaskValue:
    """One schedule of a task against another, all part kinds together, the work counted once.

    ``extra_work``: what the task costs more per printer and year. ``saving`` per printer and year;
    ``saving_if_told``: without the kinds for which the log cannot tell, None where there are none
    or nothing else is left.
    """

    studies: TaskStudies = field(repr=False)
    every_days: float
    instead_of_days: float
    kinds: tuple[KindValue, ...]
    extra_work: float
    saving: Saving
    saving_if_told: Saving | None

    @property
    def not_told(self) -> tuple[str, ...]:
        """The part kinds for which the log cannot tell."""
        return tuple(one.part_kind for one in self.kinds if not one.is_told)

    @property
    def leading(self) -> KindValue:
        """The kind on which most of the money hangs; one that the log tells of goes first."""
        return max(self.kinds, key=lambda one: (one.is_told, abs(one.avoided[0] * one.cost.total)))


def task_value(
    records: Records, as_of: date, task: str, every_days: float, instead_of_days: float
) -> TaskValue:
    """What is doing the task every so many days, instead of another interval, worth in all?

    Raises:
        UsageError: intervals that make no sense; a task that is not known to protect anything.
        NotEnoughData: no part that it protects is fitted, or none was watched long enough.
    """
    return compare_all(task_studies(records, as_of, task), every_days, instead_of_days)


def protected_kinds(known: Records, task: str) -> tuple[str, ...]:
    """The part kinds whose life the trade expects the task to lengthen, of those fitted now."""
    usual = vocabulary.TASKS.get(task)
    still_in = known.fittings.loc[known.fittings["removed_on"].isna(), "part_kind"]
    fitted = set(still_in)
    return tuple(kind for kind in (usual.likely_helps if usual else ()) if kind in fitted)


def task_studies(
    records: Records, as_of: date, task: str, *, rng: np.random.Generator | None = None
) -> TaskStudies:
    """What do the records tell of this task on every part kind that it protects?

    Each kind is studied as ``routine_study`` does it. ``rng`` puts the draws together; left out,
    always the same way. Raises as ``task_value``.
    """
    rng = rng or np.random.default_rng(20240301)
    known = records.known_at(as_of)
    kinds = protected_kinds(known, task)
    if not kinds:
        raise _nothing_protected(task)
    studied: dict[str, RoutineStudy] = {}
    unwatched: dict[str, NotEnoughData] = {}
    for kind in kinds:
        try:
            studied[kind] = routine_study(records, as_of, kind, task)
        except NotEnoughData as problem:
            unwatched[kind] = problem
    if not studied:
        raise unwatched[kinds[0]]
    possible = CostDraws.of(known, _DRAWS, rng)
    parts = []
    for study in studied.values():
        counted = study.with_spare if study.has_spare else study.without_spare
        cost = counted.beside(studied)
        picked = study.yearly.draws.matched(_DRAWS, rng)
        parts.append(KindStudy(study, cost, picked, possible.of_failure(cost)))
    task_cost = parts[0].study.task_cost
    return TaskStudies(
        task, as_of, tuple(parts), tuple(unwatched), task_cost, possible.of_task(task_cost)
    )


def compare_all(studies: TaskStudies, every_days: float, instead_of_days: float) -> TaskValue:
    """The same from studies already made; quick.

    Raises UsageError for intervals that make no sense, are the same, or come to the same on the
    days on which the workshop works.
    """
    effects = [compare(one.study, every_days, instead_of_days) for one in studies.kinds]
    avoided = [_avoided(effect) for effect in effects]
    saved = [one.costs * own[one.picked] for one, own in zip(studies.kinds, avoided, strict=True)]
    yearly = studies.kinds[0].study.yearly
    actions = yearly.actions_per_year(every_days) - yearly.actions_per_year(instead_of_days)
    work, draws = studies.work * actions, studies.draws
    total = np.sum(saved, axis=0) - work
    kinds = tuple(
        _kind_value(*each, total)
        for each in zip(studies.kinds, effects, avoided, saved, strict=True)
    )
    told = [one.saved for one in kinds if one.is_told]
    some = 0 < len(told) < len(kinds)
    return TaskValue(
        studies=studies,
        every_days=every_days,
        instead_of_days=instead_of_days,
        kinds=kinds,
        extra_work=studies.task_cost.total * actions,
        saving=Saving.of(draws, total),
        saving_if_told=Saving.of(draws, np.sum(told, axis=0) - work) if some else None,
    )


def _avoided(effect: RoutineEffect) -> Array:
    yearly = effect.study.yearly
    there = yearly.failures_per_year(effect.instead_of_days)
    return np.asarray(there - yearly.failures_per_year(effect.every_days))


def _kind_value(
    kind: KindStudy, effect: RoutineEffect, avoided: Array, saved: Array, total: Array
) -> KindValue:
    low, half, high = kind.study.yearly.draws.quantiles(avoided, (0.1, 0.5, 0.9))
    counted = kind.cost.total
    off_by = kind.costs / counted if counted > 0 else np.ones(len(total))
    even = break_even_cost(
        effect.part_kind, counted, avoided[kind.picked], off_by, np.asarray(total - saved)
    )
    return KindValue(kind, effect, (float(half), float(low), float(high)), saved, even)


def _nothing_protected(task: str) -> UsageError | NotEnoughData:
    label = vocabulary.task_label(task)
    usual = vocabulary.TASKS.get(task)
    if usual is None or not usual.likely_helps:
        return UsageError(
            f"No part kind is known that “{label}” protects; ask about one part kind, e.g. damper."
        )
    names = ", ".join(vocabulary.part_label(kind).lower() for kind in usual.likely_helps)
    return NotEnoughData(f"None of the parts that “{label}” protects is fitted: {names}.")
