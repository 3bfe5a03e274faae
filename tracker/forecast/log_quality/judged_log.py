"""Can the log be believed, and what is an effect counted from where it cannot?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.forecast.log_quality.bad_weeks import BadWeeks, bad_weeks
from tracker.forecast.log_quality.counted_log import CountedLog
from tracker.forecast.log_quality.doubtful_entries import with_readings
from tracker.forecast.log_quality.missed_occasions import (
    SKIPPED,
    SKIPPED_AT_MOST,
    MissedOccasions,
    missed_occasions,
)
from tracker.forecast.log_quality.silent_spans import SilentSpan, silent_spans
from tracker.forecast.log_quality.suspects import (
    Suspect,
    Suspicion,
    find_suspects,
    without,
)
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.lives.exposure.task import COUNTS_IN, IN_ALL
from tracker.lives.log_gaps import LogGaps, spans_of_days
from tracker.lives.open_days import Closures
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once
from tracker.workshop.schedules import RoutineSchedules

LONG_LOG = 60_000  # actions; a longer one is not judged unasked
_SEED = 20240315


@dataclass(frozen=True)
class Completeness:
    """The estimated ``share`` of the work done on a task that is in the log, with its range."""

    share: float
    lower: float
    upper: float


@dataclass(frozen=True, eq=False)
class JudgedLog:
    """What speaks against the log as it stands (``known``), and the log as an effect is read off
    it (``counted``).
    """

    known: Records
    suspicion: Suspicion
    silent: tuple[SilentSpan, ...]
    weeks: BadWeeks | None
    missed: dict[str, MissedOccasions]
    tasks: TaskDays

    @found_once
    def counted(self) -> CountedLog:
        """The log judged, as an effect is read off it."""
        return self.counted_in(self.known)

    def counted_in(self, known: Records) -> CountedLog:
        """A log in which the judged one is, that of a later day, as an effect is read off it."""
        return replace(
            CountedLog.as_written(known),
            records=_filled(
                with_readings(known, self.suspicion.doubtful, np.random.default_rng(_SEED)),
                self.missed,
            ),
            gaps=_gaps(self.silent, self.weeks),
            lags=self.suspicion.lag_by_task,
        )

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Planned entries that more likely than not were because of a symptom."""
        return self.suspicion.suspects

    def suspects_of(self, task: str) -> tuple[Suspect, ...]:
        """Those of one task."""
        return tuple(one for one in self.suspects if one.task == task)

    def completeness(self, task: str) -> Completeness:
        """How much of the work done on that task is in the log?

        Of the occasions without an entry one in ten is taken to be really skipped, none to one in
        five in the range. Where nothing is found missing the share is 1, and the lower end what it
        would be had all that was skipped been done.
        """
        rows = self.tasks.tasks
        if task not in rows:
            return Completeness(1.0, 0.0, 1.0)
        row = rows.index(task)
        entries = int(self.tasks.done[row].sum())
        missing = self._missing_silent(row)
        thin = (0.0, 0.0, 0.0)
        if self.weeks is not None and self.weeks.are_thin:
            share_of_work = entries / max(int(self.tasks.done.sum()), 1)
            thin = tuple(
                max(self.weeks.expected * (1 - ratio), 0.0) * share_of_work
                for ratio in (self.weeks.ratio, self.weeks.upper, self.weeks.lower)
            )  # type: ignore[assignment]
        own = self.missed.get(task)
        logged = (1.0, 1.0, own.lower if own else 1.0)
        if own is not None and own.are_many:
            logged = (
                min(own.share / (1 - SKIPPED), 1.0),
                min(own.upper / (1 - SKIPPED_AT_MOST), 1.0),
                own.lower,
            )
        share, upper, lower = (
            entries / max(entries / part + missing + few, 1e-9) if entries else 1.0
            for part, few in zip(logged, thin, strict=True)
        )
        return Completeness(share, min(lower, share), max(upper, share))

    def _missing_silent(self, row: int) -> float:
        """Entries of a task that its usual pace would have brought in the silent spans."""
        silent: dict[str, int] = {}
        for span in self.silent:
            silent[span.printer] = silent.get(span.printer, 0) + span.open_days
        if not silent:
            return 0.0
        logged, starts = self.tasks.logged, self.tasks.logged.begins[:-1]
        entries, opened = (
            np.add.reduceat(days, starts, dtype=np.int64)
            for days in (self.tasks.done[row], ~self.tasks.closed)
        )
        missing = 0.0
        for printer, days in silent.items():
            number = logged.numbers[printer]
            missing += days * float(entries[number]) / max(int(opened[number]) - days, 1)
        return missing


