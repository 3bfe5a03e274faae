"""When was a printer at work while nobody wrote down anything that was done to it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np

from tracker.arrays import Bools, Ints
from tracker.forecast.log_quality.task_days import NO_ROWS, PrinterLog, TaskDays
from tracker.lives.open_days import day_of
from tracker.workshop.columns.coded import Coded
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
    planned = known.codes("maintenance", "why").is_word("planned")
    cared = _days_by_printer(
        tasks,
        _Days.of(known, "maintenance", "done_on").take(planned),
        _Days.of(known, "nozzle_checks", "checked_on"),
    )
    alive = _days_by_printer(tasks, *(_Days.of(known, *sign) for sign in _SIGNS))
    found = []
    for name, log in tasks.printers.items():
        found += _of_printer(log, cared[name], alive[name])
    return tuple(found)


class _Days(NamedTuple):
    """The printers and days (whole ones since 1970-01-01) of the rows of a table."""

    printer: Coded
    day: Ints

    @classmethod
    def of(cls, known: Records, table: str, column: str) -> _Days:
        days = known.day_numbers(table, column).astype(np.int64)
        return cls(known.codes(table, "printer"), days)

    def take(self, rows: Bools) -> _Days:
        return _Days(self.printer.take(rows), self.day[rows])


def _days_by_printer(tasks: TaskDays, *written: _Days) -> dict[str, Ints]:
    """On which days of its log was anything of that written down of each printer? In order."""
    seen = [np.zeros(log.days + 2, dtype=bool) for log in tasks.printers.values()]
    for one in written:
        rows = one.printer.rows_by_word()
        for number, (name, log) in enumerate(tasks.printers.items()):
            # What lies outside the log, as what has no day, falls into the two days at its ends.
            own = one.day[rows.get(name, NO_ROWS)]
            seen[number][np.clip(own - log.first + 1, 0, log.days + 1)] = True
    return {
        name: log.first + np.flatnonzero(own[1:-1])
        for (name, log), own in zip(tasks.printers.items(), seen, strict=True)
    }


def _of_printer(log: PrinterLog, cared: Ints, alive: Ints) -> list[SilentSpan]:
    if len(cared) <= _AROUND + 1:
        return []
    open_before = np.concatenate(([0], np.cumsum(~log.closed)))
    gap = np.diff(open_before[cared - log.first])
    spans = []
    for at in np.flatnonzero(gap > _LEAST_DAYS):
        # The slower of before and after, for the pace may have changed in between.
        around = (gap[max(at - _AROUND, 0) : at], gap[at + 1 : at + 1 + _AROUND])
        if min(map(len, around)) < _AROUND // 2:
            continue
        usual = max(each.mean() for each in around)
        first, last = int(cared[at]) + 1, int(cared[at + 1]) - 1
        lives = ((alive >= first) & (alive <= last)).any()
        if lives and gap[at] > _UNUSUAL * max(usual, 1.0):
            spans.append(SilentSpan(log.printer, day_of(first), day_of(last), int(gap[at]) - 1))
    return spans
