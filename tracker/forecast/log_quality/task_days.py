"""On which days was each task done on each printer, by plan, within the log?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Bools, Ints
from tracker.lives.logged_window import end_of_log, log_began
from tracker.lives.open_days import Closures, day_number
from tracker.workshop.columns.coded import NO_DAY
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

NO_ROWS = np.zeros(0, dtype=np.int64)


@dataclass(frozen=True, eq=False)
class PrinterLog:
    """The log of one printer: whole days since 1970-01-01 from ``first`` to ``last``.

    ``done`` (tasks, days): planned entries, once a day; ``confirmed`` those that somebody said
    were planned when asked. ``closed`` (days): nobody was there.
    """

    printer: str
    first: int
    last: int
    done: Bools
    confirmed: Bools
    closed: Bools

    @property
    def days(self) -> int:
        """How many days the log covers."""
        return self.last - self.first + 1


@dataclass(frozen=True, eq=False)
class TaskDays:
    """The planned work of the whole workshop, ``tasks`` in order."""

    tasks: tuple[str, ...]
    printers: Mapping[str, PrinterLog]

    @classmethod
    def of(cls, known: Records, as_of: date) -> TaskDays:
        """From the day the log (and the printer) began to the last day anything was written."""
        printer, task, why, note = (
            known.codes("maintenance", name) for name in ("printer", "task", "why", "note")
        )
        day = known.day_numbers("maintenance", "done_on")
        planned = np.flatnonzero(why.is_word("planned") & (day != NO_DAY))
        tasks = sorted(task.take(planned).occurring())
        what = task.take(planned).among(pd.Index(tasks))
        day = day[planned].astype(np.int64)
        confirming = np.array([CONFIRMED_PLANNED in one for one in note.words], dtype=bool)
        said = note.take(planned).marked(confirming)
        began, ended = log_began(known), day_number(end_of_log(known, known.maintenance, as_of))
        rows_of = printer.take(planned).rows_by_word()
        closures = Closures.of(known)
        printers = {}
        for row in known.printers.drop_duplicates("printer", keep="last").itertuples():
            first = max(began, _day(row.started_on, began))
            last = min(ended, _day(row.retired_on, ended))
            if last < first:
                continue
            name = str(row.printer)
            own = rows_of.get(name, NO_ROWS)
            rows = own[(day[own] >= first) & (day[own] <= last)]
            done = np.zeros((len(tasks), last - first + 1), dtype=bool)
            confirmed = np.zeros_like(done)
            done[what[rows], day[rows] - first] = True
            asked = rows[said[rows]]
            confirmed[what[asked], day[asked] - first] = True
            closed = closures.is_closed(name, np.arange(first, last + 1))
            printers[name] = PrinterLog(name, first, last, done, confirmed, closed)
        return cls(tuple(tasks), printers)

    def days_of(self, printer: str, task: str) -> Ints:
        """The days of that task on that printer, in order."""
        log = self.printers[printer]
        return log.first + np.flatnonzero(log.done[self.tasks.index(task)])


def _day(moment: Any, otherwise: int) -> int:
    return otherwise if pd.isna(moment) else day_number(moment.date())
