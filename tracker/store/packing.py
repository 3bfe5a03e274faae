"""Between what a person reads and what the database keeps.

The database keeps days as whole days since 1970-01-01, moments as whole seconds since then, money
as whole cents, whole numbers and other numbers as they are, and text as text ("" when missing).
A missing day, moment or number is NULL (None here). *Packed* means in that form.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import cache
from typing import TypeVar

import numpy as np
import pandas as pd

from tracker.errors import LoadRefused, RecordError
from tracker.language import _
from tracker.store.keepable import FIRST_YEAR, LARGEST, LAST_YEAR, refusal_of, unkeepable
from tracker.workshop.columns.coded import Coded, CodedTable
from tracker.workshop.contract import TABLES
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import Records, empty_frame, shape_frame
from tracker.workshop.refusal import nearest_word, written

Packed = int | float | str | None
Row = dict[str, Packed]
EMPTY: tuple[Packed, ...] = (None, "")  # what a cell without a value is, packed

_When = TypeVar("_When", date, datetime)
# Stands for "missing" while whole numbers travel through numpy, which has no missing integer.
_MISSING = np.iinfo(np.int64).min


def blank(column: Column) -> Packed:
    """What a missing value of that column is in the database."""
    return "" if column.kind in ("text", "choice") else None


def pack_row(table: Table, values: Mapping[str, object]) -> Row:
    """The values of one record as the database keeps them; columns not given are left out.

    Days may be given as ``date``, ``datetime`` or ISO text, numbers as numbers, a missing value
    as None, NaN, NaT or "". Raises RecordError for a column the table does not have and for a
    value that cannot be one of its column.

    >>> from tracker.workshop.contract import FITTINGS
    >>> pack_row(FITTINGS, {"fitted_on": date(1970, 1, 11), "unit_cost": 9.99, "note": None})
    {'fitted_on': 10, 'unit_cost': 999, 'note': ''}
    """
    unknown = [name for name in values if name not in table.names]
    if unknown:
        meant = nearest_word(unknown[0], table.names)
        hint = (
            _("did you mean {meant}?", meant=meant)
            if meant
            else _("it has {names}.", names=", ".join(table.names))
        )
        raise RecordError(
            _(
                "{name} has no column {unknown}; {hint}",
                name=table.name,
                unknown=repr(unknown[0]),
                hint=hint,
            )
        )
    return {name: pack_value(table, table.column(name), value) for name, value in values.items()}


def pack_value(table: Table, column: Column, value: object) -> Packed:
    """One value as the database keeps it; RecordError when it cannot be one of that column."""
    if value is None or value == "" or (not isinstance(value, str) and pd.isna(value)):  # type: ignore[call-overload]
        return blank(column)
    if column.kind in ("text", "choice"):
        return _clean(str(value))
    try:
        cell = _cell(column, value)
    except (ValueError, TypeError, OverflowError):
        raise RecordError(refusal_of(table, column, None, str(value)).sentence()) from None
    return _pack_column(column, np.array([cell]))[0]


def _cell(column: Column, value: object) -> np.datetime64 | float:
    """The value as a frame would hold it; ValueError when it cannot be kept."""
    if column.kind == "day":
        return np.datetime64(_within(_day(value)), "ns")
    if column.kind == "moment":
        return np.datetime64(_within(_moment(value)), "ns")
    number = float(value)  # type: ignore[arg-type]
    if not math.isfinite(number) or (column.kind != "number" and abs(number) > LARGEST):
        raise ValueError
    if column.kind == "whole" and not number.is_integer():
        raise ValueError
    return number


def _clean(text: str) -> str:
    # PostgreSQL keeps no null character, and neither database half of a surrogate pair.
    return text.replace("\x00", "").encode("utf-8", "replace").decode().strip()


def _within(when: _When) -> _When:
    """Frames hold nanoseconds, which reach from 1678 to 2261."""
    if not FIRST_YEAR <= when.year <= LAST_YEAR:
        raise ValueError
    return when


def _day(value: object) -> date:
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else datetime.fromisoformat(str(value)).date()


def _moment(value: object) -> datetime:
    if isinstance(value, datetime):
        return value.replace(tzinfo=None)
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day)
    return datetime.fromisoformat(str(value)).replace(tzinfo=None)


def unpack_value(column: Column, packed: Packed) -> object:
    """A packed value as the frames hold it: Timestamp, float or text.

    >>> from tracker.workshop.contract import FITTINGS
    >>> unpack_value(FITTINGS.column("unit_cost"), 999)
    9.99
    """
    cell = _unpack_column(column, [packed])[0]
    if column.kind in ("day", "moment"):
        return pd.Timestamp(cell)
    return cell or "" if column.kind in ("text", "choice") else float(cell)


def unpack_row(table: Table, row: Mapping[str, Packed]) -> dict[str, str]:
    """A packed row in words, its missing columns left out: what the change log shows."""
    kept = {name: packed for name, packed in row.items() if packed not in EMPTY}
    return {
        column.name: written(unpack_value(column, kept[column.name]))
        for column in table.columns
        if column.name in kept
    }


def pack_frame(
    table: Table, frame: pd.DataFrame, names: Sequence[str] | None = None
) -> dict[str, list[Packed]]:
    """Whole columns as the database keeps them, all or those named.

    The frame must have the contract's dtypes.
    """
    columns = table.columns if names is None else tuple(map(table.column, names))
    return {column.name: _pack_column(column, frame[column.name].to_numpy()) for column in columns}


def _pack_column(column: Column, values: np.ndarray) -> list[Packed]:
    if column.kind in ("text", "choice"):
        return list(_clean_text(values))
    kept = _to_grain(column, values)
    missing = np.isnat(kept) if kept.dtype.kind == "M" else np.isnan(kept)
    if column.kind in ("whole", "money"):
        kept = np.nan_to_num(kept)
    # SQLite keeps no minus zero, and the digest would not find it again.
    kept = kept + 0.0 if column.kind == "number" else kept.astype(np.int64)
    packed: list[Packed] = kept.tolist()
    for at in np.flatnonzero(missing):
        packed[at] = None
    return packed


def _to_grain(column: Column, values: np.ndarray) -> np.ndarray:
    """Cells of a frame in the grain of the database: days, seconds, cents, whole pieces."""
    if column.kind in ("day", "moment"):
        return values.astype(f"datetime64[{_unit(column)}]")
    if column.kind == "number":
        return values
    return np.rint(values * 100) if column.kind == "money" else np.rint(values)


def _from_grain(column: Column, kept: np.ndarray) -> np.ndarray:
    """The way back of ``_to_grain``."""
    if column.kind in ("day", "moment"):
        return kept.astype("datetime64[ns]")
    return kept / 100 if column.kind == "money" else kept


def _unit(column: Column) -> str:
    return "D" if column.kind == "day" else "s"


class Unpacking:
    """Rows of a table becoming a frame, some thousand at a time.

    Whole columns of Python's own numbers and words take ten times the memory of what they say.
    """

    def __init__(self, table: Table, names: Sequence[str]) -> None:
        """``names``: the columns that come, in their order; the others are empty."""
        self.table = table
        self._kinds = [table.column(name) for name in names]
        self._ids: list[np.ndarray] = []
        self._pieces: list[list[np.ndarray]] = [[] for _ in names]
        self._words = [_Words() for _ in names]

    def add(self, ids: Sequence[int], columns: Sequence[Sequence[Packed]]) -> None:
        """Further rows: their ids and their packed columns."""
        self._ids.append(np.array(ids, dtype=np.int64))
        for at, column in enumerate(self._kinds):
            piece = _unpack_piece(column, columns[at], self._words[at])
            self._pieces[at].append(piece)

    def coded(self) -> CodedTable:
        """The frame of all rows, with exactly the dtypes of ``Records.of``, and its words coded."""
        count = sum(map(len, self._ids))
        if not count:
            return CodedTable(_no_rows(self.table))
        found: dict[str, np.ndarray] = {}
        words = {}
        for at, column in enumerate(self._kinds):
            whole = np.concatenate(self._pieces[at])
            self._pieces[at].clear()
            if column.kind in ("text", "choice"):
                words[column.name] = Coded(whole, self._words[at].in_order())
                whole = words[column.name].decoded()
            found[column.name] = whole
        data = {
            column.name: found[column.name]
            if column.name in found
            else _blank_column(column, count)
            for column in self.table.columns
        }
        index = pd.Index(np.concatenate(self._ids))
        return CodedTable(pd.DataFrame(data, index=index, copy=False), words=words)


class _Words(dict[Packed, int]):
    """Each word's place, given out as they come."""

    def __missing__(self, word: Packed) -> int:
        self[word] = at = len(self)
        return at

    def in_order(self) -> np.ndarray:
        """The words by their places."""
        words = np.empty(len(self), dtype=object)
        words[:] = list(self)
        return words


