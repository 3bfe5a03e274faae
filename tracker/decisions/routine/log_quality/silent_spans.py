"""When was a printer at work while nobody wrote down anything that was done to it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Bools, Ints
from tracker.decisions.routine.log_quality.task_days import PrinterLog, TaskDays
from tracker.lives.exposure_table import days_since_epoch
from tracker.lives.open_days import day_of
from tracker.workshop.records import Records

_LEAST_DAYS = 10  # open days without an entry; less may be a quiet week
_UNUSUAL = 3  # times the distance that nine in ten entries keep
_LEAST_ENTRIES = 10
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

    Unusually long against the printer's own entries, planned or not: at least ten open days and
    three times the distance that nine in ten of its entries keep. Closed days do not count.
    """
    cared = _days_by_printer(known, (("maintenance", "done_on"), ("nozzle_checks", "checked_on")))
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
    if len(cared) < _LEAST_ENTRIES:
        return []
    open_before = np.concatenate(([0], np.cumsum(~log.closed)))
    silent = open_before[cared[1:] - log.first] - open_before[cared[:-1] + 1 - log.first]
    usual = np.quantile(silent + 1, 0.9)
    long: Bools = (silent >= _LEAST_DAYS) & (silent + 1 > _UNUSUAL * usual)
    spans = []
    for at in np.flatnonzero(long):
        first, last = int(cared[at]) + 1, int(cared[at + 1]) - 1
        if ((alive >= first) & (alive <= last)).any():
            spans.append(SilentSpan(log.printer, day_of(first), day_of(last), int(silent[at])))
    return spans
