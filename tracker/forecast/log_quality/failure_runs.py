"""The days before failures, on which work because of a symptom would lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Bools, Ints
from tracker.forecast.log_quality.task_days import LoggedDays
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.records import Records

REACH_DAYS = 14  # so long before a failure trouble is looked for
LAST_DAYS = (3, 7, REACH_DAYS)  # the bins end here: 1–3, 4–7, 8–14 days before
_LONGEST_BETWEEN = 14  # days between checks; a check further back says nothing of when it failed


@dataclass(frozen=True, eq=False)
class FailureRun:
    """Failures of one part kind on one printer so close that the days before them overlap.

    ``days`` before one of them (whole days since 1970-01-01) and ``bin`` of each, by how far the
    next failure was: 0 up to three days, 1 up to seven, 2 up to fourteen. The day of a failure
    itself is in none: what is done on it may be part of the change. Days between the last good
    check and the day it was found belong to bin 0, for the part may have failed on any of them.
    """

    printer: str
    days: Ints
    bin: Ints
    failed_on: Ints


@dataclass(frozen=True, eq=False)
class FailureRuns(Sequence[FailureRun]):
    """Many runs, the arrays of all one after the other.

    ``printer`` of each run, among the ``names``; its ``days``, with their ``bin``, begin at
    ``begins`` (one more than runs), the days of its failures at ``failures_begin``.
    """

    names: tuple[str, ...]
    printer: Ints
    begins: Ints
    days: Ints
    bin: Ints
    failures_begin: Ints
    failed_on: Ints

    def __len__(self) -> int:
        return len(self.printer)

    def __getitem__(self, at: Any) -> Any:
        run = range(len(self))[at]
        days = slice(self.begins[run], self.begins[run + 1])
        failures = slice(self.failures_begin[run], self.failures_begin[run + 1])
        name = self.names[self.printer[run]]
        return FailureRun(name, self.days[days], self.bin[days], self.failed_on[failures])

    @property
    def of_day(self) -> Ints:
        """The run of each of the days."""
        return _repeated(self.begins)

    @property
    def of_failure(self) -> Ints:
        """The run of each day of a failure."""
        return _repeated(self.failures_begin)

    def on_printers_of(self, logged: LoggedDays) -> tuple[FailureRuns, Ints]:
        """The runs on printers that have a log, and the number there of the printer of each."""
        known = np.array([logged.numbers.get(name, -1) for name in self.names], dtype=np.int64)
        number = known[self.printer]
        return self.take(number >= 0), number[number >= 0]

    def take(self, kept: Bools) -> FailureRuns:
        """Some of the runs."""
        days, failures = kept[self.of_day], kept[self.of_failure]
        return FailureRuns(
            self.names,
            self.printer[kept],
            _bounds(np.diff(self.begins)[kept]),
            self.days[days],
            self.bin[days],
            _bounds(np.diff(self.failures_begin)[kept]),
            self.failed_on[failures],
        )


def _repeated(begins: Ints) -> Ints:
    return np.repeat(np.arange(len(begins) - 1), np.diff(begins))


def _bounds(lengths: Ints) -> Ints:
    return np.append(0, np.cumsum(lengths))


@dataclass(frozen=True, eq=False)
class FailuresInRuns:
    """The failures of one part kind, printer by printer in order of days, and the ``run`` of each:
    its days are worked out for the runs that are asked for, as those of a fleet are many.

    ``printer`` of each failure, among the ``names``; ``found`` on a day (whole days since
    1970-01-01), ``last_ok`` the last good check.
    """

    names: tuple[str, ...]
    printer: Ints
    run: Ints
    found: Ints
    last_ok: Ints

    def __len__(self) -> int:
        return int(self.run[-1]) + 1 if len(self.run) else 0

    def take(self, kept: Bools) -> FailureRuns:
        """Some of the runs."""
        ours = kept[self.run]
        run = (np.cumsum(kept) - 1)[self.run[ours]]
        printer, found, last_ok = (each[ours] for each in (self.printer, self.found, self.last_ok))
        size, first = int(kept.sum()), np.ones(len(run), dtype=bool)
        first[1:] = run[1:] != run[:-1]
        of_day, days, before = _days_before(run, found, last_ok)
        is_again = ~first  # two parts that failed on one day
        is_again[1:] &= found[1:] == found[:-1]
        return FailureRuns(
            self.names,
            printer[first],
            _bounds(np.bincount(of_day, minlength=size)),
            days,
            np.searchsorted(LAST_DAYS, before),
            _bounds(np.bincount(run[~is_again], minlength=size)),
            found[~is_again],
        )

    def all(self) -> FailureRuns:
        """All runs."""
        return self.take(np.ones(len(self), dtype=bool))


def failures_in_runs(known: Records, failed: Bools, part_kind: str) -> FailuresInRuns:
    """The failures of that kind. ``failed``: which of the known fittings came out failed."""
    of = partial(known.codes, "fittings")
    rows = np.flatnonzero(of("part_kind").is_word(part_kind) & failed)
    found, good = (
        known.day_numbers("fittings", name)[rows].astype(np.int64)
        for name in ("removed_on", "last_ok_on")
    )
    last_ok = np.where(good == NO_DAY, found - 1, good)
    last_ok = np.clip(last_ok, found - 1 - _LONGEST_BETWEEN, found - 1)
    printer = of("printer").take(rows)
    names = pd.Index(sorted(printer.occurring()), dtype=object)
    own = printer.among(names).astype(np.int64)
    order = np.lexsort((found, own))
    own, found, last_ok = own[order], found[order], last_ok[order]
    # Failures of a printer are one run as long as the days before them overlap.
    anew = np.ones(len(own), dtype=bool)
    anew[1:] = (own[1:] != own[:-1]) | (last_ok[1:] + 1 - REACH_DAYS > found[:-1])
    return FailuresInRuns(tuple(names), own, np.cumsum(anew) - 1, found, last_ok)


def _days_before(run: Ints, found: Ints, last_ok: Ints) -> tuple[Ints, Ints, Ints]:
    """The days before the failures of each run, once each and in order: the run, the day, and how
    far the nearest failure was, counted from the day after its last good check. Days of a failure
    are left out.
    """
    many = found - last_ok - 1 + REACH_DAYS
    of = np.repeat(np.arange(len(run)), many)
    ahead = REACH_DAYS - (np.arange(len(of)) - np.repeat(np.cumsum(many) - many, many))
    day = last_ok[of] + 1 - ahead
    ahead = np.maximum(ahead, 1)
    order = np.lexsort((ahead, day, run[of]))
    of_day, day, ahead = run[of][order], day[order], ahead[order]
    nearest = np.ones(len(of_day), dtype=bool)
    nearest[1:] = (of_day[1:] != of_day[:-1]) | (day[1:] != day[:-1])
    of_day, day, ahead = of_day[nearest], day[nearest], ahead[nearest]
    # A pair of run and day as one number.
    first, width = (int(day.min()), int(np.ptp(found)) + 4 * REACH_DAYS) if len(day) else (0, 1)
    kept = ~np.isin(of_day * width + day - first, run * width + found - first)
    return of_day[kept], day[kept], ahead[kept]
