"""On which days was a task done on a printer? One sorted array of the whole log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tracker.workshop.columns.day_numbers import NO_DAY, day_number, day_of, rising
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class DaysDone:
    """``keys``: printer, task and day in one number, in rising order, each once; ``begins``: where
    the days of each printer and task begin, shape (printers x tasks + 1,). A printer and task have
    ``span`` days, from number ``first`` on."""

    printers: dict[str, int]
    tasks: dict[str, int]
    keys: NDArray[np.int64]
    begins: NDArray[np.int64]
    first: int
    span: int

    @classmethod
    def of(cls, known: Records) -> DaysDone:
        """Of the maintenance log of these records, whatever an action was done for."""
        return known.once(cls._sorted)

    @classmethod
    def _sorted(cls, known: Records) -> DaysDone:
        printer, task = (known.codes("maintenance", name) for name in ("printer", "task"))
        day = known.day_numbers("maintenance", "done_on")
        many = len(printer.words) * len(task.words)
        is_known = day != NO_DAY
        first = int(day[is_known].min()) if is_known.any() else 0
        span = int(day.max()) - first + 1 if is_known.any() else 1
        keys = printer.codes.astype(np.int64)
        keys *= len(task.words)
        keys += task.codes
        keys *= span
        keys += day
        keys -= first
        keys = keys if is_known.all() else keys[is_known]
        keys = rising(keys, many * span)
        return cls(
            {str(word): at for at, word in enumerate(printer.words)},
            {str(word): at for at, word in enumerate(task.words)},
            keys,
            np.searchsorted(keys, np.arange(many + 1, dtype=np.int64) * span),
            first,
            span,
        )

    def last(self, printer: str, task: str, until: date | None = None) -> date | None:
        """The last day, up to and with one where that is given; None when there is none."""
        begin, end = self._range(printer, task)
        if until is not None and begin < end:
            end = begin + self._place(begin, end, until)
        return self._day(end - 1) if begin < end else None

    def since(self, printer: str, task: str, first: date) -> list[date]:
        """The days from that one on, in order."""
        begin, end = self._range(printer, task)
        if begin < end:
            begin += self._place(begin, end, date.fromordinal(first.toordinal() - 1))
        return [self._day(at) for at in range(begin, end)]

    def _range(self, printer: str, task: str) -> tuple[int, int]:
        row, column = self.printers.get(printer), self.tasks.get(task)
        if row is None or column is None:
            return 0, 0
        at = row * len(self.tasks) + column
        return int(self.begins[at]), int(self.begins[at + 1])

    def _place(self, begin: int, end: int, day: date) -> int:
        """How many of these days lie before that one or on it?"""
        pair = int(self.keys[begin]) // self.span * self.span
        wanted = pair + day_number(day) - self.first
        return int(np.searchsorted(self.keys[begin:end], wanted, side="right"))

    def _day(self, at: int) -> date:
        return day_of(int(self.keys[at]) % self.span + self.first)
