"""What is counted over all rows of a long log: asked at every start, so kept beside its columns.

Each sum is worked out of the columns at the first time of asking, moved by the rows that come and
go (``moved``), and laid down as plain numbers and words (``plain``, ``of_plain``).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.columns.coded import Coded, CodedTable, Sum
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.declarations import Table


@dataclass(frozen=True, eq=False)
class RowsOfDays:
    """How many rows each day has: ``counts`` from day number ``first`` on."""

    first: int
    counts: NDArray[np.int64]

    @property
    def days(self) -> NDArray[np.int64]:
        """The days that have any, in rising order."""
        return np.flatnonzero(self.counts) + self.first

    @property
    def newest(self) -> int:
        """The last day that has any; NO_DAY where none has."""
        days = np.flatnonzero(self.counts)
        return int(days[-1]) + self.first if len(days) else NO_DAY

    @property
    def oldest(self) -> int | None:
        """The first day that has any; None where none has."""
        days = np.flatnonzero(self.counts)
        return int(days[0]) + self.first if len(days) else None

    def since(self, day: int) -> RowsOfDays:
        """Of that day and all later ones."""
        begin = max(day - self.first, 0)
        return RowsOfDays(self.first + begin, self.counts[begin:])

    def plain(self) -> Any:
        at = np.flatnonzero(self.counts)  # a slip of the pen may lie centuries away
        return [(at + self.first).tolist(), self.counts[at].tolist()]


@dataclass(frozen=True)
class ByDay:
    """How many rows does each day have, by that column of days?"""

    column: str

    def of(self, table: CodedTable) -> RowsOfDays:
        days = table.day_numbers(self.column)
        days = days[days != NO_DAY]
        if not len(days):
            return RowsOfDays(0, np.zeros(0, dtype=np.int64))
        first = int(days.min())
        return RowsOfDays(first, np.bincount(days - first))

    def moved(
        self, known: RowsOfDays, gone: CodedTable, come: CodedTable, now: CodedTable
    ) -> RowsOfDays:
        del now
        changes = [(known, 1), (self.of(gone), -1), (self.of(come), 1)]
        used = [(rows, sign) for rows, sign in changes if len(rows.counts)]
        if not used:
            return known
        first = min(rows.first for rows, _ in used)
        end = max(rows.first + len(rows.counts) for rows, _ in used)
        counts = np.zeros(end - first, dtype=np.int64)
        for rows, sign in used:
            counts[rows.first - first :][: len(rows.counts)] += sign * rows.counts
        return RowsOfDays(first, counts)

    def of_plain(self, told: Any) -> RowsOfDays:
        days, counts = map(_numbers, told)
        if not len(days):
            return RowsOfDays(0, days)
        dense = np.zeros(int(days[-1] - days[0]) + 1, dtype=np.int64)
        dense[days - days[0]] = counts
        return RowsOfDays(int(days[0]), dense)


@dataclass(frozen=True, eq=False)
class LastDays:
    """The last day of each printer (rows) and task (columns); NO_DAY: never."""

    printers: NDArray[Any]
    tasks: NDArray[Any]
    days: NDArray[np.int64]

    def of(self, printers: Iterable[str], tasks: Iterable[str]) -> NDArray[np.int64]:
        """Of these printers and tasks, in this order."""
        row, column = (
            _places(known, asked)
            for known, asked in ((self.printers, printers), (self.tasks, tasks))
        )
        found = np.full((len(row), len(column)), NO_DAY, dtype=np.int64)
        found[np.ix_(row >= 0, column >= 0)] = self.days[np.ix_(row[row >= 0], column[column >= 0])]
        return found

    def plain(self) -> Any:
        return [self.printers.tolist(), self.tasks.tolist(), self.days.ravel().tolist()]


@dataclass(frozen=True)
class LastDone:
    """When was each task done last on each printer, whatever for?"""

    def of(self, table: CodedTable) -> LastDays:
        printer, task = table.codes("printer"), table.codes("task")
        day = table.day_numbers("done_on")
        many = len(printer.words), len(task.words)
        cell = printer.codes.astype(np.int64) * many[1] + task.codes
        # A log kept in order of its days is put down as it stands: of equal cells the last one
        # stays. Sorting comes to the same.
        if not bool((day[1:] >= day[:-1]).all()):
            order = np.argsort(day, kind="stable")
            cell, day = cell[order], day[order]
        days = np.full(many[0] * many[1], NO_DAY, dtype=np.int64)
        days[cell] = day
        return LastDays(printer.words, task.words, days.reshape(many))

    def moved(
        self, known: LastDays, gone: CodedTable, come: CodedTable, now: CodedTable
    ) -> LastDays:
        new = self.of(come)
        printers, tasks = _united(known.printers, new.printers), _united(known.tasks, new.tasks)
        days = np.maximum(known.of(printers, tasks), new.of(printers, tasks))
        left = self.of(gone).of(printers, tasks)
        # A pair that lost its last day is looked up anew among the rows that are there.
        asked = np.argwhere((left != NO_DAY) & (left >= known.of(printers, tasks)))
        if len(asked):
            printer, task = now.codes("printer"), now.codes("task")
            day = now.day_numbers("done_on")
            for row, column in asked:
                here = printer.is_word(printers[row]) & task.is_word(tasks[column])
                days[row, column] = day[here].max(initial=NO_DAY)
        return LastDays(printers, tasks, days)

    def of_plain(self, told: Any) -> LastDays:
        printers, tasks, days = told
        shape = len(printers), len(tasks)
        return LastDays(_words(printers), _words(tasks), _numbers(days).reshape(shape))


@dataclass(frozen=True, eq=False)
class Spread:
    """How often each number was written down: ``word``, ``number`` and ``count`` side by side."""

    words: NDArray[Any]
    word: NDArray[np.int64]
    number: NDArray[np.float64]
    count: NDArray[np.int64]

    def medians(self, *, least: int) -> dict[str, float]:
        """The median of each word that has so many numbers."""
        found = {}
        for at, name in enumerate(self.words):
            own = self.word == at
            order = np.argsort(self.number[own])
            number, until = self.number[own][order], np.cumsum(self.count[own][order])
            many = int(until[-1]) if len(until) else 0
            if many >= max(least, 1):
                middle = np.searchsorted(until, [(many - 1) // 2, many // 2], side="right")
                found[str(name)] = float(number[middle].mean())
        return found

    def plain(self) -> Any:
        columns = self.words, self.word, self.number, self.count
        return [column.tolist() for column in columns]


@dataclass(frozen=True)
class Numbers:
    """How often was each number written down, by the words of another column?"""

    column: str
    by: str

    def of(self, table: CodedTable) -> Spread:
        coded, cells = table.codes(self.by), table.cells(self.column)
        noted = ~np.isnan(cells)
        number, different = pd.factorize(cells[noted])
        pair = coded.codes[noted].astype(np.int64) * max(len(different), 1) + number
        counts = np.bincount(pair, minlength=1)
        at = np.flatnonzero(counts)
        word, place = np.divmod(at, max(len(different), 1))
        return Spread(coded.words, word, np.asarray(different, dtype=float)[place], counts[at])

    def moved(self, known: Spread, gone: CodedTable, come: CodedTable, now: CodedTable) -> Spread:
        del now
        pieces = [(known, 1), (self.of(gone), -1), (self.of(come), 1)]
        coded = Coded.joined([Coded(spread.word, spread.words) for spread, _ in pieces])
        counted = pd.DataFrame(
            {
                "word": coded.codes.astype(np.int64),
                "number": np.concatenate([spread.number for spread, _ in pieces]),
                "count": np.concatenate([sign * spread.count for spread, sign in pieces]),
            }
        )
        sums = counted.groupby(["word", "number"], sort=True)["count"].sum()
        sums = sums[sums > 0].reset_index()
        word, number, count = (sums[name].to_numpy() for name in ("word", "number", "count"))
        return Spread(coded.words, word, number, count)

    def of_plain(self, told: Any) -> Spread:
        words, word, number, count = told
        return Spread(_words(words), _numbers(word), np.array(number, dtype=float), _numbers(count))


LAST_DONE = LastDone()
MINUTES = Numbers("minutes", by="task")


def sums_kept(table: Table) -> tuple[Sum[Any], ...]:
    """The sums that are kept beside the columns of a table, always in this order."""
    if table.happened_on is None:
        return ()
    days = tuple(ByDay(column.name) for column in table.columns if column.kind == "day")
    return (*days, LAST_DONE, MINUTES) if table.name == "maintenance" else days


def _places(words: NDArray[Any], asked: Iterable[str]) -> NDArray[np.int64]:
    """Where each stands among the words; -1 where it does not."""
    known = {word: at for at, word in enumerate(words.tolist())}
    return _numbers([known.get(word, -1) for word in asked])


def _united(words: NDArray[Any], others: NDArray[Any]) -> NDArray[Any]:
    return _words(list(dict.fromkeys([*words.tolist(), *others.tolist()])))


def _words(told: list[str]) -> NDArray[Any]:
    words = np.empty(len(told), dtype=object)
    words[:] = told
    return words


def _numbers(told: list[int]) -> NDArray[np.int64]:
    return np.array(told, dtype=np.int64)
