"""The answer: every task's interval at least cost, and that routine beside others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, TypeAlias

from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.whole_routine.gathering import Gathered
from tracker.decisions.routine.whole_routine.routine_costs import Choice
from tracker.decisions.routine.yearly_counts import Saving

Beyond: TypeAlias = Literal["", "more often", "less often"]
Range: TypeAlias = tuple[float, float, float]  # mean, 10 % and 90 % points
_ABOUT = 1.1  # intervals this near each other count as one


@dataclass(frozen=True)
class Change:
    """One task's interval changed on all printers, all others as now; per printer and year.

    ``avoided``: failures of each kind that the task acts on, fewer than now; the same of nozzle
    drop-outs, None where they are not counted; ``extra_work``: what the work costs more.
    ``beyond``: the log has not seen the task done so often, or so seldom.
    """

    task: str
    saving: Saving
    avoided: Mapping[str, Range]
    drop_outs_avoided: Range | None
    extra_work: float
    beyond: Beyond


@dataclass(frozen=True)
class TaskInterval:
    """One task in the routine of least cost.

    ``every_days_now``: on most printers, infinite where it is not done; ``now_on`` each of them.
    ``every_days`` costs least of the intervals that the log has seen, all other tasks at theirs; in
    four draws of five the least cost, of all tried, lies from ``low`` to ``high``, and ``beyond``
    says that it is expected where the log has not seen it. ``seen``: from how many to how many days
    lay between two times in the log. ``kept``: why the task keeps its interval, None where it is a
    question of money, ``along_with`` which others it went along where that is why; ``is_changed``:
    another interval than now's is worth changing to. ``alone``: what changing to ``every_days``
    does while all other tasks go on as now.
    """

    task: str
    every_days_now: float
    now_on: Mapping[str, float] = field(repr=False)
    every_days: float
    low: float
    high: float
    beyond: Beyond
    seen: tuple[float, float] | None
    kept: Kept | None
    is_changed: bool
    is_told: bool
    alone: Change
    along_with: tuple[str, ...] = ()

    @property
    def reaches_beyond(self) -> bool:
        """True where part of the range was never seen in the log."""
        return self.seen is not None and (
            self.low < self.seen[0] / _ABOUT or self.high > self.seen[1] * _ABOUT
        )


@dataclass(frozen=True, eq=False)
class Routine:
    """A routine in money, per printer and year: means of the work, of each kind's failures, of
    drop-outs; ``total`` mean, 10 % and 90 %; ``saving``: how much less the routine of least cost
    costs than this one."""

    name: str
    every_days: Mapping[str, float]
    work: float
    failures: Mapping[str, float]
    failure_costs: Mapping[str, float]
    drop_outs: float
    drop_out_costs: float
    total: Range
    saving: Saving


@dataclass(frozen=True)
class PrinterInterval:
    """A printer that earns another interval than the others: how often, what that gains in a year
    (expected), and the chance that it gains."""

    printer: str
    task: str
    every_days: float
    instead_of_days: float
    gain: float
    chance_it_gains: float


@dataclass(frozen=True, eq=False)
class WholeRoutine:
    """The routine of least cost as known on a day; money per printer and year.

    ``now``, ``least``, ``common`` (the trade's intervals) and ``nothing`` (the longest interval
    tried, for every task that is a question of money) are the routines told apart. ``saving``:
    least cost against now; ``saving_if_told``: with those tasks alone changed of which the log can
    tell what they do, None where there are none.
    """

    gathered: Gathered = field(repr=False)
    tasks: tuple[TaskInterval, ...]
    now: Routine
    least: Routine
    common: Routine
    nothing: Routine
    by_printer: tuple[PrinterInterval, ...]
    saving_if_told: Saving | None
    choice: Choice = field(repr=False)

    @property
    def as_of(self) -> date:
        """The day up to which the log was read."""
        return self.gathered.as_of

    @property
    def saving(self) -> Saving:
        """What the routine of least cost saves against what is done now."""
        return self.now.saving

    @property
    def routines(self) -> tuple[Routine, ...]:
        """All four, what is done now first."""
        return self.now, self.least, self.common, self.nothing

    @property
    def part_kinds(self) -> tuple[str, ...]:
        """The kinds whose failures are counted."""
        return tuple(self.gathered.failure_costs)

    def task(self, name: str) -> TaskInterval:
        """The task of that name; KeyError where it is none of the routine."""
        for one in self.tasks:
            if one.task == name:
                return one
        raise KeyError(name)
