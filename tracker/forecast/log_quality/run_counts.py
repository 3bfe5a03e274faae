"""Entries in the days before failures and on the same days of the week at other times.

A case–crossover comparison (Maclure 1991, American Journal of Epidemiology 133:144): the days
before a failure against the same days of the week some weeks earlier and later on the same printer.
Reference days on both sides keep a slow change of pace out (Bateson & Schwartz 1999, Epidemiology
10:539).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.failure_runs import LAST_DAYS, FailureRuns, FailuresInRuns
from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays

BINS = len(LAST_DAYS)
_LEAST_WEEKS, _MOST_WEEKS = 3, 20  # a reference lies so far from the failures
_REFERENCES = 8  # at most; the nearest ones
_MOST_RUNS = 3000  # of one part kind; more tell nothing new


@dataclass(frozen=True, eq=False)
class RunCounts:
    """Entries in the days before each run of failures and at its reference times.

    ``counts (times of all runs, ways, tasks, bins)``: of each run so many ``times``, its own one
    first; the first way of counting is the plain one.
    """

    tasks: tuple[str, ...]
    counts: NDArray[np.floating]
    times: Ints

    @property
    def own(self) -> Ints:
        """Where each run's own time stands among all times."""
        return np.cumsum(self.times) - self.times

    @property
    def observed(self) -> Array:
        """Entries before the failures: (tasks, bins)."""
        return np.asarray(self.counts[self.own, 0].sum(axis=0, dtype=np.float64))

    @property
    def expected(self) -> Array:
        """Entries at the reference times, averaged within each run: (tasks, bins)."""
        plain = self.counts[:, 0].astype(np.float64)
        elsewhere = np.add.reduceat(plain, self.own) - plain[self.own]
        return np.asarray((elsewhere / (self.times - 1)[:, None, None]).sum(axis=0))


def run_counts(
    tasks: TaskDays,
    which: Sequence[str],
    runs: FailureRuns | FailuresInRuns,
    weights: Callable[[str, Ints], NDArray[np.floating]],
    rng: np.random.Generator,
) -> RunCounts | None:
    """Counts for these tasks. ``weights`` gives what counts of a task at such places among all
    days: (ways of counting, places).

    None where no run has a reference time.
    """
    picked = np.ones(len(runs), dtype=bool)
    if len(runs) > _MOST_RUNS:
        picked[:] = False
        picked[rng.choice(len(runs), _MOST_RUNS, replace=False)] = True
    logged = tasks.logged
    runs, printer = runs.take(picked).on_printers_of(logged)
    failed, inside = logged.places(printer[runs.of_failure], runs.failed_on)
    busy = tasks.closed.copy()
    busy[failed[inside]] = True
    place, inside = logged.places(printer[runs.of_day], runs.days)
    busy[place[inside]] = True
    # Of a run that began before the log only what lies within is no fair case.
    unfair = ~inside
    unfair[inside] = tasks.closed[place[inside]]
    fair = np.diff(runs.begins) > 0
    fair[runs.of_day[unfair]] = False
    runs, printer, place = runs.take(fair), printer[fair], place[fair[runs.of_day]]
    if not len(runs):
        return None
    weeks, is_reference = _references(runs, logged, printer, place, busy)
    compared: Bools = np.any(is_reference, axis=1)
    if not compared.any():
        return None
    weeks, is_reference = weeks[compared], is_reference[compared]
    place, runs = place[compared[runs.of_day]], runs.take(compared)
    run, column = np.nonzero(np.insert(is_reference, 0, True, axis=1))
    moved = 7 * np.insert(weeks, 0, 0, axis=1)[run, column]
    many = np.diff(runs.begins)[run]
    of = np.repeat(np.arange(len(run)), many)
    day = np.arange(len(of)) - np.repeat(np.cumsum(many) - many - runs.begins[run], many)
    at, cell = place[day] + moved[of], of * BINS + runs.bin[day]
    counts = [
        [np.bincount(cell, way, len(run) * BINS).astype(way.dtype) for way in weights(task, at)]
        for task in which
    ]
    by_time = np.array(counts).reshape(len(which), -1, len(run), BINS).transpose(2, 1, 0, 3)
    return RunCounts(tuple(which), by_time, np.bincount(run))


def _references(
    runs: FailureRuns, logged: LoggedDays, printer: Ints, place: Ints, busy: Bools
) -> tuple[Ints, Bools]:
    """By how many weeks each run may be moved, (runs, moves), and which of these are its reference
    times: the nearest ones on which it touches no ``busy`` day.
    """
    begins, of_day = runs.begins[:-1], runs.of_day
    at = place[begins] - logged.begins[printer]
    last = place[runs.begins[1:] - 1] - logged.begins[printer]
    nearest = np.maximum(_LEAST_WEEKS, (last - at) // 7 + 2)
    apart = nearest[:, None] + np.arange(_MOST_WEEKS)
    weeks = np.stack((-apart, apart), axis=2).reshape(len(runs), -1)
    days = logged.days[printer][:, None]
    free = (at[:, None] + 7 * weeks >= 0) & (last[:, None] + 7 * weeks < days)
    for column in range(weeks.shape[1]):
        moved = np.clip(place + 7 * weeks[of_day, column], 0, logged.total - 1)
        free[:, column] &= ~np.logical_or.reduceat(busy[moved], begins)
    return weeks, free & (np.cumsum(free, axis=1) <= _REFERENCES)
