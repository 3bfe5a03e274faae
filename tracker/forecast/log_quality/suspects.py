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
from tracker.forecast.log_quality.failure_runs import (
    LAST_DAYS,
    FailureRun,
    FailureRuns,
    failure_runs,
)
from tracker.forecast.log_quality.pile_up import (
    LAGS,
    PileUp,
    RunCounts,
    pile_ups,
    run_counts,
)
from tracker.forecast.log_quality.symptom_chance import EntryTrack, symptom_chances
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.forecast.log_quality.usual_interval import Occasions, off_schedule
from tracker.lives.life_table import life_table
from tracker.lives.open_days import day_of
from tracker.workshop import vocabulary
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
    if found or any(log.confirmed.any() for log in tasks.printers.values()):
        lags = search.lags(without(tasks, (one for one in doubtful.values() if one.is_suspect)))
    ordered = tuple(doubtful[key] for key in sorted(doubtful))
    return Suspicion(ordered, tuple(found.values()), lags)


@dataclass(frozen=True, eq=False)
class _Search:
    known: Records
    as_of: date
    tasks: TaskDays
    rng: np.random.Generator
    _runs: dict[str, FailureRuns] = field(default_factory=dict)

    @found_once
    def schedules(self) -> RoutineSchedules:
        """The routines in force."""
        return RoutineSchedules(self.known)

    def runs(self, part_kind: str) -> FailureRuns:
        if part_kind not in self._runs:
            lives = life_table(self.known, self.as_of)
            self._runs[part_kind] = failure_runs(self.known, lives, part_kind)
        return self._runs[part_kind]

    def protecting(self) -> Iterator[tuple[str, list[str]]]:
        """Each part kind fitted, and the tasks done that may protect it."""
        for kind in self.known.part_kinds():
            found = [task for task in self.tasks.tasks if may_protect(task, kind)]
            if found:
                yield kind, found

    def counts(self, tasks: TaskDays, *, without_confirmed: bool) -> dict[str, RunCounts]:
        @cache
        def weights(printer: str) -> NDArray[np.floating]:
            log = tasks.printers[printer]
            ways = np.stack((log.done, off_schedule(tasks, self.schedules, log))).astype(np.float32)
            return ways * ~log.confirmed if without_confirmed else ways

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
        row = self.tasks.tasks.index(task)
        runs = [(one.part_kind, run) for one in found for run in self.runs(one.part_kind)]
        logs = list(self.tasks.printers.values())
        before, tracks, days, due = (
            [],
            [],
            np.zeros(len(LAST_DAYS) + 1),
            np.zeros(len(LAST_DAYS) + 1),
        )
        for log in logs:
            nearest = _Nearest.of(
                log.first, log.days, [r for r in runs if r[1].printer == log.printer]
            )
            own = Occasions.of(self.schedules, self.tasks, log, task)
            asked = (nearest.bin[own.at] >= 0) & ~log.confirmed[row, own.at]
            before.append(nearest)
            tracks.append(EntryTrack(own.at, own.usual[own.at], nearest.bin[own.at], asked))
            bins = np.where(nearest.bin < 0, len(LAST_DAYS), nearest.bin)
            days += np.bincount(bins, minlength=len(days))
            due += np.bincount(bins, np.nan_to_num(1 / own.usual), minlength=len(days))
        chances = symptom_chances(tracks, days, due)
        for log, nearest, track, chance in zip(logs, before, tracks, chances, strict=True):
            for entry in np.flatnonzero(chance > _HARDLY):
                at = int(track.at[entry])
                kind, failed_on = nearest.failure(at + log.first)
                yield Suspect(
                    log.printer,
                    task,
                    day_of(at + log.first),
                    kind,
                    failed_on - at - log.first,
                    float(chance[entry]),
                )


@dataclass(frozen=True, eq=False)
class _Nearest:
    """The bin of every day of a printer's log (−1: not before a failure), and the failures."""

    bin: Ints
    failures: tuple[tuple[int, str], ...]

    @classmethod
    def of(cls, first: int, days: int, runs: Sequence[tuple[str, FailureRun]]) -> _Nearest:
        bins = np.full(days, len(LAST_DAYS))
        for _, run in runs:
            inside = (run.days >= first) & (run.days < first + days)
            at = run.days[inside] - first
            bins[at] = np.minimum(bins[at], run.bin[inside])
        failures = sorted({(int(day), kind) for kind, run in runs for day in run.failed_on})
        return cls(np.where(bins == len(LAST_DAYS), -1, bins), tuple(failures))

    def failure(self, day: int) -> tuple[str, int]:
        """The kind and the day of the next failure after that day."""
        failed_on, kind = next(one for one in self.failures if one[0] > day)
        return kind, failed_on


def may_protect(task: str, part_kind: str) -> bool:
    """Is the task expected to protect that kind? One of a workshop's own may protect any."""
    usual = vocabulary.TASKS.get(task)
    return usual is None or part_kind in usual.likely_helps


def without(tasks: TaskDays, suspects: Iterable[Suspect]) -> TaskDays:
    """The same days without those entries."""
    done: dict[str, Bools] = {}
    for one in suspects:
        log = tasks.printers[one.printer]
        own = done.setdefault(one.printer, log.done.copy())
        own[tasks.tasks.index(one.task), (one.done_on - day_of(log.first)).days] = False
    printers = {
        name: replace(log, done=done[name]) if name in done else log
        for name, log in tasks.printers.items()
    }
    return replace(tasks, printers=printers)


def entries_of(known: Records, suspects: Iterable[Suspect]) -> dict[int, Suspect]:
    """The planned entries meant, by their numbers in the maintenance table."""
    by_key = {(one.printer, one.task, one.done_on): one for one in suspects}
    log = known.maintenance
    log = log[(log["why"] == "planned") & log["task"].isin({task for _, task, _ in by_key})]
    keys = zip(log["printer"], log["task"], log["done_on"].dt.date, strict=True)
    meant = zip(log.index.tolist(), keys, strict=True)
    return {number: by_key[key] for number, key in meant if key in by_key}
