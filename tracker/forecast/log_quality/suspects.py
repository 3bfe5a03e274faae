"""Which planned entries look like work because of a symptom?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Bools, Ints
from tracker.forecast.log_quality.failure_runs import LAST_DAYS, FailuresInRuns, failures_in_runs
from tracker.forecast.log_quality.pile_up import LAGS, PileUp, pile_ups
from tracker.forecast.log_quality.run_counts import RunCounts, run_counts
from tracker.forecast.log_quality.symptom_chance import EntryTrack, symptom_chances
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.forecast.log_quality.usual_interval import Occasions
from tracker.lives.life_table import life_table
from tracker.workshop import vocabulary
from tracker.workshop.columns.day_numbers import day_number, day_of
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once
from tracker.workshop.schedules import RoutineSchedules

_FALSE_ALARMS = 0.05  # of whole logs
# What remains once the suspects are out has to be clear: leaving out days that the log does not
# need pulls the effect toward none (by a fifth at 7 days).
_REMAINS = 0.002
_MORE_LIKELY, _HARDLY = 0.5, 0.02


@dataclass(frozen=True)
class Suspect:
    """A planned entry that, with this ``chance``, was work because of a symptom.

    ``part_kind`` failed on the printer ``days_before_failure`` days later.
    """

    printer: str
    task: str
    done_on: date
    part_kind: str
    days_before_failure: int
    chance: float

    @property
    def is_suspect(self) -> bool:
        """True when that is more likely than not."""
        return self.chance > _MORE_LIKELY


@dataclass(frozen=True, eq=False)
class Suspicion:
    """``doubtful`` entries, with their chances, in order of printers, tasks and days, the
    ``suspects`` among them; ``pile_ups`` that were found beyond chance; ``lag_by_task``: beyond so
    many days before a failure no pile-up remains once the suspects are out.
    """

    doubtful: tuple[Suspect, ...]
    pile_ups: tuple[PileUp, ...]
    lag_by_task: Mapping[str, int]

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Those that more likely than not were work because of a symptom."""
        return tuple(one for one in self.doubtful if one.is_suspect)


def find_suspects(
    known: Records, as_of: date, tasks: TaskDays, rng: np.random.Generator
) -> Suspicion:
    """Judge every task against the failures of the parts that it protects."""
    search = _Search(known, as_of, tasks, rng)
    found: dict[tuple[str, str], PileUp] = {}
    doubtful: dict[tuple[str, str, int], Suspect] = {}
    for one in search.pile_ups(tasks, without_confirmed=True):
        if one.p_value <= _FALSE_ALARMS:
            found[one.task, one.part_kind] = one
    for task in dict.fromkeys(task for task, _ in found):
        for suspect in search.of_task(task, [one for one in found.values() if one.task == task]):
            doubtful[suspect.printer, task, suspect.done_on.toordinal()] = suspect
    lags = dict.fromkeys(tasks.tasks, 0)
    if found or tasks.confirmed.any():
        lags = search.lags(without(tasks, (one for one in doubtful.values() if one.is_suspect)))
    ordered = tuple(doubtful[key] for key in sorted(doubtful))
    return Suspicion(ordered, tuple(found.values()), lags)


