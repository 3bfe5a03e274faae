"""When was a printer at work while nobody wrote down anything that was done to it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.forecast.log_quality.task_days import PrinterLog, TaskDays
from tracker.lives.exposure_table import days_since_epoch
from tracker.lives.open_days import day_of
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
    planned = known.but(maintenance=known.maintenance[known.maintenance["why"] == "planned"])
    cared = _days_by_printer(planned, (("maintenance", "done_on"), ("nozzle_checks", "checked_on")))
    alive = _days_by_printer(known, _SIGNS)
    found = []
    none = np.array([], dtype=np.int64)
    for name, log in tasks.printers.items():
        found += _of_printer(log, cared.get(name, none), alive.get(name, none))
    return tuple(found)


def _days_by_printer(known: Records, columns: tuple[tuple[str, str], ...]) -> dict[str, Ints]:
    frames = [
        known.table(table)[["printer", column]].rename(columns={column: "day"}).dropna()
        for table, column in columns
    ]
    days = pd.concat(frames, ignore_index=True)
    number = pd.Series(days_since_epoch(days["day"]), index=days.index)
    return {str(name): np.unique(own) for name, own in number.groupby(days["printer"])}


def _of_printer(log: PrinterLog, cared: Ints, alive: Ints) -> list[SilentSpan]:
    cared = cared[(cared >= log.first) & (cared <= log.last)]
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
