"""What is a task worth over all part kinds that it protects? Each kind's failures, the work once.

Savings are added draw by draw over the kinds (``task_studies``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np

from tracker.arrays import Array
from tracker.decisions.cost_terms import FailureCost
from tracker.decisions.routine.break_even_cost import BreakEvenCost, break_even_cost
from tracker.decisions.routine.effect import RoutineEffect, compare
from tracker.decisions.routine.kind_study import KindStudy
from tracker.decisions.routine.task_studies import TaskStudies, task_studies
from tracker.decisions.routine.yearly_counts import Saving
from tracker.workshop.records import Records

_SURE = 0.975  # as 95 % limits leave out


@dataclass(frozen=True, eq=False)
class KindValue:
    """One part kind's share in the value of a change.

    ``avoided``: failures avoided per printer and year, ``worth``: money saved by them, mean, 10 %
    and 90 % points; ``saved``: that money, one value per draw of the whole. ``break_even``: all
    else as counted; ``break_even_told``: without the other kinds of which the log cannot tell, None
    where there are none.
    """

    kind: KindStudy = field(repr=False)
    effect: RoutineEffect
    avoided: tuple[float, float, float]
    worth: tuple[float, float, float]
    saved: Array = field(repr=False)
    break_even: BreakEvenCost
    break_even_told: BreakEvenCost | None

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
        return _is_told(self.kind, self.effect)


@dataclass(frozen=True, eq=False)
class TaskValue:
    """One schedule of a task against another, all part kinds together, the work counted once.

    ``extra_work``: what the task costs more per printer and year. ``saving`` per printer and year;
    ``saving_if_told``: without the kinds for which the log cannot tell, None where there are none
    or nothing else is left. ``all_failures``: what all failures of these kinds cost per printer and
    year where the task is done at the longer of the two intervals, mean, 10 % and 90 % points.
    ``work_exceeds_all``: the work between the two intervals surely costs more than that, so the
    shorter one cannot pay, whatever the task does.
    """

    studies: TaskStudies = field(repr=False)
    every_days: float
    instead_of_days: float
    kinds: tuple[KindValue, ...]
    extra_work: float
    saving: Saving
    saving_if_told: Saving | None
    all_failures: tuple[float, float, float]
    work_exceeds_all: bool

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


def compare_all(studies: TaskStudies, every_days: float, instead_of_days: float) -> TaskValue:
    """The same from studies already made; quick.

    Raises UsageError for intervals that make no sense, are the same, or come to the same on the
    days on which the workshop works.
    """
    effects = [
        compare(one.study, every_days, instead_of_days, spare_on_shelf=one.cost.spare_on_shelf)
        for one in studies.kinds
    ]
    avoided = [_avoided(effect) for effect in effects]
    saved = [one.costs * own[one.picked] for one, own in zip(studies.kinds, avoided, strict=True)]
    yearly = studies.kinds[0].study.yearly
    actions = yearly.actions_per_year(every_days) - yearly.actions_per_year(instead_of_days)
    total, draws = np.sum(saved, axis=0) - studies.work * actions, studies.draws
    is_told = [_is_told(one, own) for one, own in zip(studies.kinds, effects, strict=True)]
    believed = [
        np.zeros(len(total)) if told else own for own, told in zip(saved, is_told, strict=True)
    ]
    told_total, untold = total - np.sum(believed, axis=0), is_told.count(False)
    kinds = tuple(
        KindValue(
            kind=one,
            effect=effect,
            avoided=one.study.yearly.draws.expected(fewer),
            worth=draws.expected(own),
            saved=own,
            break_even=_break_even(one, fewer, total - own),
            # Its own share stays out of the rest, told or not.
            break_even_told=_break_even(one, fewer, told_total - (own if told else 0))
            if untold > (not told)
            else None,
        )
        for one, effect, fewer, own, told in zip(
            studies.kinds, effects, avoided, saved, is_told, strict=True
        )
    )
    some = 0 < untold < len(kinds)
    fewest = np.array([float(max(every_days, instead_of_days))])
    all_failures = np.sum([one.costs * one.failures_at(fewest)[0] for one in studies.kinds], axis=0)
    return TaskValue(
        studies=studies,
        every_days=every_days,
        instead_of_days=instead_of_days,
        kinds=kinds,
        extra_work=studies.task_cost.total * actions,
        saving=Saving.of(draws, total),
        saving_if_told=Saving.of(draws, told_total) if some else None,
        all_failures=draws.expected(all_failures),
        work_exceeds_all=draws.chance(all_failures < studies.work * abs(actions)) >= _SURE,
    )


def _is_told(kind: KindStudy, effect: RoutineEffect) -> bool:
    return effect.is_enough and not kind.is_belief


def _avoided(effect: RoutineEffect) -> Array:
    yearly = effect.study.yearly
    there = yearly.failures_per_year(effect.instead_of_days)
    return np.asarray(there - yearly.failures_per_year(effect.every_days))


def _break_even(kind: KindStudy, avoided: Array, rest: Array) -> BreakEvenCost:
    """``avoided`` per draw of the study, ``rest`` of the saving per draw of the whole."""
    counted = kind.cost.total
    off_by = kind.costs / counted if counted > 0 else np.ones(len(rest))
    return break_even_cost(
        kind.study.part_kind, counted, avoided[kind.picked], off_by, np.asarray(rest)
    )
