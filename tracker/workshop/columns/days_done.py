"""On which days was a task done on a printer? One sorted array of the whole log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tracker.workshop.columns.coded import NO_DAY
from tracker.workshop.records import Records

_DAY_BITS = 20  # days since 1970 stay far below 2**20, also by their sign
_FIRST = 1 << (_DAY_BITS - 1)  # the number of 1970-01-01, so that earlier days are above 0 too
_EPOCH = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, eq=False)
class DaysDone:
    """``keys``: printer, task and day in one number, in rising order, each once; ``begins``: where
    the days of each printer and task begin, shape (printers x tasks + 1,)."""

    printers: dict[str, int]
    tasks: dict[str, int]
    keys: NDArray[np.int64]
    begins: NDArray[np.int64]

    @classmethod
    def of(cls, known: Records) -> DaysDone:
        """Of the maintenance log of these records, whatever an action was done for."""
        return known.once(cls._sorted)

    @classmethod
    def _sorted(cls, known: Records) -> DaysDone:
        printer, task = (known.codes("maintenance", name) for name in ("printer", "task"))
        day = known.day_numbers("maintenance", "done_on")
        many = len(printer.words) * len(task.words)
        keys = (printer.codes.astype(np.int64) * len(task.words) + task.codes) << _DAY_BITS
        keys += day
        keys += _FIRST
        keys = keys[day != NO_DAY] if len(day) and day.min() == NO_DAY else keys
        keys.sort()
        keys = keys[np.append(True, keys[1:] != keys[:-1])[: len(keys)]]
        return cls(
            {str(word): at for at, word in enumerate(printer.words)},
            {str(word): at for at, word in enumerate(task.words)},
            keys,
            np.searchsorted(keys, np.arange(many + 1, dtype=np.int64) << _DAY_BITS),
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
        pair = int(self.keys[begin]) >> _DAY_BITS << _DAY_BITS
        wanted = pair + day.toordinal() - _EPOCH + _FIRST
        return int(np.searchsorted(self.keys[begin:end], wanted, side="right"))

    def _day(self, at: int) -> date:
        number = int(self.keys[at]) & ((1 << _DAY_BITS) - 1)
        return date.fromordinal(number - _FIRST + _EPOCH)