@dataclass(frozen=True, eq=False)
class _Search:
    known: Records
    as_of: date
    tasks: TaskDays
    rng: np.random.Generator
    _runs: dict[str, FailuresInRuns] = field(default_factory=dict)

    @found_once
    def schedules(self) -> RoutineSchedules:
        """The routines in force."""
        return RoutineSchedules(self.known)

    @found_once
    def failed(self) -> Bools:
        """Which of the fittings came out failed, as far as known."""
        lives = life_table(self.known, self.as_of)
        # A row of the life table is a fitting, in the same order.
        there = lives["removed_on"].notna() & (lives["outcome"] == "failed")
        return there.to_numpy(dtype=bool)

    def runs(self, part_kind: str) -> FailuresInRuns:
        if part_kind not in self._runs:
            self._runs[part_kind] = failures_in_runs(self.known, self.failed, part_kind)
        return self._runs[part_kind]

    def protecting(self) -> Iterator[tuple[str, list[str]]]:
        """Each part kind fitted, and the tasks done that may protect it."""
        for kind in self.known.part_kinds():
            found = [task for task in self.tasks.tasks if may_protect(task, kind)]
            if found:
                yield kind, found

    def counts(self, tasks: TaskDays, *, without_confirmed: bool) -> dict[str, RunCounts]:
        @cache
        def occasions(task: str) -> Occasions:
            return Occasions.of(self.schedules, tasks, task)

        def weights(task: str, places: Ints) -> NDArray[np.floating]:
            row, own = tasks.tasks.index(task), occasions(task)
            counts = tasks.done[row, places]
            if without_confirmed:
                counts &= ~tasks.confirmed[row, places]
            ways = np.zeros((2, len(places)), dtype=np.float32)
            ways[0] = counts
            ways[1, counts] = own.off_schedule(np.searchsorted(own.at, places[counts]))
            return ways

        found = {}
        for kind, names in self.protecting():
            counts = run_counts(tasks, names, self.runs(kind), weights, self.rng)
            if counts is not None:
                found[kind] = counts
        return found

    def pile_ups(
        self, tasks: TaskDays, *, without_confirmed: bool, from_lag: int = 0
    ) -> list[PileUp]:
        counts = self.counts(tasks, without_confirmed=without_confirmed)
        return pile_ups(counts, self.rng, from_lag=from_lag)

    def lags(self, tasks: TaskDays) -> dict[str, int]:
        """Per task the fewest days to leave out before each day, so that no pile-up remains."""
        lags = dict.fromkeys(tasks.tasks, 0)
        for lag, longer in pairwise(LAGS):
            if lag not in lags.values():
                break
            for one in self.pile_ups(tasks, without_confirmed=False, from_lag=lag):
                if one.p_value <= _REMAINS and lags[one.task] == lag:
                    lags[one.task] = longer
        return lags

    def of_task(self, task: str, found: Sequence[PileUp]) -> Iterator[Suspect]:
        """The entries of that task that may have been because of a symptom."""
        logged = self.tasks.logged
        kinds = sorted(one.part_kind for one in found)
        bins, failures = self._before(kinds)
        own = Occasions.of(self.schedules, self.tasks, task)
        asked = (bins[own.at] >= 0) & ~self.tasks.confirmed[self.tasks.tasks.index(task), own.at]
        bin_of = np.where(bins < 0, len(LAST_DAYS), bins)
        days = np.bincount(bin_of, minlength=len(LAST_DAYS) + 1).astype(np.float64)
        per_day = np.nan_to_num(1 / own.usual)
        due = np.bincount(bin_of, per_day, minlength=len(days)).astype(np.float64)
        bounds = np.searchsorted(own.printer, np.arange(1, len(logged.printers)))
        columns = (own.at, own.usual[own.at], bins[own.at], asked)
        by_printer = zip(*(np.split(column, bounds) for column in columns), strict=True)
        chances = np.concatenate(
            symptom_chances([EntryTrack(*each) for each in by_printer], days, due)
        )
        doubtful = np.flatnonzero(chances > _HARDLY)
        printer, day = own.printer[doubtful], logged.day_at(own.at[doubtful])
        next_one = failures.after(printer, day)
        for at, entry in enumerate(doubtful.tolist()):
            of_kind, failed_on = failures.kind[next_one[at]], failures.day[next_one[at]]
            yield Suspect(
                logged.printers[printer[at]],
                task,
                day_of(day[at]),
                kinds[of_kind],
                int(failed_on - day[at]),
                float(chances[entry]),
            )

    def _before(self, part_kinds: Sequence[str]) -> tuple[Ints, _Failures]:
        """The bin of each of all days (−1: not before a failure of these kinds, in order of their
        names), and the failures.
        """
        logged = self.tasks.logged
        bins = np.full(logged.total, len(LAST_DAYS))
        printers, days, kinds = [], [], []
        for number, part_kind in enumerate(part_kinds):
            runs, printer = self.runs(part_kind).all().on_printers_of(logged)
            place, inside = logged.places(printer[runs.of_day], runs.days)
            np.minimum.at(bins, place[inside], runs.bin[inside])
            printers.append(printer[runs.of_failure])
            days.append(runs.failed_on)
            kinds.append(np.full(len(runs.failed_on), number))
        of_all, day, kind = (np.concatenate(each) for each in (printers, days, kinds))
        order = np.lexsort((kind, day, of_all))
        failures = _Failures(of_all[order], day[order], kind[order])
        return np.where(bins == len(LAST_DAYS), -1, bins), failures


@dataclass(frozen=True, eq=False)
class _Failures:
    """Failures in order of printers, days and kinds of parts, both as numbers."""

    printer: Ints
    day: Ints
    kind: Ints

    def after(self, printer: Ints, day: Ints) -> Ints:
        """The next failure on each printer after that day, of which there is one."""
        both = np.concatenate((self.day, day))
        first, width = both.min(initial=0), np.ptp(both) + 2 if len(both) else 1
        return np.searchsorted(
            self.printer * width + self.day - first, printer * width + day - first, side="right"
        )


def may_protect(task: str, part_kind: str) -> bool:
    """Is the task expected to protect that kind? One of a workshop's own may protect any."""
    usual = vocabulary.TASKS.get(task)
    return usual is None or part_kind in usual.likely_helps


def without(tasks: TaskDays, suspects: Iterable[Suspect]) -> TaskDays:
    """The same days without those entries."""
    logged, row = tasks.logged, {task: number for number, task in enumerate(tasks.tasks)}
    taken = [
        (row[one.task], logged.numbers[one.printer], day_number(one.done_on)) for one in suspects
    ]
    if not taken:
        return tasks
    task, printer, day = np.array(taken).T
    done = tasks.done.copy()
    done[task, logged.places(printer, day)[0]] = False
    return replace(tasks, done=done)


def entries_of(known: Records, suspects: Iterable[Suspect]) -> dict[int, Suspect]:
    """The planned entries meant, by their numbers in the maintenance table."""
    by_key = {(one.printer, one.task, one.done_on): one for one in suspects}
    log = known.maintenance
    log = log[(log["why"] == "planned") & log["task"].isin({task for _, task, _ in by_key})]
    keys = zip(log["printer"], log["task"], log["done_on"].dt.date, strict=True)
    meant = zip(log.index.tolist(), keys, strict=True)
    return {number: by_key[key] for number, key in meant if key in by_key}
