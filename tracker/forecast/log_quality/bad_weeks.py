"""Are entries fewer in weeks in which something broke: done but not written down?"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.failure_runs import FailureRuns
from tracker.forecast.log_quality.pile_up import lower_tail
from tracker.forecast.log_quality.run_counts import run_counts
from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.records import Records

_CLEAR = 0.005  # p-value
# Of the usual entries, at most: a helpful task left undone brings failures, which explains some.
_THIN = 0.8
_MONDAY = 3  # 1970-01-01 was a Thursday: days since then plus three are whole weeks from a Monday


@dataclass(frozen=True, eq=False)
class BadWeeks:
    """Planned entries of all tasks in weeks with a failure or a stoppage, as a ``ratio`` of those
    in the same printers' other weeks nearby, with 95 % limits; ``days`` of such weeks per printer,
    ``expected`` entries in them.
    """

    entries: float
    expected: float
    ratio: float
    lower: float
    upper: float
    p_value: float
    days: dict[str, Ints]

    @property
    def are_thin(self) -> bool:
        """True when entries are clearly missing in them."""
        return self.p_value <= _CLEAR and self.upper <= _THIN


def bad_weeks(known: Records, tasks: TaskDays, rng: np.random.Generator) -> BadWeeks | None:
    """Compare within printers, as for the pile-ups; days on which a printer stood do not count.

    None where there is nothing to compare.
    """
    runs = _bad_runs(known, tasks.logged)
    if not tasks.tasks or not len(runs):
        return None

    def weights(task: str, places: Ints) -> Array:
        return tasks.done[tasks.tasks.index(task), places][None].astype(np.float64)

    counts = run_counts(tasks, tasks.tasks, runs, weights, rng)
    if counts is None or counts.expected.sum() <= 0:
        return None
    entries, expected = float(counts.observed.sum()), float(counts.expected.sum())
    spread, p_value = lower_tail(counts, rng)
    begins = runs.begins[np.searchsorted(runs.printer, np.arange(len(runs.names) + 1))].tolist()
    days = {
        name: runs.days[begin:end]
        for name, (begin, end) in zip(runs.names, pairwise(begins), strict=True)
        if end > begin
    }
    half = 1.96 * spread / expected
    ratio = entries / expected
    return BadWeeks(
        entries,
        expected,
        ratio,
        max(ratio - half, 0.0),
        ratio + half,
        p_value,
        days,
    )


def _bad_runs(known: Records, logged: LoggedDays) -> FailureRuns:
    """Calendar weeks with trouble, neighbouring ones as one run, printers in order of names."""
    reason = known.codes("fittings", "removal_reason")
    names = pd.Index(sorted(logged.printers), dtype=object)
    printers, weeks = [], []
    for table, column, rows in (
        ("fittings", "removed_on", reason.is_word("failed") | reason.is_word("accident")),
        ("stoppages", "began_at", slice(None)),
    ):
        day = known.day_numbers(table, column)[rows].astype(np.int64)
        own = known.codes(table, "printer").take(rows).among(names)
        ours = (own >= 0) & (day != NO_DAY)
        printers.append(own[ours].astype(np.int64))
        weeks.append((day[ours] + _MONDAY) // 7)
    printer, week = np.concatenate(printers), np.concatenate(weeks)
    earliest = int(week.min(initial=0))
    # So many that the last week of one printer is no neighbour of the next one's first.
    many = int(week.max(initial=0)) - earliest + 2
    bad = np.unique(printer * many + week - earliest)
    first = np.diff(bad, prepend=-2) > 1
    of_week = np.cumsum(first) - 1
    day = (7 * (bad % many + earliest) - _MONDAY)[:, None] + np.arange(7)
    of_day = np.repeat(of_week, 7)
    number = np.array([logged.numbers[name] for name in names], dtype=np.int64)
    own = number[np.repeat(bad // many, 7)]
    place, inside = logged.places(own, day.ravel())
    at_work = inside.copy()
    at_work[inside] = ~_stood(known, logged)[place[inside]]
    days, of_day = day.ravel()[at_work], of_day[at_work]
    left, begins = np.unique(of_day, return_index=True)
    begins = np.append(begins, len(days))
    runs = bad[first][left] // many
    return FailureRuns(tuple(names), runs, begins, days, np.zeros_like(days), begins, days)


def _stood(known: Records, logged: LoggedDays) -> Bools:
    """Of all days those on which a printer stood from morning to evening."""
    began, ended = (known.day_numbers("stoppages", name) for name in ("began_at", "ended_at"))
    own = known.codes("stoppages", "printer").among(pd.Index(logged.printers, dtype=object))
    stops = (own >= 0) & (began != NO_DAY) & (ended != NO_DAY) & (ended - began > 1)
    own, began, ended = (each[stops].astype(np.int64) for each in (own, began, ended))
    first = logged.first[own]
    begin, end = (
        logged.begins[own] + np.clip(day - first, 0, logged.days[own]) for day in (began + 1, ended)
    )
    change = np.bincount(begin, minlength=logged.total + 1)
    change -= np.bincount(end, minlength=logged.total + 1)
    return np.asarray(np.cumsum(change)[:-1] > 0)
