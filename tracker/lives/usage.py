"""How much each printer printed: between two days, and per day lately.

Counter readings come from the counters table and from the readings noted when a part went in or
came out. Between two readings the area is spread evenly over the days. Readings that run backwards
cannot both be right (the checks refuse them): across such a pair the area is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.errors import UsageError
from tracker.language import _
from tracker.lives.counter_readings import DAYS, counter_readings
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

# Past the first and last reading the usual rate is carried on for at most a month.
REACH_DAYS = 31
# What "lately" means at either end of the readings.
_RATE_DAYS = 90
# A working week has its own rhythm: rates are compared week by week, never day by day.
_BLOCK_DAYS = 7


@dataclass(frozen=True)
class AreaReadings:
    """Every printer's readings as sorted arrays; answers for many printers and days at once.

    ``day`` counts from 1970-01-01, ``area_m2`` is the running total without backward steps, and
    ``stretch`` counts those steps: readings of different stretches cannot be compared. ``first``
    and ``last`` bound each printer's readings; ``early_rate`` and ``late_rate`` (m² per day, NaN
    where a printer has one reading only) carry on beyond them for REACH_DAYS.
    """

    printers: pd.Index
    key: Ints
    day: Ints
    area_m2: Array
    stretch: Ints
    first: Ints
    last: Ints
    early_rate: Array
    late_rate: Array

    @classmethod
    def of(cls, records: Records) -> AreaReadings:
        """The same, put in order once for all who ask."""
        return records.once(cls.from_records)

    @classmethod
    def from_records(cls, records: Records) -> AreaReadings:
        """All readings of these records, whatever their day: ask ``known_at`` first."""
        printers, key, value = counter_readings(records)
        code, day = np.divmod(key, DAYS)
        follows = np.diff(code, prepend=-1) == 0
        step = np.where(follows, np.diff(value, prepend=0.0), 0.0)
        backward = step < 0
        area, stretch = (
            np.cumsum(np.where(backward, 0.0, step)),
            np.cumsum(backward, dtype=np.int64),
        )
        first = np.searchsorted(code, np.arange(len(printers)))
        last = np.searchsorted(code, np.arange(len(printers)), side="right") - 1
        near_end = np.searchsorted(key, key[last] - _RATE_DAYS) if len(key) else last
        near_start = np.searchsorted(key, key[first] + _RATE_DAYS, side="right") - 1
        return cls(
            printers=printers,
            key=key,
            day=day,
            area_m2=area,
            stretch=stretch,
            first=first,
            last=last,
            early_rate=_rate(day, area, first, np.clip(near_start, first, last)),
            late_rate=_rate(day, area, np.clip(near_end, first, last), last),
        )

    def reach(self, printers: pd.Series) -> Array:
        """The last day (from 1970-01-01) for which the area is known; NaN without a reading."""
        code = self.printers.get_indexer(pd.Index(printers))
        if not len(self.printers):
            return np.full(len(code), np.nan)
        until = self.day[self.last] + np.where(np.isnan(self.late_rate), 0, REACH_DAYS)
        return np.where(code >= 0, until[code], np.nan)

    def usual_rate(self, printers: pd.Series) -> Array:
        """Area per day at the end of the readings, in m² per day; NaN where not known."""
        code = self.printers.get_indexer(pd.Index(printers))
        if not len(self.printers):
            return np.full(len(code), np.nan)
        return np.where(code >= 0, self.late_rate[code], np.nan)

    def rates_since(self, start: int) -> Array:
        """Of each printer the area per day since that day, its standard error and the days it is
        read off, see ``printing_rate``: (printers + 1, 3), the last row that of a printer without
        readings.
        """
        size, rows = len(self.printers), np.arange(len(self.key))
        code = np.repeat(np.arange(size), self.last - self.first + 1)
        begin = np.searchsorted(self.key, np.arange(size) * DAYS + start, side="right") - 1
        begin = np.maximum(begin, self.first)
        used = (rows >= begin[code]) & (self.day[self.last] >= start)[code]
        # The last reading of each week ends a stretch.
        block = (self.day - self.day[begin][code] + _BLOCK_DAYS - 1) // _BLOCK_DAYS
        follows = np.append((np.diff(code) == 0) & (np.diff(block) == 0), False)[: len(rows)]
        ends = np.flatnonzero(used & ~follows)
        whose = code[ends]
        sound = (np.diff(whose) == 0) & (np.diff(self.stretch[ends]) == 0)
        days, printed = (np.diff(each[ends])[sound] for each in (self.day, self.area_m2))
        whose = whose[1:][sound]
        many = np.bincount(whose, minlength=size)
        total = np.bincount(whose, days, size)
        with np.errstate(invalid="ignore", divide="ignore"):
            rate = np.bincount(whose, printed, size) / total
            scatter = np.bincount(whose, (printed - rate[whose] * days) ** 2, size)
            error = np.sqrt(many / (many - 1) * scatter) / total
        error[many < 2] = np.nan
        return np.vstack((np.column_stack((rate, error, total)), (np.nan, np.nan, 0.0)))

    def between(self, printers: pd.Series, start: Array, end: Array) -> Array:
        """Area in m² printed from start to end, element by element; NaN where not known.

        Days count from 1970-01-01; NaN days give NaN.
        """
        code = self.printers.get_indexer(pd.Index(printers))
        asked = (code >= 0) & ~np.isnan(start) & ~np.isnan(end)
        from_area, from_stretch = self._total(code[asked], start[asked])
        to_area, to_stretch = self._total(code[asked], end[asked])
        area = np.full(len(code), np.nan)
        area[asked] = np.where(from_stretch == to_stretch, to_area - from_area, np.nan)
        return area

    def _total(self, code: Ints, day: Array) -> tuple[Array, Ints]:
        """The running total on each day and the stretch it belongs to."""
        wanted = code.astype(np.int64) * DAYS + day.astype(np.int64)
        before = np.searchsorted(self.key, wanted, side="right") - 1
        before = np.clip(before, self.first[code], self.last[code])
        after = np.minimum(before + 1, self.last[code])
        gap = self.day[after] - self.day[before]
        past = day - self.day[before]
        with np.errstate(invalid="ignore", divide="ignore"):
            inside = (self.area_m2[after] - self.area_m2[before]) * past / gap
        beyond = past * np.where(past < 0, self.early_rate[code], self.late_rate[code])
        more = np.where((gap > 0) & (past > 0), inside, beyond)
        more = np.where(past == 0, 0.0, more)
        too_far = (past < -REACH_DAYS) | ((gap == 0) & (past > REACH_DAYS))
        # Between two readings that contradict each other nothing is known.
        torn = (past > 0) & (self.stretch[after] != self.stretch[before])
        total = np.where(too_far | torn, np.nan, self.area_m2[before] + more)
        return total, self.stretch[before]


def area_between(
    records: Records,
    printers: Sequence[str] | pd.Series,
    starts: Sequence[date] | pd.Series,
    ends: Sequence[date] | pd.Series,
) -> Array:
    """How many m² did each printer print from its start day to its end day?

    Three sequences of one length; NaN where the readings do not cover the time (they are carried
    on for at most REACH_DAYS at the printer's usual rate). Raises UsageError for unequal lengths.

    >>> counters = pd.DataFrame({"printer": "Ada", "area_m2": [100.0, 170.0],
    ...                          "read_on": pd.to_datetime(["2025-01-01", "2025-01-08"])})
    >>> area_between(Records.of({"counters": counters}), ["Ada"], ["2025-01-02"], ["2025-01-05"])
    array([30.])
    """
    if not len(printers) == len(starts) == len(ends):
        raise UsageError(
            _(
                "area_between: {count} printers, {count_2} start days and {count_3} end "
                "days; give as many of each.",
                count=len(printers),
                count_2=len(starts),
                count_3=len(ends),
            )
        )
    names = pd.Series(list(printers), dtype=object)
    area = AreaReadings.from_records(records)
    start, end = (pd.Series(pd.to_datetime(list(days))) for days in (starts, ends))
    return area.between(names, floating_days(start), floating_days(end))


def printing_rate(records: Records, as_of: date, window_days: int = 90) -> pd.DataFrame:
    """How many m² a day does each printer print lately, and how sure is that?

    Index the printer (all of the printers table, in its order). Columns ``area_m2_per_day``,
    ``std_error`` of that mean rate, ``days`` between the first and the last reading used. Used
    are the readings of the window before ``as_of`` and the last one before it. The standard error
    is that of a ratio estimate (Cochran, Sampling Techniques, 1977, section 6.4) over stretches of
    about a week; it needs two stretches, else it is NaN. Without two readings the rate is NaN.

    >>> days = pd.date_range("2025-01-01", periods=5, freq="7D")
    >>> counters = pd.DataFrame({"printer": "Ada", "read_on": days,
    ...                          "area_m2": [0.0, 70.0, 133.0, 210.0, 280.0]})
    >>> records = Records.of({"printers": pd.DataFrame({"printer": ["Ada"]}),
    ...                       "counters": counters})
    >>> printing_rate(records, date(2025, 2, 1)).loc["Ada"].round(3).to_dict()
    {'area_m2_per_day': 10.0, 'std_error': 0.408, 'days': 28.0}
    """
    if not window_days > 0:
        raise UsageError(
            _(
                "window_days: {window_days} is not a number of days above 0.",
                window_days=repr(window_days),
            )
        )
    known = records.known_at(as_of)
    area = AreaReadings.of(known)
    names = known.printers["printer"].drop_duplicates()
    told = area.rates_since(day_number(as_of) - window_days)
    code = area.printers.get_indexer(pd.Index(names))
    columns = ["area_m2_per_day", "std_error", "days"]
    return pd.DataFrame(
        told[code], index=pd.Index(names, name="printer"), columns=columns, dtype=float
    )


def floating_days(days: pd.Series) -> Array:
    """Days since 1970-01-01, NaN where missing."""
    stamps = days.to_numpy(dtype="datetime64[D]")
    return np.where(np.isnat(stamps), np.nan, stamps.astype(np.int64))


def _rate(
    day: Ints,
    area: Array,
    start: Ints,
    end: Ints,
) -> Array:
    days = day[end] - day[start]
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(days > 0, (area[end] - area[start]) / days, np.nan)
