"""Between what a person reads and what the database keeps.

The database keeps days as whole days since 1970-01-01, moments as whole seconds since then, money
as whole cents, whole numbers and other numbers as they are, and text as text ("" when missing).
A missing day, moment or number is NULL (None here). *Packed* means in that form.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import TypeVar

import numpy as np
import pandas as pd

from tracker.errors import LoadRefused, RecordError
from tracker.language import _
from tracker.store.keepable import FIRST_YEAR, LARGEST, LAST_YEAR, refusal_of, unkeepable
from tracker.workshop.columns.coded import Coded, CodedTable, smallest
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import TABLES
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import Records
from tracker.workshop.refusal import meant_or, written

Packed = int | float | str | None
Row = dict[str, Packed]
EMPTY: tuple[Packed, ...] = (None, "")  # what a cell without a value is, packed

_ROWS_AT_ONCE = 50_000
_When = TypeVar("_When", date, datetime)
# Stands for "missing" while whole numbers travel through numpy, which has no missing integer.
_MISSING = np.iinfo(np.int64).min


def blank(column: Column) -> Packed:
    """What a missing value of that column is in the database."""
    return "" if column.is_text else None


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
        otherwise = _("it has {names}.", names=", ".join(table.names))
        hint = meant_or(unknown[0], table.names, otherwise)
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
    if column.is_text:
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
    if column.is_text:
        return packed or ""
    cell = unpack_cells(column, [packed])[0]
    return pd.Timestamp(cell) if column.is_time else float(cell)


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


def stored_frame(table: Table, frame: pd.DataFrame) -> Iterator[tuple[Packed, ...]]:
    """The rows of a frame (as ``normalised`` gives it) as they stand in the database.

    They are made a part at a time: as Python's own they take ten times the memory.
    """
    for first in range(0, len(frame), _ROWS_AT_ONCE):
        part = frame.iloc[first : first + _ROWS_AT_ONCE]
        columns = (
            cells.tolist() if column.is_text else _pack_column(column, cells)
            for column in table.columns
            for cells in [part[column.name].to_numpy()]
        )
        yield from zip(part.index.tolist(), *columns, strict=True)


def _pack_column(column: Column, values: np.ndarray) -> list[Packed]:
    if column.is_text:
        return list(_clean_text(values))
    kept = _to_grain(column, values)
    missing = np.isnat(kept) if kept.dtype.kind == "M" else np.isnan(kept)
    if column.kind in ("whole", "money"):
        kept = np.nan_to_num(kept)
    # SQLite keeps no minus zero, and the digest would not find it again.
    kept = kept + 0.0 if column.kind == "number" else kept.astype(np.int64)
    if missing.any():
        kept = kept.astype(object)
        kept[missing] = None
    packed: list[Packed] = kept.tolist()
    return packed


def _to_grain(column: Column, values: np.ndarray) -> np.ndarray:
    """Cells of a frame in the grain of the database: days, seconds, cents, whole pieces."""
    if column.is_time:
        return values.astype(f"datetime64[{_unit(column)}]")
    if column.kind == "number":
        return values
    return np.rint(values * 100) if column.kind == "money" else np.rint(values)


def _from_grain(column: Column, kept: np.ndarray) -> np.ndarray:
    """The way back of ``_to_grain``."""
    if column.is_time:
        return kept.astype("datetime64[ns]")
    return kept / 100 if column.kind == "money" else kept


def _unit(column: Column) -> str:
    return "D" if column.kind == "day" else "s"


def unpack_cells(column: Column, values: Sequence[Packed]) -> np.ndarray:
    """The cells of a column of days, moments or numbers as a frame holds them."""
    if not column.is_time:
        return _from_grain(column, np.array(values, dtype=np.float64))
    try:
        whole = np.array(values, dtype=np.int64)
    except TypeError:  # a missing one among them
        filled = [_MISSING if value is None else value for value in values]
        whole = np.array(filled, dtype=np.int64)
    # numpy's NaT is the smallest integer, so missing days need no second pass
    return _from_grain(column, whole.astype(f"datetime64[{_unit(column)}]"))


def keepable(records: Records) -> dict[str, CodedTable]:
    """Every table as ``normalised`` gives it; LoadRefused names the cells that cannot be kept."""
    frames = {table: records.table(table.name) for table in TABLES}
    refused = [refusal for table, frame in frames.items() for refusal in unkeepable(table, frame)]
    if refused:
        raise LoadRefused(refused)
    return {table.name: normalised(table, records.coded_table(table.name)) for table in TABLES}


def normalised(table: Table, coded: CodedTable) -> CodedTable:
    """The same with its words coded where they were; cells that stay as they are are shared."""
    texts = [column.name for column in table.columns if column.is_text]
    is_coded = all(map(coded.is_coded, texts))  # then it has the contract's shape
    frame = coded.frame if is_coded else shape_frame(table, coded.frame)
    if frame.empty:
        return coded if is_coded else CodedTable(frame)
    data: dict[str, np.ndarray] = {}
    words: dict[str, Coded] = {}
    for column in table.columns:
        cells = frame[column.name].to_numpy()
        if not column.is_text:
            data[column.name] = _normal(column, cells)
        elif is_coded:
            held = coded.codes(column.name)
            words[column.name] = _clean_words(held)
            is_clean = words[column.name] is held
            data[column.name] = cells if is_clean else words[column.name].decoded()
        else:
            data[column.name] = _clean_text(cells)
    return CodedTable(pd.DataFrame(data, index=frame.index, copy=False), words=words)


def _normal(column: Column, values: np.ndarray) -> np.ndarray:
    if len(values) and values.strides == (0,):  # one cell that stands in every row
        return np.broadcast_to(_normal(column, values[:1].copy())[0], len(values))
    kept = _from_grain(column, _to_grain(column, values))
    return values if np.array_equal(kept, values, equal_nan=True) else kept


def _clean_words(held: Coded) -> Coded:
    """The column with its words cleaned; itself where they are."""
    texts = held.words.tolist()
    cleaned = [_clean(str(text)) for text in texts]
    if cleaned == texts:
        return held
    places = {text: at for at, text in enumerate(dict.fromkeys(cleaned))}
    words = np.empty(len(places), dtype=object)
    words[:] = list(places)
    codes = np.array([places[text] for text in cleaned], dtype=smallest(len(places)))
    return Coded(codes[held.codes], words)


def _clean_text(values: np.ndarray) -> np.ndarray:
    """The cleaned words; equal ones are one and the same object, however often they occur."""
    texts = values.tolist()
    # not pd.factorize, which takes a word to end at a null character
    cleaned = {text: _clean(str(text)) for text in set(texts)}
    kept = np.empty(len(texts), dtype=object)
    kept[:] = [cleaned[text] for text in texts]
    return kept


def stored_rows(table: Table, rows: Mapping[int, Row]) -> list[tuple[Packed, ...]]:
    """Packed rows by their ids, as they stand in the database."""
    return [(at, *(row[name] for name in table.names)) for at, row in rows.items()]


def row_of(table: Table, frame: pd.DataFrame, label: int) -> Row:
    """The packed row with that index label, missing values included."""
    one = frame.loc[[label]]
    return {name: values[0] for name, values in pack_frame(table, one).items()}
