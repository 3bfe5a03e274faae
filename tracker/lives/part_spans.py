"""Part lives as spans of whole days, cut into rows by the steps of a calendar.

Age a is reached on the day fitted + a: a part lives through the ages a to a + 1 on that day. So
the row of the days d … e covers the ages d − fitted < age ≤ e + 1 − fitted, and what was known
before a day d is what was written down up to the day d − 1.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.lives.exposure.table import Calendar, days_since_epoch

LookUp = Callable[[Ints, Ints, Ints], NDArray[np.floating]]  # (part, printer, step or day)


@dataclass(frozen=True)
class PartSpans:
    """Lives watched from age ``entry`` to ``age``, each on one printer (``unit``, 0-based).

    ``fitted`` in days since 1970-01-01, ages in days. A failure lies between ``last_ok`` and
    ``found``, the check that found it; ``age`` is the middle, rounded up to a day. Elsewhere
    ``found`` is ``age`` and ``last_ok`` the day before.
    """

    id: Ints
    unit: Ints
    fitted: Ints
    entry: Array
    age: Array
    failed: Bools
    last_ok: Array
    found: Array

    @classmethod
    def of(cls, counted: pd.DataFrame, printers: pd.Index) -> PartSpans:
        """The counted lives of a life table in days, in the order of their fittings."""
        counted = counted.sort_index(kind="stable")
        found = counted["age"].to_numpy(dtype=np.float64)
        failed = (counted["outcome"] == "failed").to_numpy(dtype=bool)
        last_ok = counted["last_ok"].to_numpy(dtype=np.float64)
        between = failed & np.isfinite(last_ok)
        last_ok = np.where(between, last_ok, np.maximum(np.ceil(found) - 1, 0))
        middle = np.minimum(np.ceil((last_ok + found) / 2), found)
        return cls(
            id=counted.index.to_numpy(dtype=np.int64),
            unit=printers.get_indexer(pd.Index(counted["printer"])).astype(np.int64),
            fitted=days_since_epoch(counted["new_on"]),
            entry=counted["entry"].to_numpy(dtype=np.float64),
            age=np.where(between, middle, found),
            failed=failed,
            last_ok=last_ok,
            found=found,
        )

    def watched_from(self, first_day: Ints) -> PartSpans:
        """From each printer's first day on; what ended before that day began is dropped."""
        entry = np.maximum(self.entry, (first_day[self.unit] - self.fitted).astype(np.float64))
        kept = entry < self.age
        values = {field.name: getattr(self, field.name)[kept] for field in fields(self)}
        last_ok = np.maximum(self.last_ok, np.floor(entry))[kept]
        return PartSpans(**{**values, "entry": entry[kept], "last_ok": last_ok})

    def calendar(self, step_days: int) -> Calendar:
        """The calendar from the first day any life was watched to the last."""
        first = int((self.fitted + np.floor(self.entry)).min())
        return Calendar.over(first, int(self._last_day().max()), step_days)

    def _last_day(self) -> Ints:
        return (self.fitted + np.ceil(self.found)).astype(np.int64) - 1


@dataclass(frozen=True)
class SpanRows:
    """One row per life and calendar step it was watched in.

    ``part``, ``unit`` and ``step`` say which life, printer and step a row belongs to. The rows
    ``ending`` end in a failure that lies on one of some days: ``day_of`` numbers these rows 0, 1,
    … once for each such day, ``day`` is that day of the calendar, 0-based, and ``day_weight`` the
    chance that it was that day.
    """

    part: Ints
    unit: Ints
    step: Ints
    start: Array
    stop: Array
    failed: Bools
    ending: Ints
    day_of: Ints
    day: Ints
    day_weight: Array

    def exposure(self, on_step: LookUp, on_day: LookUp) -> NDArray[np.floating]:
        """The exposure of every row, given where to look it up.

        A row has the mean exposure of the days of its step. One that ends in a failure has that
        of the day it failed on, or the mean of the days it may have failed on: taking the step's,
        or that of one day, mostly the wrong one, would blur the effect and pull it toward none.
        """
        values = on_step(self.part, self.unit, self.step)
        values[self.ending] = np.bincount(self.day_of, self._daily(on_day) * self.day_weight)
        return values

    def weighed(self, effects: Sequence[tuple[LookUp, float]]) -> SpanRows:
        """The same with each day of a failure as likely as these effects on the log hazard make
        it; the exposures are looked up by day."""
        if not len(self.ending) or not effects:
            return self
        log_hazard = sum(effect * self._daily(on_day) for on_day, effect in effects)
        hazard = np.exp(log_hazard) * self.day_weight
        return replace(self, day_weight=hazard / np.bincount(self.day_of, hazard)[self.day_of])

    def _daily(self, on_day: LookUp) -> Array:
        row = self.ending[self.day_of]
        return on_day(self.part[row], self.unit[row], self.day).astype(np.float64)


def span_rows(spans: PartSpans, calendar: Calendar) -> SpanRows:
    """Cut every span where a step of the calendar begins."""
    first = calendar.step_of((spans.fitted + np.floor(spans.entry)).astype(np.int64))
    last = calendar.step_of((spans.fitted + np.ceil(spans.age)).astype(np.int64) - 1)
    count = last - first + 1
    part = np.repeat(np.arange(len(count)), count)
    ends = np.cumsum(count)
    step = np.arange(len(part)) - np.repeat(ends - last - 1, count)
    begins_at_age = calendar.first_day + calendar.step_days * step - spans.fitted[part]
    failed = np.zeros(len(part), dtype=bool)
    failed[ends - 1] = spans.failed
    failures = np.flatnonzero(spans.failed)
    open_days = (np.ceil(spans.found) - spans.last_ok).astype(np.int64)[failures]
    day_of = np.repeat(np.arange(len(failures)), open_days)
    before = np.cumsum(open_days) - open_days
    first_day = spans.fitted[failures] + spans.last_ok[failures].astype(np.int64)
    first_day -= calendar.first_day + before
    return SpanRows(
        part=part,
        unit=spans.unit[part],
        step=step,
        start=np.maximum(begins_at_age, spans.entry[part]),
        stop=np.minimum(begins_at_age + calendar.step_days, spans.age[part]),
        failed=failed,
        ending=ends[failures] - 1,
        day_of=day_of,
        day=first_day[day_of] + np.arange(len(day_of)),
        day_weight=1.0 / open_days[day_of],
    )
