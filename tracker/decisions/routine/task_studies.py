"""What do the records tell of a task on every part kind that it protects, and what does each cost?

Studying the kinds reads the whole log and takes seconds; putting prices to them takes none. The
draws of two kinds come from fits of their own, so given the log they are taken as independent:
each kind's draws go in an order of its own. What costs may really be goes along (``cost_draws``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

import numpy as np

from tracker.arrays import Array
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.routine.cost import TaskCost
from tracker.decisions.routine.cost_stack import CostStack, cost_stack
from tracker.decisions.routine.guard_rails import Demand, demand
from tracker.decisions.routine.interval import LeastCost, least_cost
from tracker.decisions.routine.kind_study import DRAWS, SEED, KindStudy
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.errors import NotEnoughData, UsageError
from tracker.language import _
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules


@dataclass(frozen=True, eq=False)
class StudiedKinds:
    """What the log tells of a task on each kind that it protects, before any cost is put to it.

    ``not_watched`` names kinds that are fitted, but were not watched long enough for any answer.
    """

    known: Records
    as_of: date
    task: str
    studies: Mapping[str, RoutineStudy]
    not_watched: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class TaskStudies:
    """Everything the records tell of a task on all kinds, before any schedule is chosen.

    ``not_watched``: see ``StudiedKinds``. ``work``: what doing the task once may cost, per draw.
    ``now_days``: the intervals of the routines in force for it, in rising order; ``demand``: how
    often the maker demands it, None where not.
    """

    task: str
    as_of: date
    kinds: tuple[KindStudy, ...]
    not_watched: tuple[str, ...]
    task_cost: TaskCost
    work: Array = field(repr=False)
    now_days: tuple[float, ...] = ()
    demand: Demand | None = None

    @property
    def currency(self) -> str:
        """The workshop's currency."""
        return self.kinds[0].study.currency

    @property
    def draws(self) -> WeightedDraws:
        """The draws of the whole, all as likely."""
        return WeightedDraws.even(len(self.work))

    @cached_property
    def least_cost(self) -> LeastCost:
        """How often should the task be done so that work and all failures together cost least?

        Never less often than the maker demands.
        """
        tried = self.kinds[0].study.by_interval
        failures = [one.failures_at(tried.every_days) for one in self.kinds]
        costs = self.work * tried.actions[:, None]
        for one, own in zip(self.kinds, failures, strict=True):
            costs = costs + one.costs * own
        total = np.sum(failures, axis=0)
        allowed = tried.every_days <= self.longest_days
        return least_cost(self.draws, tried.every_days[allowed], costs[allowed], total[allowed])

    @property
    def longest_days(self) -> float:
        """Beyond which interval the maker's demand forbids to go; infinite: none."""
        if self.demand is None:
            return np.inf
        return max(self.demand.every_days or min(self.now_days, default=1.0), 1.0)

    def cost_stack(self, *besides: float) -> CostStack:
        """What does each interval tried cost, and of what is that made?

        ``besides``: other intervals in days to be among them.
        """
        every = np.unique(np.array([*self.kinds[0].study.intervals, *besides], dtype=np.float64))
        yearly = self.kinds[0].study.yearly
        actions = np.array([yearly.actions_per_year(float(days)) for days in every])
        return cost_stack(
            every,
            self.work * actions[:, None],
            {one.study.part_kind: one.costs * one.failures_at(every) for one in self.kinds},
        )


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

    ``rng``: see ``priced``. Raises as ``task_value``.
    """
    return priced(studied_kinds(records, as_of, task), rng=rng)


def studied_kinds(records: Records, as_of: date, task: str) -> StudiedKinds:
    """The same before any cost is put to it; each kind is studied as ``routine_study`` does it."""
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
    return StudiedKinds(known, as_of, task, studied, tuple(unwatched))


def priced(
    found: StudiedKinds,
    *,
    spares: Mapping[str, bool] | None = None,
    rng: np.random.Generator | None = None,
) -> TaskStudies:
    """The studies with what failures and work cost; quick.

    ``spares``: does one lie on the shelf when a part of that kind fails? As it mostly did in the
    last year for kinds left out. ``rng`` puts the draws together; left out, always the same way.
    """
    rng = rng or np.random.default_rng(SEED)
    possible = CostDraws.of(found.known, DRAWS, rng)
    parts = []
    for kind, study in found.studies.items():
        has_spare = (spares or {}).get(kind, study.has_spare)
        cost = (study.with_spare if has_spare else study.without_spare).beside(found.studies)
        parts.append(KindStudy.of(study, cost, possible, rng))
    task_cost = parts[0].study.task_cost
    return TaskStudies(
        task=found.task,
        as_of=found.as_of,
        kinds=tuple(parts),
        not_watched=found.not_watched,
        task_cost=task_cost,
        work=possible.of_task(task_cost),
        now_days=_in_force(found),
        demand=demand(found.known, found.as_of, found.task, _at_work(found.known)),
    )


def _in_force(found: StudiedKinds) -> tuple[float, ...]:
    schedules = RoutineSchedules(found.known)
    return tuple(dict.fromkeys(schedules.days_in_force(found.task, found.as_of)))


def _at_work(known: Records) -> tuple[str, ...]:
    rows = known.printers
    return tuple(rows.loc[rows["retired_on"].isna(), "printer"])


def _nothing_protected(task: str) -> UsageError | NotEnoughData:
    label = vocabulary.task_label(task)
    usual = vocabulary.TASKS.get(task)
    if usual is None or not usual.likely_helps:
        return UsageError(
            _(
                "No part kind is known that “{label}” protects; ask about one part kind, "
                "e.g. damper.",
                label=label,
            )
        )
    names = ", ".join(vocabulary.part_label(kind).lower() for kind in usual.likely_helps)
    return NotEnoughData(
        _("None of the parts that “{label}” protects is fitted: {names}.", label=label, names=names)
    )
