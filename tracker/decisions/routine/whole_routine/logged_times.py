"""How often was each task done by plan lately, as the log holds it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.lives.exposure.logged_window import log_began
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.day_numbers import day_number, rising, whole_days
from tracker.workshop.records import Records

LOOK_BACK_DAYS = 180
# A pace is read off so many occasions at least. One kept but for one time in five is kept, and for
# two times at least, which may fall just before the half year or after it (common practice, no
# source).
_ENOUGH, _KEPT, _AT_ENDS = 5, 0.2, 2.0


@dataclass(frozen=True, eq=False)
class LoggedTimes:
    """Planned actions of the last half year, those of one day counted once.

    ``first`` day looked at, ``began``: the first of each printer, ``today`` the day after the last.
    ``done``: every (printer, task, day) as one number, in rising order.
    """

    printers: tuple[str, ...]
    tasks: tuple[str, ...]
    first: int
    today: int
    began: Ints
    open_numbers: OpenNumbers
    done: Ints

    @classmethod
    def of(cls, known: Records, as_of: date, printers: tuple[str, ...]) -> LoggedTimes:
        """On these printers; ``known`` as known on that day."""
        today = day_number(as_of) + 1
        started = known.printers.drop_duplicates("printer", keep="last").set_index("printer")
        first = min(max(today - LOOK_BACK_DAYS, log_began(known)), today)
        began = np.maximum(
            whole_days(started["started_on"].reindex(printers), missing=first), first
        )
        task, day = known.codes("maintenance", "task"), known.day_numbers("maintenance", "done_on")
        printer = known.codes("maintenance", "printer").among(pd.Index(printers))
        planned = known.codes("maintenance", "why").is_word("planned")
        rows = np.flatnonzero(planned & (day >= first) & (day < today) & (printer >= 0))
        rows = rows[day[rows] >= began[printer[rows]]]
        span, many = today - first, len(task.words)
        pair = printer[rows].astype(np.int64) * many + task.codes[rows]
        done = rising(pair * span + (day[rows] - first), len(printers) * many * span)
        numbers = Closures.of(known).open_numbers(printers)
        return cls(printers, tuple(map(str, task.words)), first, today, began, numbers, done)

    @cached_property
    def _times(self) -> Ints:
        """Of each printer and task: (printers, tasks)."""
        shape = len(self.printers), len(self.tasks)
        times = np.bincount(self.done // max(self.today - self.first, 1), minlength=np.prod(shape))
        return times.reshape(shape)

    @cached_property
    def _on_all(self) -> Ints:
        """Of each task, on all printers together."""
        return np.asarray(self._times.sum(axis=0))

    @cached_property
    def _open_days(self) -> Ints:
        """Of each printer since it began."""
        days = self.today - self.began
        for rows, calendar in self.open_numbers.together():
            days[rows] = calendar.number(np.array([self.today])) - calendar.number(self.began[rows])
        return np.asarray(days)

    @cached_property
    def per_day(self) -> dict[tuple[str, str], float]:
        """Times per open day of each printer and task, of those done at all."""
        return {
            (self.printers[at], self.tasks[which]): float(self._times[at, which])
            / max(int(self._open_days[at]), 1)
            for at, which in np.argwhere(self._times)
        }

    def instead_of(self, meant: float, task: str, printer: str, since: date | None) -> float | None:
        """How often was it really done per open day, where ``meant`` times since a day were? None
        where the log does not hold enough to say so, or says about the same.

        It holds enough where that was to be done five times meanwhile, and where such a log is
        kept: something of the printer and, on all printers together, the task five times; or
        another one so often and this one never, which is then taken not to be done.
        """
        at, which = self._place[printer], self._task.get(task)
        if not self._times[at].any():
            return None
        times = 0 if which is None else int(self._times[at, which])
        days = int(self._open_days[at])
        if since is not None and day_number(since) > self.began[at]:
            times, days = self._since(at, which, day_number(since))
        wanted = meant * days
        if wanted < _ENOUGH or not self._is_kept(which):
            return None
        return None if abs(times - wanted) <= max(_AT_ENDS, _KEPT * wanted) else times / days

    def _is_kept(self, which: int | None) -> bool:
        """Does the log, all printers together, say how often that task is done?"""
        own = 0 if which is None else self._on_all[which]
        return bool(own >= _ENOUGH or (not own and self._on_all.max() >= _ENOUGH))

    def _since(self, at: int, which: int | None, day: int) -> tuple[int, int]:
        """Times and open days from that day on."""
        began, today = self.open_numbers.of(at).number(np.array([day, self.today]))
        if which is None:
            return 0, int(today - began)
        span, pair = self.today - self.first, at * len(self.tasks) + which
        ends = pair * span + np.array([day - self.first, span])
        first, after = np.searchsorted(self.done, ends)
        return int(after - first), int(today - began)

    @cached_property
    def _place(self) -> dict[str, int]:
        return {name: at for at, name in enumerate(self.printers)}

    @cached_property
    def _task(self) -> dict[str, int]:
        return {name: at for at, name in enumerate(self.tasks)}
