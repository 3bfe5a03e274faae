"""Are entries fewer in weeks in which something broke: done but not written down?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.forecast.log_quality.failure_runs import FailureRun
from tracker.forecast.log_quality.pile_up import lower_tail, run_counts
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.lives.exposure_table import days_since_epoch
from tracker.workshop.columns.coded import Coded
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
    runs = list(_bad_runs(known, tasks))
    if not tasks.tasks or not runs:
        return None

    def weights(printer: str) -> Array:
        return tasks.printers[printer].done[None].astype(np.float64)

    counts = run_counts(tasks, tasks.tasks, runs, weights, rng)
    if counts is None or counts.expected.sum() <= 0:
        return None
    entries, expected = float(counts.observed.sum()), float(counts.expected.sum())
    spread, p_value = lower_tail(counts, rng)
    days: dict[str, list[Ints]] = {}
    for run in runs:
        days.setdefault(run.printer, []).append(run.days)
    half = 1.96 * spread / expected
    ratio = entries / expected
    return BadWeeks(
        entries,
        expected,
        ratio,
        max(ratio - half, 0.0),
        ratio + half,
        p_value,
        {name: np.unique(np.concatenate(own)) for name, own in days.items()},
    )


def _bad_runs(known: Records, tasks: TaskDays) -> Iterator[FailureRun]:
    """Calendar weeks with trouble, neighbouring ones as one run."""
    reason = known.fittings["removal_reason"].to_numpy()
    failed = known.fittings[(reason == "failed") | (reason == "accident")]
    troubles = ((failed, "removed_on"), (known.stoppages, "began_at"))
    printers = np.concatenate([rows["printer"].to_numpy() for rows, _ in troubles])
    moments = np.concatenate([rows[day].to_numpy() for rows, day in troubles])
    week = (moments.astype("datetime64[D]").astype(np.int64) + _MONDAY) // 7
    dated = ~np.isnat(moments)
    rows = Coded.of(pd.Series(printers[dated])).rows_by_word()
    week, stood = week[dated], _stood(known)
    for printer in sorted(rows.keys() & tasks.printers.keys()):
        log = tasks.printers[printer]
        weeks = np.unique(week[rows[printer]])
        for run in np.split(weeks, np.flatnonzero(np.diff(weeks) > 1) + 1):
            days = np.arange(7 * run[0], 7 * run[-1] + 7) - _MONDAY
            days = days[(days >= log.first) & (days <= log.last)]
            if printer in stood:
                days = days[~np.isin(days, stood[printer])]
            if len(days):
                yield FailureRun(printer, days, np.zeros(len(days), dtype=np.int64), days)


def _stood(known: Records) -> dict[str, Ints]:
    """Whole days on which a printer stood."""
    stops = known.stoppages.dropna(subset=["began_at", "ended_at"])
    began, ended = (days_since_epoch(stops[name]) for name in ("began_at", "ended_at"))
    days: dict[str, list[Ints]] = {}
    for printer, first, last in zip(stops["printer"], began, ended, strict=True):
        if last - first > 1:
            days.setdefault(str(printer), []).append(np.arange(first + 1, last))
    return {name: np.unique(np.concatenate(own)) for name, own in days.items()}
