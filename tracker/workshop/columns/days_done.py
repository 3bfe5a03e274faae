"""On which days was each task done on each printer from a day on, and when last before it?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracker.workshop.columns.day_numbers import NO_DAY, day_number, day_of, rising
from tracker.workshop.columns.sums import LAST_DONE, ByDay, LastDays
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class DaysDone:
    """``before``: the last days before day number ``first``. ``keys``: printer, task and day from
    ``first`` on in one number, in rising order, each once; a printer and task have ``span``.
    """

    before: LastDays
    keys: NDArray[np.int64]
    first: int
    span: int

    @classmethod
    def since(cls, known: Records, first: date) -> DaysDone:
        """Of the maintenance log of these records, whatever an action was done for."""
        return known.once(cls._sorted, day_number(first))

    @classmethod
    def _sorted(cls, known: Records, first: int) -> DaysDone:
        if known.sum_of("maintenance", ByDay("done_on")).newest < first:
            before = known.sum_of("maintenance", LAST_DONE)
            return cls(before, np.zeros(0, dtype=np.int64), first, 1)
        log = known.coded_table("maintenance")
        day = known.day_numbers("maintenance", "done_on")
        later = day >= first
        begins = int(later.argmax())
        # A log kept in order is cut in two, which copies nothing.
        in_order = bool(later[begins:].all())
        before = log.cut(slice(begins) if in_order else ~later).sum_of(LAST_DONE)
        rows = slice(begins, None) if in_order else later
        printer, task = (
            known.codes("maintenance", name).take(rows) for name in ("printer", "task")
        )
        ahead = day[rows].astype(np.int64) - first
        span = int(ahead.max(initial=0)) + 1
        keys = (printer.codes.astype(np.int64) * len(task.words) + task.codes) * span + ahead
        return cls(before, rising(keys, before.days.size * span), first, span)

    def pairs(self, printers: Sequence[str], task: str) -> NDArray[np.int64]:
        """The number of each printer and that task; -1 where one of them never occurs."""
        rows, columns = self._places
        column, many = columns.get(task), len(columns)
        found = [
            -1 if column is None or (row := rows.get(printer)) is None else row * many + column
            for printer in printers
        ]
        return np.array(found, dtype=np.int64)

    @cached_property
    def _places(self) -> tuple[dict[str, int], dict[str, int]]:
        """Where each printer and each task stands in ``before``."""
        rows, columns = (
            {str(word): at for at, word in enumerate(words)}
            for words in (self.before.printers, self.before.tasks)
        )
        return rows, columns

    def next_after(self, pairs: NDArray[np.int64], day: NDArray[np.int64]) -> NDArray[np.int64]:
        """The number of the first day after ``day`` on which each was done; NO_DAY: none."""
        ahead = np.clip(day - self.first, -1, self.span - 1)
        at = np.searchsorted(self.keys, pairs * self.span + ahead, side="right")
        found = np.append(self.keys, -1)[at]
        is_own = (found // self.span == pairs) & (found >= 0)
        return np.where(is_own, found % self.span + self.first, NO_DAY)

    def last_before(self, printer: str, task: str) -> date | None:
        """The last day before the first of these; None when there is none."""
        pair = int(self.pairs([printer], task)[0])
        day = NO_DAY if pair < 0 else int(self.before.days.flat[pair])
        return None if day == NO_DAY else day_of(day)
