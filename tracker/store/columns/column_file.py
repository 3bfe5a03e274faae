"""The columns of all tables in one file beside the database: one is read when it is asked for.

The file holds nothing that the database does not, and is believed only where the database proves
that it grew out of the state in the ``Stamp`` (`since`). It is one ZIP file, not packed, whose
members each have the checksum that ZIP files have, and is written whole or not at all: its contents
first of all that is read, then what a few answers need most (`columns/sums`), the words of each
column and its cells, as the smallest whole numbers that tell them apart.
"""

from __future__ import annotations

import json
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.store.columns.row_numbers import RowNumbers
from tracker.store.columns.table_columns import HeldTable, held_column
from tracker.store.safety.copies import made_beside, put_in_place
from tracker.workshop.columns.coded import Coded, CodedTable, Held, Sum, smallest
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.columns.sums import sums_kept
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records

_FORMAT = 2  # another number for any other way of laying columns down
_CONTENTS = "contents.json"
SUMS = "sums"
_CONTRACT = {table.name: [f"{c.name} {c.kind}" for c in table.columns] for table in TABLES}
_NO_DAY_SHORT = np.iinfo(np.int16).min  # where a day is missing among small numbers
_MOST_DIFFERENT = 2**15 - 1  # numbers that are laid down as places among those that occur
_TRIED_ROWS = 100_000  # that show whether a column has more
_DAYS_AT_ONCE = 100_000

Again = Callable[[str], CodedTable]


@dataclass(frozen=True)
class Stamp:
    """Which state of which database: its generation, its next change, the digest of its rows."""

    generation: int
    next_batch: int
    digest: int


def columns_file(database: Path) -> Path:
    """Where the columns of a database file are."""
    return database.with_name(f"{database.name}-columns")


# -- written


def write_columns(path: Path, stamp: Stamp, records: Records) -> None:
    """Writes the columns of these records, of that state; for their owner alone, as the database.

    Raises OSError where it cannot be written; what was there before is there still.
    """
    with made_beside(path) as making:
        with zipfile.ZipFile(making, "w") as archive:
            held = {table.name: _write_table(archive, table, records) for table in TABLES}
            contents = {"format": _FORMAT, "contract": _CONTRACT, "held": held}
            archive.writestr(_CONTENTS, json.dumps({**contents, "stamp": asdict(stamp)}))
        put_in_place(making, path)


def _write_table(archive: zipfile.ZipFile, table: Table, records: Records) -> dict[str, object]:
    """Returns which rows are held of it, and which columns in which numbers."""
    coded = records.coded_table(table.name)
    of = coded.numbers if isinstance(coded, HeldTable) else RowNumbers.of_index(coded.index)
    sums = [coded.sum_of(asked).plain() for asked in sums_kept(table)]
    _write_words(archive, f"{table.name}/{SUMS}", sums)
    columns = {}
    for column in table.columns:
        held = held_column(coded, column)
        if held is None:
            continue
        name = f"{table.name}/{column.name}"
        if isinstance(held, Coded):
            _write_words(archive, name, held.words.tolist())
            columns[column.name] = _write(archive, name, held.codes)
        elif column.kind == "day":
            columns[column.name] = _write(archive, name, _short_days(held))
        else:
            columns[column.name] = _write_numbers(archive, name, held)
    return {"firsts": of.firsts.tolist(), "counts": of.counts.tolist(), "columns": columns}


def _write_words(archive: zipfile.ZipFile, name: str, words: list[Any]) -> None:
    archive.writestr(f"{name}.json", json.dumps(words))


def _write(archive: zipfile.ZipFile, name: str, cells: NDArray[Any]) -> list[str]:
    with archive.open(name, "w", force_zip64=True) as member:
        member.write(np.ascontiguousarray(cells).view(np.uint8).data)
    return [cells.dtype.str]