def unpack_columns(
    table: Table, index: Sequence[int], columns: Mapping[str, Sequence[Packed]]
) -> pd.DataFrame:
    """The frame of packed columns, with exactly the dtypes of ``Records.of``.

    Columns not given are empty.
    """
    names = [name for name in table.names if name in columns]
    rows = Unpacking(table, names)
    rows.add(index, [columns[name] for name in names])
    return rows.coded().frame


@cache
def _no_rows(table: Table) -> pd.DataFrame:
    return empty_frame(table).set_index(pd.Index(np.array([], dtype=np.int64)))


def _blank_column(column: Column, count: int) -> np.ndarray:
    """One cell that stands in every row: columns that nobody uses take no memory."""
    if column.kind in ("text", "choice"):
        cell = np.array("", dtype=object)
    elif column.kind in ("day", "moment"):
        cell = np.array("NaT", dtype="datetime64[ns]")
    else:
        cell = np.array(math.nan)
    return np.broadcast_to(cell, count)


def _unpack_column(column: Column, values: Sequence[Packed]) -> np.ndarray:
    words = _Words()
    piece = _unpack_piece(column, values, words)
    return words.in_order()[piece] if column.kind in ("text", "choice") else piece


def _unpack_piece(column: Column, values: Sequence[Packed], words: _Words) -> np.ndarray:
    """The cells as a frame holds them, words by their places."""
    if column.kind in ("text", "choice"):
        return np.fromiter(map(words.__getitem__, values), np.int32, len(values))
    if column.kind not in ("day", "moment"):
        return _from_grain(column, np.array(values, dtype=np.float64))
    try:
        whole = np.array(values, dtype=np.int64)
    except TypeError:  # a missing one among them
        filled = [_MISSING if value is None else value for value in values]
        whole = np.array(filled, dtype=np.int64)
    # numpy's NaT is the smallest integer, so missing days need no second pass
    return _from_grain(column, whole.astype(f"datetime64[{_unit(column)}]"))


