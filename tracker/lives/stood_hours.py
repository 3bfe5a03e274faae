"""How many working hours did each stoppage last, day by day?"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Bools
from tracker.lives.open_days import Closures
from tracker.workshop.clocks.changes import true_times, true_times_of, zone_of
from tracker.workshop.columns.coded import Coded
from tracker.workshop.records import Records
from tracker.workshop.working_days import days_worked


def stood_hours(known: Records, until: date) -> pd.DataFrame:
    """Working hours that printers stood still, one row per stoppage and working day.

    Returns ``stoppage`` (index of ``known.stoppages``), ``printer``, ``part_kind``, ``day`` and
    ``hours``. An open stoppage lasts until the end of ``until``. A day counts with the hours the
    printer stood on it, at most the set working hours, and only where it was a working day on
    which the printer was not closed; a day on which clocks change is an hour shorter or longer.
    Two stoppages of one printer on a day are not added up here. The answer is remembered.
    """
    return known.once(_stood_hours, until)


def _stood_hours(known: Records, until: date) -> pd.DataFrame:
    stops = known.stoppages
    end = pd.Timestamp(until) + pd.Timedelta(days=1)
    first = stops["began_at"].min()
    if pd.isna(first):
        empty: dict[str, list[object]] = {
            "stoppage": [],
            "printer": [],
            "part_kind": [],
            "day": [],
            "hours": [],
        }
        return pd.DataFrame(empty).astype({"day": "datetime64[ns]", "hours": float})
    ended = stops["ended_at"].fillna(end).clip(upper=end)
    zone = zone_of(known)
    began_truly, ended_truly = true_times(stops.assign(ended_at=ended), zone)
    midnight = stops["began_at"].dt.normalize()
    touched = ((ended.dt.normalize() - midnight).dt.days + 1).clip(lower=0).to_numpy()
    row = np.repeat(np.arange(len(stops)), touched)
    nth = np.arange(len(row)) - np.repeat(np.cumsum(touched) - touched, touched)
    day = midnight.to_numpy()[row] + nth.astype("timedelta64[D]")
    starts, ends = (true_times_of(day + np.timedelta64(later, "D"), zone) for later in (0, 1))
    inside = np.minimum(ended_truly[row], ends) - np.maximum(began_truly[row], starts)
    hours = inside / np.timedelta64(1, "h")
    kept = (hours > 0) & np.isin(day, days_worked(known, first.date(), until))
    printer = known.codes("stoppages", "printer")
    kept &= ~_is_closed(Closures.of(known), printer.take(row), day)
    return pd.DataFrame(
        {
            "stoppage": stops.index.to_numpy()[row][kept],
            "printer": printer.take(row[kept]).decoded(),
            "part_kind": stops["part_kind"].to_numpy()[row][kept],
            "day": pd.to_datetime(day[kept]),
            "hours": np.minimum(hours[kept], known.number("hours_per_day")),
        }
    )


def _is_closed(closures: Closures, printer: Coded, day: NDArray[np.datetime64]) -> Bools:
    """Row by row, was the printer closed on that day? Printers that close together at once."""
    number = day.astype("datetime64[D]").astype(np.int64)
    closed = np.zeros(len(number), dtype=bool)
    alike = list(closures.open_numbers(map(str, printer.words)).together())
    follows = np.zeros(len(printer.words), dtype=np.int64)
    for at, (printers, _) in enumerate(alike):
        follows[printers] = at
    of_row = follows[printer.codes]
    order = np.argsort(of_row, kind="stable")
    ends = np.cumsum(np.bincount(of_row, minlength=len(alike)))
    for mine, (_, calendar) in zip(np.split(order, ends[:-1]), alike, strict=False):
        here = number[mine]
        closed[mine] = calendar.closed_before(here + 1) > calendar.closed_before(here)
    return closed
