"""Which counter readings are there: in the counters table, and noted as a part went in or out?"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.workshop.columns.coded import Coded
from tracker.workshop.columns.day_numbers import NO_DAY, in_day_order
from tracker.workshop.records import Records

# Printer and day in one sortable number: days since 1970 stay far below this.
DAYS = 1 << 20


class CounterReadings(NamedTuple):
    """One per printer and day, in this order: ``key`` is the place among ``printers``, which all
    have one, times DAYS, and the day.
    """

    printers: pd.Index
    key: Ints
    area_m2: Array


def counter_readings(records: Records) -> CounterReadings:
    """Which counter readings are there?

    Readings noted with a fitting fill the days without one in the counters table; on a day with
    several the largest counts, as the last of that day. A fitting's reading that contradicts the
    counters table around it is a slip and left out.
    """
    table, *noted = (
        _read(records, *columns)
        for columns in (
            ("counters", "read_on", "area_m2"),
            ("fittings", "fitted_on", "fitted_counter_m2"),
            ("fittings", "removed_on", "removed_counter_m2"),
        )
    )
    printer = Coded.joined([column for column, _, _ in (table, *noted)])
    there = np.zeros(len(printer.words), dtype=bool)
    there[printer.codes] = True
    code = (np.cumsum(there) - 1).astype(printer.codes.dtype)[printer.codes]
    many = len(table[1])
    read = in_order(code[:many], *table[1:])
    key, value = last_of_day(*read)
    if many < len(code):
        _, day, area = zip(*noted, strict=True)
        told = in_order(code[many:], np.concatenate(day), np.concatenate(area))
        fits = _fits_between(*told, *read)
        more, extra = last_of_day(told[0][fits], told[1][fits])
        new = ~np.isin(more, key)
        key, value = np.concatenate((key, more[new])), np.concatenate((value, extra[new]))
        order = np.argsort(key, kind="stable")
        key, value = key[order], value[order]
    return CounterReadings(pd.Index(printer.words[there]), key, value)


def _read(records: Records, table: str, day: str, area: str) -> tuple[Coded, Ints, Array]:
    """The printer, day and area of each row that tells the last two."""
    days, value = records.day_numbers(table, day), records.cells(table, area)
    rows = np.flatnonzero((days != NO_DAY) & ~np.isnan(value))
    return records.codes(table, "printer").take(rows), days[rows].astype(np.int64), value[rows]


def in_order(
    code: NDArray[np.integer[Any]], day: NDArray[np.integer[Any]], area: Array
) -> tuple[Ints, Array]:
    """Readings by printer and day: the key of each, and the area."""
    order = in_day_order(code, day)
    return code[order] * np.int64(DAYS) + day[order], area[order]


def last_of_day(key: Ints, area: Array) -> tuple[Ints, Array]:
    """The highest of these of each day, which was the last."""
    first = np.flatnonzero(np.diff(key, prepend=-1))
    return key[first], np.maximum.reduceat(area, first) if len(first) else area


def _fits_between(noted: Ints, value: Array, key: Ints, area: Array) -> Bools:
    """True where a fitting's reading lies between the table's readings around it."""
    if not len(key):
        return np.ones(len(noted), dtype=bool)
    printer = noted // DAYS
    before = np.searchsorted(key, noted, side="left") - 1
    after = np.searchsorted(key, noted, side="right")
    low = (before >= 0) & (key[before] // DAYS == printer) & (value < area[before])
    spot = np.minimum(after, len(key) - 1)
    high = (after < len(key)) & (key[spot] // DAYS == printer) & (value > area[spot])
    fits: Bools = ~(low | high)
    return fits
