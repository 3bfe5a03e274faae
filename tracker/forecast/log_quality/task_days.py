"""On which days was each task done on each printer, by plan, within the log?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import pairwise

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Bools, Ints
from tracker.lives.exposure.logged_window import end_of_log, log_began
from tracker.lives.open_days import Closures
from tracker.workshop.columns.day_numbers import NO_DAY, day_number, day_numbers
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

_AT_ONCE = 1_000_000  # entries
_BLOCK_DAYS = 200_000


@dataclass(frozen=True, eq=False)
class LoggedDays:
    """The days that the log of each printer covers, one printer after the other: so what happened
    on any of them is counted for the whole fleet at once.

    ``printers`` by name; their days (whole ones since 1970-01-01) from ``first`` on lie at the
    places ``begins`` (one more than printers) of all days.
    """

    printers: tuple[str, ...]
    first: Ints
    begins: Ints

    @classmethod
    def of(cls, known: Records, as_of: date) -> LoggedDays:
        """From the day the log (and the printer) began to the last day anything was written."""
        began, ended = log_began(known), day_number(end_of_log(known, known, as_of))
        printers = known.printers.drop_duplicates("printer", keep="last")
        started, retired = (day_numbers(printers[name]) for name in ("started_on", "retired_on"))
        first = np.maximum(np.where(started == NO_DAY, began, started), began).astype(np.int64)
        last = np.minimum(np.where(retired == NO_DAY, ended, retired), ended).astype(np.int64)
        there = last >= first
        names = printers["printer"].to_numpy()[there]
        days = (last - first + 1)[there]
        return cls(tuple(map(str, names)), first[there], np.append(0, np.cumsum(days)))

    @cached_property
    def numbers(self) -> dict[str, int]:
        """Each printer's place among them."""
        return {name: number for number, name in enumerate(self.printers)}

    @cached_property
    def printer(self) -> Ints:
        """Of all days the printer's number."""
        return np.repeat(np.arange(len(self.printers)), self.days)

    @cached_property
    def printer_weekday(self) -> NDArray[np.int32]:
        """Of all days seven times the printer's number and the day of the week, as one number."""
        since = np.repeat((self.first - self.begins[:-1]) % 7, self.days).astype(np.int32)
        since += np.arange(self.total, dtype=np.int32)
        since %= 7
        since += 7 * self.printer.astype(np.int32)
        return since

    @property
    def days(self) -> Ints:
        """How many days the log of each printer covers."""
        return np.diff(self.begins)

    @property
    def total(self) -> int:
        """All days."""
        return int(self.begins[-1])

    def slices(self) -> Iterator[slice]:
        """Each printer's own among all days."""
        for begin, end in pairwise(self.begins.tolist()):
            yield slice(begin, end)

    def places(self, printer: Ints, day: Ints) -> tuple[Ints, Bools]:
        """Where such days lie among all days, and which lie in the printer's log at all."""
        place = day + (self.begins[:-1] - self.first)[printer]
        return place, (place >= self.begins[printer]) & (place < self.begins[1:][printer])

    def day_at(self, place: Ints) -> Ints:
        """The day (since 1970-01-01) at each place among all days."""
        printer = self.printer[place]
        return place - self.begins[printer] + self.first[printer]


@dataclass(frozen=True, eq=False)
class TaskDays:
    """The planned work of the whole workshop, ``tasks`` in order.

    ``done`` (tasks, all days): planned entries, once a day; ``confirmed`` those that somebody said
    were planned when asked. ``closed`` (all days): nobody was there.
    """

    tasks: tuple[str, ...]
    logged: LoggedDays
    done: Bools
    confirmed: Bools
    closed: Bools

    @classmethod
    def of(cls, known: Records, as_of: date) -> TaskDays:
        """As known on that day."""
        logged, table = LoggedDays.of(known, as_of), "maintenance"
        printer, task, why, note = (
            known.codes(table, name) for name in ("printer", "task", "why", "note")
        )
        day, rows = known.day_numbers(table, "done_on"), known.count(table)
        is_planned = why.is_word("planned") & (day != NO_DAY)
        # Some rows at a time: numbers of all rows of a fleet's log would take more than the log.
        cuts = [slice(low, low + _AT_ONCE) for low in range(0, rows, _AT_ONCE)]
        times = np.zeros(len(task.words), dtype=np.int64)
        for cut in cuts:
            times += np.bincount(task.codes[cut][is_planned[cut]], minlength=len(times))
        tasks = sorted(map(str, task.words[times > 0]))
        done = np.zeros((len(tasks), logged.total), dtype=bool)
        confirmed = np.zeros_like(done)
        confirming = np.array([CONFIRMED_PLANNED in one for one in note.words], dtype=bool)
        names = pd.Index(logged.printers, dtype=object)
        for cut in cuts:
            planned = cut.start + np.flatnonzero(is_planned[cut])
            number = printer.take(planned).among(names)
            planned, number = planned[number >= 0], number[number >= 0].astype(np.int64)
            place, inside = logged.places(number, day[planned].astype(np.int64))
            planned, place = planned[inside], place[inside]
            what = task.take(planned).among(pd.Index(tasks))
            done[what, place] = True
            said = note.take(planned).marked(confirming)
            confirmed[what[said], place[said]] = True
        return cls(tuple(tasks), logged, done, confirmed, _closed(Closures.of(known), logged))

    def blocks(self) -> Iterator[TaskDays]:
        """The same for some printers at a time, in order: few enough days to stay in the cache."""
        begins, most = self.logged.begins, len(self.logged.printers)
        marks = np.arange(0, self.logged.total + _BLOCK_DAYS, _BLOCK_DAYS)
        cuts = np.unique(np.minimum(np.searchsorted(begins, marks), most))
        for low, high in pairwise(cuts.tolist()):
            days = slice(int(begins[low]), int(begins[high]))
            yield TaskDays(
                self.tasks,
                LoggedDays(
                    self.logged.printers[low:high],
                    self.logged.first[low:high],
                    begins[low : high + 1] - begins[low],
                ),
                self.done[:, days],
                self.confirmed[:, days],
                self.closed[days],
            )

    def done_at(self, task: str) -> Ints:
        """The places of that task's entries among all days, in order."""
        return np.flatnonzero(self.done[self.tasks.index(task)])


def _closed(closures: Closures, logged: LoggedDays) -> Bools:
    closed = np.zeros(logged.total, dtype=bool)
    begins, days, first = logged.begins, logged.days, logged.first
    for printers, calendar in closures.open_numbers(logged.printers).together():
        if not calendar.closed:
            continue
        since = int(first[printers].min())
        until = int((first + days)[printers].max())
        is_closed = np.diff(calendar.closed_before(np.arange(since, until + 1))) > 0
        for printer in printers.tolist():
            at = int(first[printer]) - since
            own = slice(int(begins[printer]), int(begins[printer + 1]))
            closed[own] = is_closed[at : at + int(days[printer])]
    return closed
