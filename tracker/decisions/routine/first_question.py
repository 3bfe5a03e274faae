"""Which task is worth asking about first, and which two intervals to compare?

The life model that every forecast rests on has learnt what each task does for each kind that it
protects; that says at no cost of its own where the choice of an interval moves most money.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import has_spare
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.task_studies import protected_kinds
from tracker.decisions.routine.task_value import TaskValue, task_value
from tracker.decisions.routine.whole_routine.practice import Practice, practice_now
from tracker.errors import NotEnoughData
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.log_quality.judged_log import LONG_LOG
from tracker.forecast.routine_exposure import schedule_exposure
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.schedules import usual_in_the_trade

_SURE = 0.975  # chance of one sign: 95 % limits leave out none


@dataclass(frozen=True)
class Question:
    """Is doing the task every so many days worth it, instead of every so many others?"""

    task: str
    every_days: float
    instead_of_days: float


def first_question(records: Records, as_of: date) -> Question | None:
    """On the interval of which task does most money hang, as far as the log can tell?

    Tasks whose effect on some kind the log shows go first, then those that move the cost of
    failures most. None where no task was ever done or due that protects a fitted part.
    """
    known = records.known_at(as_of)
    tasks = [task for task in tasks_known(known) if protected_kinds(known, task)]
    if not tasks:
        return None
    practice = practice_now(records, as_of)
    asked = [Question(task, *first_intervals(practice, task)) for task in tasks]
    moved = _MoneyMoved(fit_lives(records, as_of))
    return max(asked, key=moved.by)  # of equal ones the first


def first_value(records: Records, as_of: date) -> TaskValue | None:
    """The answer to the first question; None where there is none to give unasked."""
    if records.count("maintenance") > LONG_LOG:
        return None
    asked = first_question(records, as_of)
    if asked is None:
        return None
    try:
        return task_value(records, as_of, asked.task, asked.every_days, asked.instead_of_days)
    except NotEnoughData:
        return None


def tasks_known(known: Records) -> tuple[str, ...]:
    """The tasks ever done or due: those that protect a fitted part first, in the trade's order."""
    done = set(known.codes("maintenance", "task").occurring()) | set(known.routines["task"])
    named = [task for task in vocabulary.BUILT_IN_TASKS if task in done]
    tasks = [*named, *sorted(done - set(named))]
    return tuple(sorted(tasks, key=lambda task: not protected_kinds(known, task)))


def first_intervals(practice: Practice, task: str) -> tuple[float, float]:
    """Which interval is worth comparing with which?

    Where the task is done at different paces now the shortest with the longest, for both were done;
    else twice as often as now or, where it is not done, as the trade does it (of a task done every
    day half as often).
    """
    now = practice.paces(task)
    if len(now) > 1:
        return now[0], now[-1]
    usual = now[0] if now else usual_in_the_trade(task)
    return (max(1.0, round(usual / 2)) if usual > 1 else 2.0), usual


class _MoneyMoved:
    """How the cost of failures moves with an interval, in the draws of the forecasts' own fit."""

    def __init__(self, fitted: FittedLives) -> None:
        self._fitted = fitted
        self._costs = FailureCosts.of(fitted.known, fitted.as_of)
        lives = fitted.lives
        self._failed = lives.loc[lives["outcome"] == "failed", "part_kind"].value_counts()

    def by(self, asked: Question) -> tuple[bool, float]:
        """Is an effect on some kind told, and how much money moves over the time of the log."""
        told, draws = self._fitted.told, self._fitted.draws
        if told is None or draws is None:
            return False, 0.0
        step = schedule_exposure(asked.every_days, told.working_share)
        step -= schedule_exposure(asked.instead_of_days, told.working_share)
        weighted, is_told, moved = WeightedDraws(draws.weight), False, 0.0
        for at, exposure in enumerate(told.exposures):
            if exposure.what != asked.task:
                continue
            effect = draws.effect[:, at]
            helps = weighted.chance(effect < 0)
            is_told = is_told or not 1 - _SURE < helps < _SURE
            share = abs(weighted.middle(1 - np.exp(step * effect)))
            moved += share * self._of_failures(exposure.part_kind)
        return is_told, moved

    def _of_failures(self, kind: str) -> float:
        """What all failures of the kind in the log would cost now."""
        spare = has_spare(self._fitted.known, kind, self._fitted.as_of)
        each = self._costs.of_kind(kind, spare_on_shelf=spare).total
        return each * int(self._failed.get(kind, 0))
