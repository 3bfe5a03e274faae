"""An experiment for a task: which printers when, for how long, at what risk, and is it worth it?"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil
from typing import Literal

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.cost import DAYS_PER_YEAR
from tracker.decisions.routine.effect import check_two_intervals
from tracker.decisions.routine.experiment.crossover import (
    QUARTERS,
    TwoIntervals,
    balanced_order,
    crossover,
)
from tracker.decisions.routine.experiment.information_value import (
    YEARS_IT_HOLDS,
    InformationValue,
    information_value,
)
from tracker.decisions.routine.experiment.lives_ahead import AnswerChances, PartsAhead, Play
from tracker.decisions.routine.experiment.money_at_risk import Course, MoneyAtRisk, money_at_risk
from tracker.decisions.routine.experiment.stopping_rule import (
    FALSE_ANSWER,
    MORE_FOR_THE_LOOK,
    POWER,
)
from tracker.decisions.routine.guard_rails import check_may_be_tried
from tracker.decisions.routine.study import RoutineStudy
from tracker.decisions.routine.task_studies import task_studies
from tracker.decisions.routine.task_value import KindValue, TaskValue, compare_all
from tracker.errors import NotEnoughData, UsageError
from tracker.forecast.exposure_tables import WINDOW_DAYS
from tracker.language import N_, _
from tracker.models.regression.needed_evidence import events_for_exposure
from tracker.workshop import vocabulary
from tracker.workshop.experiments import Experiment, experiments
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules

LONGEST_DAYS = 728  # two years; longer, and people, parts and inks are others than at the start
MOST_PRINTERS = 24  # more of them tell little more and are harder to keep to a plan
_WORTH_TELLING = math.log(1.5)  # a third fewer failures, as in ``effect``
_WEEK = 7
MOST_WEEKS = LONGEST_DAYS // (QUARTERS * _WEEK)  # of a quarter
_PLAYS = 800
_LONGER_BY = 1.12  # each time the chance of an answer comes out too small

Hindrance = Literal["too_long", "cannot_change", "costs_more"]


@dataclass(frozen=True, eq=False)
class ExperimentProposal:
    """A plan and what speaks for and against it.

    ``log`` is what the log tells so far of the shorter against the longer interval, ``kind`` in it
    the part kind whose failures are counted. ``planned_ratio``: the ratio of risks (the
    shorter over the longer interval) that it is made to tell; ``failures_needed`` for that
    (Schoenfeld), ``failures_expected`` in its course. ``planned``: its ends where the truth is that
    ratio, ``possible``: where the truth is what the log leaves possible, ``none``: where there is
    no difference. ``hindrances``: why it is not worth doing, none where it is. ``others``: printers
    that go on as they do.
    """

    experiment: Experiment
    log: TaskValue = field(repr=False)
    kind: KindValue = field(repr=False)
    now_days: float
    planned_ratio: float
    failures_needed: float
    planned: AnswerChances
    possible: AnswerChances
    none: AnswerChances
    risk: MoneyAtRisk
    value: InformationValue
    hindrances: tuple[Hindrance, ...]
    others: tuple[str, ...]

    @property
    def as_of(self) -> date:
        """The day up to which the log was read."""
        return self.log.studies.as_of

    @property
    def is_worth_it(self) -> bool:
        """Should it be done?"""
        return not self.hindrances

    @property
    def failures_expected(self) -> float:
        """Failures of the counted kind from its beginning to its end."""
        return self.possible.failures

    def beginning(self, day: date) -> Experiment:
        """The plan, begun on that day."""
        return self.experiment.beginning(day)


def propose_experiment(
    records: Records,
    as_of: date,
    task: str,
    every_days: float,
    instead_of_days: float,
    part_kind: str | None = None,
    *,
    rng: np.random.Generator | None = None,
) -> ExperimentProposal:
    """How would one find out whether the shorter of two intervals pays, and is it worth the money?

    ``part_kind``: whose failures are counted; left out, the kind that fails most often of those
    that the task protects. Begins on the day after ``as_of``. ``rng`` draws lots and plays; left
    out, always the same.

    Raises:
        UsageError: intervals that make no sense; a task not known to protect that kind, or any; one
            that protects people, or done less often than the maker demands.
        NotEnoughData: no such part was watched long enough, or no printer is free for it.
    """
    check_two_intervals(every_days, instead_of_days)
    rng = rng or np.random.default_rng(20240405)
    known = records.known_at(as_of)
    shorter, longer = sorted((every_days, instead_of_days))
    check_may_be_tried(known, as_of, task, longer, _active(known))
    log = compare_all(task_studies(records, as_of, task), shorter, longer)
    kind = _counted(log, part_kind)
    study = kind.kind.study
    compared = TwoIntervals(task, kind.part_kind, shorter, longer)
    parts = _chosen(study, _free_printers(known, as_of, task))
    now_days = RoutineSchedules(known).usual_days(task, as_of)
    play = Play(study, parts, study.yearly.draws.matched(_PLAYS, rng), now_days)
    lots = balanced_order(parts.expected(study), rng).tolist()
    order = dict(zip(parts.printers, lots, strict=True))
    name, begins = _name(known, task, as_of), as_of + timedelta(days=1)

    def plan(weeks: int) -> Experiment:
        return crossover(name, compared, order, begins, weeks * _WEEK)

    size = _planned_size(kind)
    needed = MORE_FOR_THE_LOOK * events_for_exposure(math.exp(size), 0.5, POWER, FALSE_ANSWER)
    step = kind.effect.exposure - kind.effect.exposure_instead
    weeks, is_enough = long_enough(
        _first_weeks(kind, needed, len(order)),
        lambda weeks: play.chances(plan(weeks), rng, -size / step).any_answer >= POWER,
    )
    experiment = plan(weeks)
    course = Course(experiment.days, len(order), now_days)
    there = _active(known)
    value = _value(log, course, len(there), rng)
    return ExperimentProposal(
        experiment=experiment,
        log=log,
        kind=kind,
        now_days=now_days,
        planned_ratio=math.exp(-size),
        failures_needed=float(ceil(needed)),
        # Played anew: the plays that chose the length are a little too good.
        planned=play.chances(experiment, rng, -size / step),
        possible=play.chances(experiment, rng),
        none=play.chances(experiment, rng, 0.0),
        risk=money_at_risk(log.studies, shorter, longer, course),
        value=value,
        hindrances=_hindrances(is_enough, value),
        others=tuple(name for name in there if name not in order),
    )


def _counted(log: TaskValue, part_kind: str | None) -> KindValue:
    if part_kind is None:
        return max(log.kinds, key=_failures_per_year)
    for one in log.kinds:
        if one.part_kind == part_kind:
            return one
    kinds = ", ".join(one.part_kind for one in log.kinds)
    raise UsageError(
        _(
            "{part_kind}: not watched, or not protected by it; give one of {kinds}.",
            part_kind=part_kind,
            kinds=kinds,
        )
    )


def _failures_per_year(kind: KindValue) -> float:
    """Of a printer that is at each interval half of the time."""
    return (kind.effect.failures_per_year + kind.effect.failures_per_year_instead) / 2


def long_enough(first: int, is_enough: Callable[[int], bool]) -> tuple[int, bool]:
    """How many weeks must a quarter last, tried from the ``first`` on, and does the longest do?"""
    weeks = min(first, MOST_WEEKS)
    while not (enough := is_enough(weeks)) and weeks < MOST_WEEKS:
        weeks = min(max(weeks + 1, ceil(weeks * _LONGER_BY)), MOST_WEEKS)
    return weeks, enough


def _active(known: Records) -> tuple[str, ...]:
    """Printers that are there, and not about to leave."""
    rows = known.printers.drop_duplicates("printer", keep="last")
    rows = rows[rows["retired_on"].isna()]
    return tuple(rows["printer"])


def _free_printers(known: Records, as_of: date, task: str) -> tuple[str, ...]:
    """Printers that are in no experiment of that task now, nor planned to be."""
    taken = {
        phase.printer
        for one in experiments(known)
        if one.task == task
        for phase in one.phases
        if phase.ends_on > as_of
    }
    free = tuple(name for name in _active(known) if name not in taken)
    if not free:
        raise NotEnoughData(
            _(
                N_(
                    "No printer is free for an experiment with “{task}”: those there are take "
                    "part in one already."
                )
                if taken
                else N_("No printer is free for an experiment with “{task}”: none is in use."),
                task=vocabulary.task_label(task),
            )
        )
    return free


def _chosen(study: RoutineStudy, free: tuple[str, ...]) -> PartsAhead:
    """The parts in the printers that take part: all of them, of many some of every pace."""
    parts = PartsAhead.of(study, free)
    if not parts.printers:
        label = vocabulary.part_label(study.part_kind).lower()
        raise NotEnoughData(
            _("No {label} of known age is in a printer that is free to take part.", label=label)
        )
    if len(parts.printers) <= MOST_PRINTERS:
        return parts
    by_pace = np.argsort(parts.expected(study), kind="stable")
    at = np.round(np.linspace(0, len(by_pace) - 1, MOST_PRINTERS)).astype(int)
    return PartsAhead.of(study, tuple(parts.printers[row] for row in sorted(by_pace[at])))


def _name(known: Records, task: str, as_of: date) -> str:
    taken = {one.name for one in experiments(known)}
    name = f"{vocabulary.task_label(task)} {as_of:%Y-%m}"
    number = 2
    while name in taken:
        name = f"{vocabulary.task_label(task)} {as_of:%Y-%m} ({number})"
        number += 1
    return name


def _log_ratio(kind: KindValue) -> Array:
    """Log of the ratio of risks, shorter over longer interval, one per draw of the whole."""
    step = kind.effect.exposure - kind.effect.exposure_instead
    return np.asarray(kind.kind.study.yearly.effect[kind.kind.picked] * step)


def _planned_size(kind: KindValue) -> float:
    """The size of the log ratio to be told: what the log makes likely, at least worth telling."""
    return max(abs(float(np.median(_log_ratio(kind)))), _WORTH_TELLING)


def _first_weeks(kind: KindValue, needed: float, printers: int) -> int:
    """Weeks of a quarter in which so many failures are likely; the task must come round twice in
    it, and the old frequency be gone."""
    rate = max(_failures_per_year(kind) * printers, 1e-9)
    wanted = needed / rate * DAYS_PER_YEAR / QUARTERS
    least = max(2 * kind.effect.instead_of_days, WINDOW_DAYS)
    return ceil(min(max(wanted, least), LONGEST_DAYS) / _WEEK)


def _value(
    log: TaskValue, course: Course, printers: int, rng: np.random.Generator
) -> InformationValue:
    yearly = log.kinds[0].kind.study.yearly
    actions = [yearly.actions_per_year(days) for days in (log.every_days, log.instead_of_days)]
    work = log.studies.work * (actions[0] - actions[1])
    # Two equal halves of so many failures: each adds 1/(failures/2) to the variance.
    failures = [_failures_per_year(one) * course.printer_years for one in log.kinds]
    return information_value(
        np.sum([one.saved for one in log.kinds], axis=0) - work,
        np.array([_log_ratio(one) for one in log.kinds]),
        2 / np.sqrt(np.maximum(failures, 1e-6)),
        printers * YEARS_IT_HOLDS,
        course.printer_years,
        rng,
    )


def _hindrances(is_enough: bool, value: InformationValue) -> tuple[Hindrance, ...]:
    found: list[Hindrance] = []
    if not is_enough:
        found.append("too_long")
    if value.chance_of_change < FALSE_ANSWER:
        found.append("cannot_change")
    elif value.net <= 0:
        found.append("costs_more")
    return tuple(found)
