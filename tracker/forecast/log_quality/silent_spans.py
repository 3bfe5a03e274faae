"""When was a printer at work while nobody wrote down anything that was done to it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Bools
from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays
from tracker.workshop.columns.day_numbers import day_of
from tracker.workshop.records import Records

_LEAST_DAYS = 10  # open days without an entry; less may be a quiet week
# Times the mean distance of the entries around it: somebody who works at random leaves such a gap
# once in 3 000 (exp −8).
_UNUSUAL = 8
_AROUND = 10  # entries looked at on each side
# Signs that the printer was at work; nozzle checks are looked at as care as well.
_SIGNS = (
    ("fittings", "fitted_on"),
    ("fittings", "removed_on"),
    ("counters", "read_on"),
    ("stoppages", "began_at"),
)


@dataclass(frozen=True)
class SilentSpan:
    """First and last silent day of a printer, and its open days between them."""

    printer: str
    began_on: date
    ended_on: date
    open_days: int


def silent_spans(known: Records, tasks: TaskDays) -> tuple[SilentSpan, ...]:
    """Stretches without any entry on printers that showed signs of life in them.

    Unusually long against the printer's own planned entries and nozzle checks around that time:
    at least ten open days and eight times their usual distance. Closed days do not count.
    """
    logged = tasks.logged
    checked = _days_with(known, logged, ("nozzle_checks", "checked_on"))
    cared = np.flatnonzero(checked | tasks.done.any(axis=0))
    alive = np.flatnonzero(_days_with(known, logged, *_SIGNS))
    open_before = np.append(0, np.cumsum(~tasks.closed))
    printer = logged.printer[cared]
    begins = np.searchsorted(printer, np.arange(len(logged.printers) + 1))
    gap = np.diff(open_before[cared])
    unusual = (gap > _LEAST_DAYS) & (printer[1:] == printer[:-1])
    found = []
    for at in np.flatnonzero(unusual).tolist():
        number = int(printer[at])
        first_gap, end = int(begins[number]), int(begins[number + 1]) - 1
        if end - first_gap <= _AROUND:
            continue
        # The slower of before and after, for the pace may have changed in between.
        around = (
            gap[max(at - _AROUND, first_gap) : at],
            gap[at + 1 : min(at + 1 + _AROUND, end)],
        )
        if min(map(len, around)) < _AROUND // 2:
            continue
        usual = max(each.mean() for each in around)
        first, last = int(cared[at]) + 1, int(cared[at + 1]) - 1
        lives = np.searchsorted(alive, last, side="right") > np.searchsorted(alive, first)
        if lives and gap[at] > _UNUSUAL * max(usual, 1.0):
            began, ended = map(day_of, logged.day_at(np.array([first, last])).tolist())
            name = logged.printers[number]
            found.append(SilentSpan(name, began, ended, int(gap[at]) - 1))
    return tuple(found)


def _days_with(known: Records, logged: LoggedDays, *written: tuple[str, str]) -> Bools:
    """On which of all logged days was anything written down in these columns of tables?"""
    seen = np.zeros(logged.total, dtype=bool)
    names = pd.Index(logged.printers, dtype=object)
    for table, column in written:
        number = known.codes(table, "printer").among(names).astype(np.int64)
        ours = np.flatnonzero(number >= 0)
        day = known.day_numbers(table, column).astype(np.int64)
        place, inside = logged.places(number[ours], day[ours])
        seen[place[inside]] = True
    return seen
