"""A column of the log as whole numbers: what is counted again and again is counted on these.

Comparing and grouping a million words takes a hundred times as long as counting a million small
numbers. The columns of one version of the records are coded once (``Records.codes`` and
``Records.day_numbers``), and records as known on a day take their part of those.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from threading import RLock
from typing import Any, Protocol, TypeAlias, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.columns.day_numbers import day_numbers

Rows: TypeAlias = "slice | NDArray[np.bool_] | NDArray[np.integer[Any]]"
Summed = TypeVar("Summed")
_LARGEST = 2**62  # below what a whole number holds
_ROWS_AT_ONCE = 100_000


def smallest(count: int) -> type[np.signedinteger[Any]]:
    """The smallest whole numbers that tell so many words apart."""
    return np.int8 if count < 2**7 else np.int16 if count < 2**15 else np.int32


@dataclass(frozen=True, eq=False)
class Coded:
    """Row by row the place of its word among ``words``: all that occur, and maybe others.

    ``codes`` are as small as the number of words allows; whoever reckons with them widens them.
    """

    codes: NDArray[np.signedinteger[Any]]
    words: NDArray[Any]

    @classmethod
    def of(cls, column: pd.Series) -> Coded:
        cells = column.to_numpy()
        if len(cells) and cells.strides == (0,):  # one cell that stands in every row
            codes, words = pd.factorize(cells[:1])
            return cls(np.broadcast_to(codes.astype(np.int8), len(cells)), words)
        codes, words = pd.factorize(cells)
        return cls(codes.astype(smallest(len(words))), words)

    @classmethod
    def joined(cls, columns: Sequence[Coded]) -> Coded:
        """The rows of all, one column after the other."""
        places: dict[Any, int] = {}
        pieces = []
        for column in columns:
            own = [places.setdefault(word, len(places)) for word in column.words.tolist()]
            pieces.append(np.array(own, dtype=np.int32)[column.codes] if own else column.codes)
        words = np.empty(len(places), dtype=object)
        words[:] = list(places)
        return cls(np.concatenate(pieces).astype(smallest(len(places))), words)

    def take(self, rows: Rows) -> Coded:
        """Some of the rows."""
        return Coded(self.codes[rows], self.words)

    def decoded(self) -> NDArray[Any]:
        """The column's words, row by row."""
        return np.asarray(self.words[self.codes])

    def among(self, names: pd.Index) -> NDArray[np.signedinteger[Any]]:
        """Row by row the place of its word among these names; -1 where it is none of them."""
        return self.places(names)[self.codes] if len(self.words) else self.codes

    def places(self, names: pd.Index) -> NDArray[np.signedinteger[Any]]:
        """The place of each of ``words`` among these names; -1 where it is none of them."""
        found: NDArray[np.signedinteger[Any]] = names.get_indexer(pd.Index(self.words))
        return found.astype(smallest(len(names)))

    def is_word(self, wanted: str) -> NDArray[np.bool_]:
        """True in each row that holds this word."""
        at = np.flatnonzero(self.words == wanted)
        # A wider number would have all of them made wide first.
        return self.codes == self.codes.dtype.type(at[0] if len(at) else -1)

    def marked(self, words: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """True in each row whose word is marked among ``words``."""
        return words[self.codes] if words.any() else np.zeros(len(self.codes), dtype=bool)

    def rows_by_word(self) -> dict[str, NDArray[np.int64]]:
        """The rows of each word, in order."""
        order = np.argsort(self.codes, kind="stable")
        ends = np.cumsum(np.bincount(self.codes, minlength=len(self.words)))
        rows = np.split(order, ends[:-1])
        return {str(word): own for word, own in zip(self.words, rows, strict=False)}

    def counts(self) -> dict[str, int]:
        """How often each word that occurs does, in the order of ``words``."""
        counts = np.bincount(self.codes, minlength=len(self.words)).tolist()
        return {str(word): many for word, many in zip(self.words, counts, strict=False) if many}

    def occurring(self) -> list[str]:
        """The words that occur, in the order of ``words``."""
        there = np.zeros(len(self.words), dtype=bool)
        there[self.codes] = True
        return [str(word) for word in self.words[there]]


Held: TypeAlias = "Coded | NDArray[Any]"  # words coded, days as day numbers, all else as in a frame


class CodedTable:
    """The columns of one table, each worked out at the first time of asking, and so is the frame of
    them all: of a long log most answers ask for a few columns or sums, and the words of all rows
    take ten times the room of their codes.
    """

    def __init__(
        self,
        frame: pd.DataFrame | None,
        *,
        words: Mapping[str, Coded] | None = None,
        days: Mapping[str, NDArray[np.int32]] | None = None,
    ) -> None:
        """``words`` and ``days``: columns already coded; without a ``frame`` it is made when it is
        asked for (``_make_frame``)."""
        self._frame = frame
        self._words = dict(words or {})
        self._days = dict(days or {})
        self._sums: dict[Sum[Any], Any] = {}
        self._lock = RLock()  # two who ask at once share one frame

    def __len__(self) -> int:
        return len(self.frame)

    @property
    def frame(self) -> pd.DataFrame:
        """All columns, as ``Records`` hands them out."""
        with self._lock:
            if self._frame is None:
                self._frame = self._make_frame()
            return self._frame

    @property
    def index(self) -> pd.Index:
        """The rows' numbers."""
        return self.frame.index

    def has(self, column: str) -> bool:
        """Is there such a column? Frames may have more than the contract names."""
        return column in self.frame

    def cells(self, column: str) -> NDArray[Any]:
        """A column as it stands in the frame."""
        return np.asarray(self.frame[column].to_numpy())

    def cut(self, rows: Rows) -> CodedTable:
        """Some of the rows."""
        return _Part(self, rows)

    def rows_named(self, labels: pd.Index) -> CodedTable:
        """The rows with these numbers, as far as they are there, in their order."""
        return self.cut(np.flatnonzero(self.index.isin(labels)))

    def of_day(self, column: str, day: int) -> list[CodedTable]:
        """The rows of that day number by a column of days or moments, in one table or several."""
        return [self.cut(np.flatnonzero(self.day_numbers(column) == day))]

    def labelled(self, index: pd.Index) -> CodedTable:
        """The same rows under other labels."""
        return _Part(self, slice(None), index)

    def is_coded(self, column: str) -> bool:
        """True for a column of words that need not be coded any more."""
        return column in self._words

    def codes(self, column: str) -> Coded:
        """A column of words."""
        with self._lock:
            if column not in self._words:
                self._words[column] = self._code(column)
            return self._words[column]

    def day_numbers(self, column: str) -> NDArray[np.int32]:
        """A column of days."""
        with self._lock:
            if column not in self._days:
                self._days[column] = self._number(column)
            return self._days[column]

    def sum_of(self, asked: Sum[Summed]) -> Summed:
        """What is counted of all rows, at the first time of asking."""
        with self._lock:
            if asked not in self._sums:
                self._sums[asked] = self._sum(asked)
            found: Summed = self._sums[asked]
            return found

    def _make_frame(self) -> pd.DataFrame:
        raise NotImplementedError

    def _code(self, column: str) -> Coded:
        return Coded.of(self.frame[column])

    def _number(self, column: str) -> NDArray[np.int32]:
        return day_numbers(self.frame[column])

    def _sum(self, asked: Sum[Any]) -> Any:
        return asked.of(self)


class _Part(CodedTable):
    """Some rows of another, or all of them under other labels."""

    def __init__(self, whole: CodedTable, rows: Rows, index: pd.Index | None = None) -> None:
        super().__init__(None)
        self._whole, self._rows, self._labels = whole, rows, index

    def __len__(self) -> int:
        if isinstance(self._rows, slice):
            return len(range(*self._rows.indices(len(self._whole))))
        is_mask = self._rows.dtype == bool
        return int(np.count_nonzero(self._rows)) if is_mask else len(self._rows)

    @property
    def index(self) -> pd.Index:
        if self._labels is not None:
            return self._labels
        return self._whole.index[self._rows]

    def has(self, column: str) -> bool:
        return self._whole.has(column)

    def cut(self, rows: Rows) -> CodedTable:
        # Some rows of some are some of the whole, which may know how to read but these.
        if self._labels is not None or isinstance(rows, slice) or rows.dtype == bool:
            return super().cut(rows)
        if isinstance(self._rows, slice):
            begin, _, step = self._rows.indices(len(self._whole))
            return self._whole.cut(begin + step * rows)
        here = np.flatnonzero(self._rows) if self._rows.dtype == bool else self._rows
        return self._whole.cut(here[rows])

    def cells(self, column: str) -> NDArray[Any]:
        cells: NDArray[Any] = self._whole.cells(column)[self._rows]
        return cells

    def is_coded(self, column: str) -> bool:
        return super().is_coded(column) or self._whole.is_coded(column)

    def _make_frame(self) -> pd.DataFrame:
        frame = self._whole.frame
        if self._labels is not None:
            return frame.set_axis(self._labels, axis=0, copy=False)
        if isinstance(self._rows, slice) or self._rows.dtype != bool:
            return frame.iloc[self._rows]  # a slice copies nothing
        return frame[self._rows]

    def _code(self, column: str) -> Coded:
        return self._whole.codes(column).take(self._rows)

    def _number(self, column: str) -> NDArray[np.int32]:
        days: NDArray[np.int32] = self._whole.day_numbers(column)[self._rows]
        return days

    def _sum(self, asked: Sum[Any]) -> Any:
        return self._whole.sum_of(asked) if self._labels is not None else asked.of(self)


class Sum(Protocol[Summed]):
    """Something counted over all rows of a table (`sums`)."""

    def of(self, table: CodedTable) -> Summed:
        """Counted row by row."""
        ...

    def moved(self, known: Summed, gone: CodedTable, come: CodedTable, now: CodedTable) -> Summed:
        """The same after rows were taken out and others put in, from what it was before."""
        ...

    def of_plain(self, told: Any) -> Summed:
        """What ``plain`` of it told."""
        ...

    def __hash__(self) -> int: ...


def some_rows(count: int) -> Iterator[slice]:
    """All rows, at least none, so few at a time that what is worked out of them stays in the cache:
    memory touched for the first time costs more than the sums.
    """
    for first in range(0, max(count, 1), _ROWS_AT_ONCE):
        yield slice(first, first + _ROWS_AT_ONCE)


def joined(tables: Sequence[CodedTable]) -> CodedTable:
    """The rows of all, one table after the other; what is coded in all of them stays so."""
    if len(tables) == 1:
        return tables[0]
    frame = pd.concat([table.frame for table in tables])
    coded = [name for name in frame.columns if all(table.is_coded(name) for table in tables)]
    words = {name: Coded.joined([table.codes(name) for table in tables]) for name in coded}
    return CodedTable(frame, words=words)


def alike(tables: Sequence[CodedTable], names: Iterable[str]) -> NDArray[np.int64]:
    """A number for each row, one table after the other: equal where all named columns are equal.

    They are as small as there are different rows.
    """
    numbers = np.zeros(sum(len(table.frame) for table in tables), dtype=np.int64)
    most = 1
    for name in names:
        column, count = _numbered(tables, name)
        if count > 1:
            if most * count > _LARGEST:
                numbers, most = _small(numbers)
            numbers = numbers * count + column
            most *= count
    return _small(numbers)[0]


def occurrence(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """How many equal numbers stand before each."""
    return np.asarray(pd.Series(numbers).groupby(numbers).cumcount())


def _small(numbers: NDArray[np.int64]) -> tuple[NDArray[np.int64], int]:
    codes, different = pd.factorize(numbers)
    return codes.astype(np.int64, copy=False), max(1, len(different))


def _numbered(tables: Sequence[CodedTable], name: str) -> tuple[NDArray[Any], int]:
    """A column as numbers from 0, and how many there may be."""
    cells = [table.frame[name].to_numpy() for table in tables]
    if cells[0].dtype == object:
        words = Coded.joined([table.codes(name) for table in tables])
        return words.codes, len(words.words)
    if all(column.strides == (0,) for column in cells):  # one cell that stands in every row
        cells = [column[:1] for column in cells if len(column)]
        if len(pd.unique(np.concatenate(cells))) == 1:
            return np.array([]), 1
        cells = [table.frame[name].to_numpy() for table in tables]
    codes, different = pd.factorize(np.concatenate(cells), use_na_sentinel=False)
    return codes, len(different)
