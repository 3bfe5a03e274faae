"""The days before failures, on which work because of a symptom would lie."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Ints
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
    """Runs that are worked out as they are asked for: of a fleet's thousands some are looked at.

    ``failures``: of each its printer, the days its failures were found and those last seen good.
    """

    failures: tuple[tuple[str, Ints, Ints], ...]

    def __len__(self) -> int:
        return len(self.failures)

    def __getitem__(self, at: Any) -> Any:
        return _run(*self.failures[at])


def failure_runs(known: Records, lives: pd.DataFrame, part_kind: str) -> FailureRuns:
    """The runs of failures of that kind, printer by printer, in order of days.

    ``lives``: the life table of the known records.
    """
    kind, outcome, removed_on, printer = (
        lives[name].to_numpy() for name in ("part_kind", "outcome", "removed_on", "printer")
    )
    rows = np.flatnonzero((kind == part_kind) & (outcome == "failed") & ~np.isnat(removed_on))
    # A row of the life table is a fitting, in the same order.
    good = known.fittings["last_ok_on"].to_numpy()[rows]
    found, seen_good = (_whole_days(days) for days in (removed_on[rows], good))
    last_ok = np.where(np.isnat(good), found - 1, seen_good)
    last_ok = np.clip(last_ok, found - 1 - _LONGEST_BETWEEN, found - 1)
    by_printer: dict[str, list[int]] = {}
    for row in np.argsort(found, kind="stable"):
        by_printer.setdefault(str(printer[rows[row]]), []).append(row)
    return FailureRuns(
        tuple(
            (name, *failures)
            for name, own in sorted(by_printer.items())
            for failures in _together(found[own], last_ok[own])
        )
    )


def _whole_days(moments: np.ndarray) -> Ints:
    return moments.astype("datetime64[D]").astype(np.int64)


def _together(found: Ints, last_ok: Ints) -> Iterator[tuple[Ints, Ints]]:
    """Failures cut into runs where the days before them do not overlap."""
    begins = last_ok + 1 - REACH_DAYS
    cut = np.flatnonzero(begins[1:] > np.maximum.accumulate(found)[:-1]) + 1
    yield from zip(np.split(found, cut), np.split(last_ok, cut), strict=True)


def _run(printer: str, found: Ints, last_ok: Ints) -> FailureRun:
    days = np.arange(last_ok.min() + 1 - REACH_DAYS, found.max())
    ahead = np.maximum(last_ok[:, None] + 1 - days, 1)
    before = np.where(days < found[:, None], ahead, REACH_DAYS + 1).min(axis=0)
    kept = (before <= REACH_DAYS) & (days != found[:, None]).all(axis=0)
    days, before = days[kept], before[kept]
    return FailureRun(printer, days, np.searchsorted(LAST_DAYS, before), np.unique(found))
