"""What does a routine cost a printer in a year, for any choice of intervals?

A choice holds one number per task: 0 leaves the task as it is done now on each printer, n is the
n-th interval tried on all of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.cost import open_days_per_year
from tracker.decisions.routine.interval import DEFAULT_INTERVALS
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.whole_routine.drop_outs import DropOutLosses
from tracker.decisions.routine.whole_routine.kind_losses import KindLosses
from tracker.decisions.routine.whole_routine.practice import Practice
from tracker.decisions.routine.whole_routine.stops import Work

Choice: TypeAlias = tuple[int, ...]
AS_NOW = 0
TRIED: tuple[float, ...] = tuple(sorted({*DEFAULT_INTERVALS, 15.0}))


@dataclass(frozen=True, eq=False)
class Figures:
    """A routine in figures, per printer and year and draw: (draws,) each."""

    work: Array
    failures: Mapping[str, Array]
    failure_costs: Mapping[str, Array]
    drop_outs: Array
    drop_out_costs: Array

    @property
    def total(self) -> Array:
        """All of it in money."""
        return np.asarray(self.work + sum(self.failure_costs.values()) + self.drop_out_costs)


@dataclass(frozen=True, eq=False)
class RoutineCosts:
    """Everything that a choice of intervals is judged by.

    ``practice`` has the printers as columns, each standing for a share ``weight`` of all; ``kinds``
    and ``drop_outs`` (None: not told) have them in the same order.
    """

    practice: Practice
    weight: Array
    kinds: tuple[KindLosses, ...]
    drop_outs: DropOutLosses | None
    work: Work
    _expected: dict[tuple[int, Choice], Array] = field(default_factory=dict, repr=False)
    _exposure: dict[tuple[str, int], Array] = field(default_factory=dict, repr=False)

    @property
    def tasks(self) -> tuple[str, ...]:
        """The tasks in the order of a choice."""
        return self.practice.tasks

    @property
    def draws(self) -> WeightedDraws:
        """The draws, all as likely."""
        size = self.work.once.shape[1]
        return WeightedDraws(np.full(size, 1 / size))

    @property
    def as_now(self) -> Choice:
        """Nothing changed."""
        return (AS_NOW,) * len(self.tasks)

    def of_printer(self, column: int) -> RoutineCosts:
        """The same for one of the printers alone."""
        alone = np.zeros(len(self.weight))
        alone[column] = 1.0
        return replace(self, weight=alone)

    def per_day(self, task: str, option: int) -> Array:
        """Times per open day of a task under one of its options: (printers,)."""
        now = self.practice.per_day[self.tasks.index(task)]
        if option == AS_NOW:
            return np.asarray(now)
        return np.full(len(now), self.practice.per_day_at(TRIED[option - 1]))

    def exposure(self, task: str, option: int) -> Array:
        """The exposure under one of its options: (printers,)."""
        if (task, option) not in self._exposure:
            rates = self.per_day(task, option)
            self._exposure[task, option] = self.practice.exposure(task, rates)
        return self._exposure[task, option]

    def expected(self, choice: Choice) -> Array:
        """Expected cost per year of each printer: (printers,).

        The mean over draws, as for one task (``interval.least_cost``).
        """
        total = self._work(choice, mean=True)[:, 0]
        parts: list[KindLosses | DropOutLosses] = [*self.kinds]
        if self.drop_outs is not None:
            parts.append(self.drop_outs)
        for number, part in enumerate(parts):
            key = number, self._own(part, choice)
            if key not in self._expected:
                self._expected[key] = self._counted(part, choice)[1].mean(axis=1)
            total = total + self._expected[key]
        return np.asarray(total)

    def cost(self, choice: Choice) -> float:
        """Expected cost per printer and year."""
        return float(self.weight @ self.expected(choice))

    def figures(self, choice: Choice) -> Figures:
        """Work, failures and money of a choice, per printer and year, draw by draw."""
        counted = {one.part_kind: self._counted(one, choice) for one in self.kinds}
        nozzles = np.zeros((2, len(self.weight), self.work.once.shape[1]))
        if self.drop_outs is not None:
            nozzles = np.array(self._counted(self.drop_outs, choice))
        return Figures(
            work=self.weight @ self._work(choice),
            failures={kind: self.weight @ events for kind, (events, _) in counted.items()},
            failure_costs={kind: self.weight @ money for kind, (_, money) in counted.items()},
            drop_outs=self.weight @ nozzles[0],
            drop_out_costs=self.weight @ nozzles[1],
        )

    def _own(self, part: KindLosses | DropOutLosses, choice: Choice) -> Choice:
        return tuple(choice[self.tasks.index(task)] for task in part.tasks)

    def _counted(self, part: KindLosses | DropOutLosses, choice: Choice) -> tuple[Array, Array]:
        """Events and money per year: (printers, draws) each."""
        options = zip(part.tasks, self._own(part, choice), strict=True)
        exposure = np.array([self.exposure(task, option) for task, option in options])
        exposure = exposure.reshape(-1, len(self.weight))
        events = part.failures(exposure) if isinstance(part, KindLosses) else part.days(exposure)
        return events, events * part.cost

    def _work(self, choice: Choice, *, mean: bool = False) -> Array:
        rates = np.array([self.per_day(*one) for one in zip(self.tasks, choice, strict=True)])
        times = open_days_per_year(self.practice.closed_share) * rates
        work = self.work
        if mean:
            averages = (a.mean(axis=1, keepdims=True) for a in (work.once, work.in_stop))
            work = Work(*averages)
        return work.per_year(times)
