"""From when to when does the log tell how often things were done?

Before a whole window of it has passed nobody can say how often a task was done, and after its last
entry silence is no neglect.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.lives.exposure.table import days_since_epoch
from tracker.lives.exposure.whole_weeks import first_whole_end
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.day_numbers import day_number, day_of
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class TrailingWindow:
    """What is looked back on from each day: ``days`` open days, ``lag_days`` left out before it.
    Of tasks these are whole weeks and a share of one more (``whole_weeks``).

    ``first_whole``: per printer the first day with a whole window of the log before it;
    ``open_numbers``: of the printers, without closed days.
    """

    printers: pd.Index
    days: int
    lag_days: int
    first_whole: Ints
    open_numbers: OpenNumbers

    @classmethod
    def of(
        cls, known: Records, printers: pd.Index, log_day: int, days: int, lag_days: int
    ) -> TrailingWindow:
        """For these printers in this order; the log began on ``log_day``."""
        closures = Closures.of(known)
        return cls(
            printers=printers,
            days=days,
            lag_days=lag_days,
            first_whole=first_whole_window(known, printers, log_day, days, lag_days, closures),
            open_numbers=closures.open_numbers(printers),
        )


def end_of_log(known: Records, log: Records, as_of: date) -> date:
    """The last day up to ``as_of`` on which anything was written down; ``log``: the records whose
    maintenance counts.
    """
    done = log.days_written("maintenance", "done_on")
    done = done[done <= day_number(as_of)]
    done_by_then = day_of(int(done[-1])) if len(done) else None
    last = [day for day in (known.last_day(), done_by_then) if day is not None]
    return min(as_of, max(last)) if last else as_of


def log_began(records: Records) -> int:
    """The first day on which maintenance would have been written down (since 1970-01-01)."""
    if records.log_began_on is not None:
        return day_number(records.log_began_on)
    for table, column in (("maintenance", "done_on"), ("printers", "started_on")):
        first = records.oldest(table, column)
        if first is not None:
            return day_number(first.date())
    return 0


def first_whole_window(
    known: Records,
    printers: pd.Index,
    log_day: int,
    window_days: int,
    lag_days: int,
    closures: Closures,
) -> Ints:
    """Per printer the first day with a whole window of the log, of open days, before it: with all
    of the week that a task's window has a share of, else its first days would be told too few.
    """
    started = known.printers.drop_duplicates("printer", keep="last").set_index("printer")
    day = started["started_on"].reindex(printers)
    began = np.where(day.notna(), days_since_epoch(day), log_day)
    first: Ints = np.maximum(began, log_day)
    whole = np.empty_like(first)
    for rows, calendar in closures.open_numbers(printers).together():
        whole[rows] = first_whole_end(calendar, first[rows], window_days) + lag_days
    return whole
