"""What every printer was exposed to on each day of the log, worked out once for all who ask.

A table per exposure, printers by days, as it was known on the evening before. What is asked of a
day with a lag is what holds without one so many days earlier, so all part kinds, steps and lags
look into the same tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Ints
from tracker.lives.exposure.area import printed_area
from tracker.lives.exposure.logged_window import log_began
from tracker.lives.exposure.table import (
    A_WEEK,
    Calendar,
    DayTable,
    blocks,
    days_since_epoch,
    log2_rate,
    trailing_mean,
)
from tracker.lives.exposure.task import TaskLog, TaskTable, task_exposure
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

CellT = TypeVar("CellT", bound=np.generic)


def besides_maintenance(records: Records, as_of: date) -> Records:
    """What was known on that day without the maintenance log: the long table, which whoever asks
    this reads as numbers and never copies.
    """
    return records.once(_besides_maintenance, as_of)


def _besides_maintenance(records: Records, as_of: date) -> Records:
    nothing = records.coded_table("maintenance").cut(slice(0))
    return records.with_rows({"maintenance": nothing}).known_at(as_of)


@dataclass(frozen=True, eq=False)
class ExposureDays:
    """All ``printers``, in order, and the days of the log (``calendar``, one a step) on
    which their exposures are known, and as many more as a step reaches beyond its end.

    ``window_days``: how many open days are looked back on from each day; ``open_numbers`` and
    ``logged_numbers``: the printers' days without closed ones, without closed and silent ones.
    """

    until: date
    printers: pd.Index
    calendar: Calendar
    window_days: int
    open_numbers: OpenNumbers
    logged_numbers: OpenNumbers

    @classmethod
    def of(
        cls,
        records: Records,
        until: date,
        window_days: int,
        *,
        gaps: LogGaps = NO_GAPS,
        step_days: int = A_WEEK,
    ) -> ExposureDays:
        """Up to the day ``until``, the log's last one; ``gaps``: silent days of the maintenance
        log, passed over where a task is counted; ``step_days``: the longest step looked at.
        """
        return records.once(cls._of, until, window_days, gaps, max(step_days, A_WEEK))

    @classmethod
    def _of(
        cls, records: Records, until: date, window_days: int, gaps: LogGaps, step_days: int
    ) -> ExposureDays:
        known, log_day = besides_maintenance(records, until), log_began(records)
        closures = Closures.of(known)
        names = {*known.fittings["printer"].unique(), *known.printers["printer"].unique()}
        printers = pd.Index(sorted(names), dtype=object)
        last = max(day_number(until), log_day) + step_days - 1
        return cls(
            until,
            printers,
            Calendar.over(log_day, last, 1),
            window_days,
            closures.open_numbers(printers),
            gaps.open_numbers(closures, printers),
        )

    def task(
        self, records: Records, task: str, part_kind: str, *, planned_only: bool = True
    ) -> TaskTable:
        """How often the task was done for parts of that kind; ``records`` as in ``of``."""
        return records.once(_task_for_kind, self, task, part_kind, planned_only)

    def task_of_printers(
        self, records: Records, task: str, printers: pd.Index, calendar: Calendar, lag_days: int
    ) -> NDArray[np.float32]:
        """How often the task was done on these printers, on whichever part: (printers, days), as
        seen so many days before each day of the calendar. Before the log nothing was done.
        """
        table = records.once(_task_on_printers, self, task, True)[1]
        first = calendar.first_day - lag_days - self.calendar.first_day
        begin = max(first, 0)
        found = np.empty((len(printers), calendar.steps), dtype=np.float32)
        found[:, : begin - first] = log2_rate(np.zeros(1, dtype=np.float32))
        lines = self.lines(printers)
        for few in blocks(len(lines)):
            found[few, begin - first :] = table.of(lines[few])[:, begin : first + calendar.steps]
        return found

    def conditions(self, records: Records) -> dict[str, DayTable]:
        """Idle share and the like by name: (printers, days)."""
        return records.once(_conditions, self)

    def lines(self, printers: pd.Index) -> Ints:
        """Where these printers stand."""
        return self.printers.get_indexer(printers).astype(np.int64)

    def cut(self, table: NDArray[CellT], calendar: Calendar, lag_days: int) -> NDArray[CellT]:
        """The days of a calendar out of a table, seen so many days before."""
        first = calendar.first_day - lag_days - self.calendar.first_day
        return table[:, first : first + calendar.steps * calendar.step_days]


def _conditions(records: Records, days: ExposureDays) -> dict[str, DayTable]:
    """Idle and closed share, area, white share and humidity of the window before each day, as far
    as anything is noted of them; see ``episodes.EXPOSURES``. (printers, days), NaN where unknown.
    """
    known = besides_maintenance(records, days.until)
    printers, calendar, window_days = days.printers, days.calendar, days.window_days
    tables: dict[str, DayTable] = {}
    if known.count("counters"):
        area = printed_area(
            known, printers, calendar, window_days, 0, open_numbers=days.open_numbers
        )  # fmt: skip
        tables["idle_share"] = area.idle_share
        tables["area_per_day"] = area.per_day
    if not days.open_numbers.are_plain:
        ends = calendar.begins
        tables["closed_share"] = np.zeros((len(printers), calendar.steps))
        for rows, open_days in days.open_numbers.together():
            opened = open_days.number(ends) - open_days.number(ends - window_days)
            tables["closed_share"][rows] = 1 - opened / window_days
    notes = known.conditions
    if not notes.empty:
        code = printers.get_indexer(pd.Index(notes["printer"])).astype(np.int64)
        ours = code >= 0
        day = days_since_epoch(notes["noted_on"])[ours]
        for name, column, unit_size in (
            ("white_share", "white_share_percent", 100.0),
            ("humidity", "humidity_percent", 10.0),
        ):
            value = notes[column].to_numpy(dtype=np.float64)[ours] / unit_size
            tables[name] = trailing_mean(
                code[ours], day, value, len(printers), calendar, window_days, 0
            )
    return tables


def _task_for_kind(
    records: Records, days: ExposureDays, task: str, part_kind: str, planned_only: bool
) -> TaskTable:
    """Of the printers, shared by all kinds, unless it was done on single parts of this kind."""
    noted, whole = records.once(_task_on_printers, days, task, planned_only)
    if not noted:
        return whole
    fittings = besides_maintenance(records, days.until).fittings
    own = fittings.loc[fittings["part_kind"] == part_kind, ["printer", "position"]]
    own = own.drop_duplicates()
    if not noted.intersection(own["position"]):
        return whole
    unit, position = days.lines(pd.Index(own["printer"])), own["position"].to_numpy(object)
    return _counted(days, _log(records, days, task, planned_only), unit, position)


def _task_on_printers(
    records: Records, days: ExposureDays, task: str, planned_only: bool
) -> tuple[frozenset[str], TaskTable]:
    """The positions that the task was noted for, and its table where none of them is a part's."""
    log = _log(records, days, task, planned_only)
    nowhere = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=object)
    noted = frozenset(log.position.take(log.noted).occurring())
    return noted, _counted(days, log, *nowhere)


def _log(records: Records, days: ExposureDays, task: str, planned_only: bool) -> TaskLog:
    last_day = day_number(days.until)
    return TaskLog.of(records, task, days.printers, last_day, planned_only=planned_only)


def _counted(
    days: ExposureDays, log: TaskLog, unit: Ints, position: NDArray[np.object_]
) -> TaskTable:
    return task_exposure(
        log, len(days.printers), unit, position, days.calendar, days.window_days, 0,
        open_numbers=days.logged_numbers,
    )  # fmt: skip