def keepable(records: Records) -> dict[str, pd.DataFrame]:
    """Every table as ``normalise`` gives it; LoadRefused names the cells that cannot be kept."""
    frames = {table: records.table(table.name) for table in TABLES}
    refused = [refusal for table, frame in frames.items() for refusal in unkeepable(table, frame)]
    if refused:
        raise LoadRefused(refused)
    return {table.name: normalise(table, frame) for table, frame in frames.items()}


def normalise(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The frame as it would come back from the database: cents, seconds and trimmed text.

    The index is kept. Rows are the same after a second pass.
    """
    shaped = shape_frame(table, frame)
    data = {
        column.name: _normal(column, shaped[column.name].to_numpy()) for column in table.columns
    }
    return pd.DataFrame(data, index=shaped.index, copy=False)


def _normal(column: Column, values: np.ndarray) -> np.ndarray:
    if column.kind in ("text", "choice"):
        return _clean_text(values)
    return _from_grain(column, _to_grain(column, values))


def _clean_text(values: np.ndarray) -> np.ndarray:
    """The cleaned words; equal ones are one and the same object, however often they occur."""
    texts = values.tolist()
    # not pd.factorize, which takes a word to end at a null character
    cleaned = {text: _clean(str(text)) for text in set(texts)}
    kept = np.empty(len(texts), dtype=object)
    kept[:] = [cleaned[text] for text in texts]
    return kept


def row_of(table: Table, frame: pd.DataFrame, label: int) -> Row:
    """The packed row with that index label, missing values included."""
    one = frame.loc[[label]]
    return {name: values[0] for name, values in pack_frame(table, one).items()}