def judge_log(records: Records, as_of: date) -> JudgedLog:
    """Judge everything planned in the log, as known on that day; the answer is remembered."""
    known = records.known_at(as_of)
    return known.once(_judge, as_of)


def judged_unasked(records: Records, as_of: date) -> JudgedLog | None:
    """The same where nobody asked whether the log can be believed.

    None for an empty log, and for one of more than ``LONG_LOG`` actions: the few mistaken entries
    of one printer are little among a fleet's.
    """
    known = records.known_at(as_of)
    if not 0 < known.count("maintenance") <= LONG_LOG:
        return None
    return judge_log(known, as_of)


def counted_log(records: Records, as_of: date, *, judged: JudgedLog | None = None) -> CountedLog:
    """The log as forecasts and reviews read it, who did not ask whether it can be believed.

    Judged, as where it is asked, and as it is written where ``judged_unasked`` says nothing.
    ``judged``: what was found on a day not long before, which then holds for this one too; what was
    written since is counted as it is.
    """
    known = records.known_at(as_of)
    if judged is not None:
        return judged.counted_in(known)
    found = judged_unasked(known, as_of)
    return CountedLog.as_written(known) if found is None else found.counted


def _judge(known: Records, as_of: date) -> JudgedLog:
    rng = np.random.default_rng(_SEED)
    tasks = TaskDays.of(known, as_of)
    suspicion = find_suspects(known, as_of, tasks, rng)
    rest = without(tasks, suspicion.suspects)
    return JudgedLog(
        known=known,
        suspicion=suspicion,
        silent=silent_spans(known, tasks),
        weeks=bad_weeks(known, rest, rng),
        missed=missed_occasions(rest, RoutineSchedules(known)),
        tasks=rest,
    )


def _filled(known: Records, missed: Mapping[str, MissedOccasions]) -> Records:
    """With planned entries where a task that is written down only now and then must have been due.

    Dividing the counts by the share written down would be right on average only, and noise in an
    exposure pulls its effect toward none; the gaps tell where the others were.
    """
    many = {task: own.days for task, own in missed.items() if own.are_many and own.days}
    if not many:
        return known
    log = known.maintenance
    frames = [log]
    for task, own in many.items():
        for printer, days in own.items():
            done_on = days.astype("datetime64[D]").astype("datetime64[ns]")
            rows = pd.DataFrame({"done_on": done_on}).assign(
                printer=printer, task=task, why="planned", note="", position="", done_by=""
            )
            if COUNTS_IN in log:
                rows[COUNTS_IN] = IN_ALL
            frames.append(rows.reindex(columns=log.columns).astype(log.dtypes))
    return known.but(maintenance=pd.concat(frames, ignore_index=True))


def _gaps(silent: tuple[SilentSpan, ...], weeks: BadWeeks | None) -> LogGaps:
    """Silent spans and thin weeks are passed over."""
    spans: dict[str, list[tuple[int, int]]] = {}
    for one in silent:
        span = (day_number(one.began_on), day_number(one.ended_on))
        spans.setdefault(one.printer, []).append(span)
    if weeks is not None and weeks.are_thin:
        for name, days in weeks.days.items():
            spans.setdefault(name, []).extend(map(tuple, spans_of_days(days)))
    closed = {
        name: Closures.merged(name, np.array(own, dtype=np.int64)).spans[name]
        for name, own in spans.items()
    }
    return LogGaps(Closures(closed))