def _write_numbers(archive: zipfile.ZipFile, name: str, cells: NDArray[Any]) -> list[str]:
    """Minutes or prices are a few different numbers, told by their places among these."""
    bits = cells.view(np.int64)  # so that no zero is taken for another one
    if len(pd.unique(bits[:_TRIED_ROWS])) <= _MOST_DIFFERENT:
        codes, different = pd.factorize(bits)
        if len(different) <= min(_MOST_DIFFERENT, len(cells) // 4):
            _write(archive, f"{name}/numbers", different)
            return [cells.dtype.str, *_write(archive, name, codes.astype(smallest(len(different))))]
    return _write(archive, name, cells)


def _short_days(days: NDArray[np.int32]) -> NDArray[Any]:
    there = days != NO_DAY
    least, most = (int(end(days[there])) if there.any() else 0 for end in (np.min, np.max))
    if not _NO_DAY_SHORT < least <= most <= np.iinfo(np.int16).max:
        return days
    return np.where(there, days, _NO_DAY_SHORT).astype(np.int16)


# -- read

# Whatever is wrong with the file, the database is read in its place.
_FLAWS = (
    *(OSError, EOFError, zipfile.BadZipFile, zlib.error, struct.error, ValueError, SyntaxError),
    *(KeyError, TypeError, AttributeError, RuntimeError, OverflowError, MemoryError, IndexError),
)


class ColumnFile:
    """A file of columns that this program wrote whole, of the state ``stamp``, open for reading.

    Another one that takes its name leaves it as it is for whoever has it open.
    """

    def __init__(self, path: Path) -> None:
        self._archive = zipfile.ZipFile(path)
        contents: dict[str, Any] = json.loads(self._archive.read(_CONTENTS))
        if contents["format"] != _FORMAT or contents["contract"] != _CONTRACT:
            raise ValueError("written by another program")
        self.stamp = Stamp(**contents["stamp"])
        self._held: Mapping[str, Any] = contents["held"]

    @classmethod
    def open(cls, path: Path) -> ColumnFile | None:
        """None where there is none that this program wrote whole."""
        try:
            return cls(path)
        except _FLAWS:
            return None

    def tables(self, again: Again) -> dict[str, CodedTable] | None:
        """Every table; None where the file does not tell its rows.

        ``again`` reads a table as it was in this state some other way: it is asked for one of which
        a column turns out not to be whole.
        """
        try:
            return {
                name: _StoredTable(self, TABLE_BY_NAME[name], told, again)
                for name, told in self._held.items()
            }
        except _FLAWS:
            return None

    def sums(self, table: str) -> list[Any]:
        """The sums of a table, in the order of ``sums_kept``."""
        told: list[Any] = json.loads(self._archive.read(f"{table}/{SUMS}.json"))
        return told

    def column(self, table: str, column: str, count: int) -> Held | None:
        """A column of so many rows, as it was held; None where it holds nothing."""
        told, name = self._held[table]["columns"].get(column), f"{table}/{column}"
        if told is None:
            return None
        of = TABLE_BY_NAME[table].column(column)
        if of.kind == "day" and np.dtype(told[-1]) == np.int16:
            return self._days(name, count)
        cells = self._cells(name, told[-1])
        if len(cells) != count:
            raise ValueError("columns of different lengths")
        if len(told) > 1:
            return self._cells(f"{name}/numbers", told[0])[cells]
        if not of.is_text:
            return cells
        words = np.array(json.loads(self._archive.read(f"{name}.json")), dtype=object)
        if len(cells) and not 0 <= int(cells.min()) <= int(cells.max()) < len(words):
            raise ValueError("a word that is not there")
        return Coded(cells, words)

    def _cells(self, name: str, dtype: str) -> NDArray[Any]:
        return np.frombuffer(self._archive.read(name), dtype=np.dtype(dtype))

    def _days(self, name: str, count: int) -> NDArray[np.int32]:
        """Days that are laid down short, made wide some at a time: memory touched costs."""
        days, filled = np.empty(count, dtype=np.int32), 0
        with self._archive.open(name) as member:
            while read := member.read(2 * _DAYS_AT_ONCE):
                short = np.frombuffer(read, dtype=np.int16)
                wide = short.astype(np.int32)
                wide[short == _NO_DAY_SHORT] = NO_DAY
                days[filled : filled + len(wide)] = wide  # more than there are do not fit
                filled += len(wide)
        if filled != count:
            raise ValueError("columns of different lengths")
        return days


class _StoredTable(HeldTable):
    """A table whose columns are read from the file, each at the first time of asking."""

    def __init__(
        self, file: ColumnFile, table: Table, told: Mapping[str, Any], again: Again
    ) -> None:
        self._numbers = RowNumbers.of_runs(told["firsts"], told["counts"])
        super().__init__(table, len(self._numbers))
        self._file, self._again = file, again
        self._instead: CodedTable | None = None

    @property
    def numbers(self) -> RowNumbers:
        return self._numbers

    def fetch(self, column: str) -> Held | None:
        if self._instead is None:
            try:
                return self._file.column(self.table.name, column, len(self))
            except _FLAWS:
                self._instead = self._again(self.table.name)
        return held_column(self._instead, self.table.column(column))

    def _sum(self, asked: Sum[Any]) -> Any:
        kept = sums_kept(self.table)
        if asked not in kept:
            return asked.of(self)
        try:
            for one, told in zip(kept, self._file.sums(self.table.name), strict=True):
                self._sums[one] = one.of_plain(told)
        except _FLAWS:
            return asked.of(self)
        return self._sums[asked]
