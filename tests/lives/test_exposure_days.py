"""One table by the day for all lags and kinds: the same as counted for each of them anew."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.arrays import Array
from tracker.lives.exposure import table
from tracker.lives.exposure.area import printed_area
from tracker.lives.exposure.days import ExposureDays
from tracker.lives.exposure.logged_window import TrailingWindow, log_began
from tracker.lives.exposure.table import Calendar
from tracker.lives.exposure.task import TaskLog, TaskTable, task_exposure
from tracker.workshop.columns import coded
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

UNTIL = date(2025, 12, 31)
TASK = "shake_dampers"
KINDS = (("damper", "K"), ("damper", "C"), ("wiper", "wiper"))


def workshop(positions: tuple[str, ...] = ("",)) -> Records:
    """Two printers shaken at odd times, of which one was closed for three weeks; a counter read
    every few days on both."""
    rng = np.random.default_rng(8)
    began = pd.Timestamp("2025-01-01")

    def on(day: int | np.integer) -> pd.Timestamp:
        return began + pd.Timedelta(days=int(day))

    done = [
        (name, TASK, on(day), "planned", positions[at % len(positions)])
        for name in "AB"
        for at, day in enumerate(np.flatnonzero(rng.random(360) < 0.15))
    ]
    read = [
        (name, on(day), float(area))
        for name in "AB"
        for day, area in zip(range(0, 360, 9), np.cumsum(rng.poisson(0.7, 40)), strict=True)
    ]
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, began) for name in "AB")),
            "fittings": rows(
                "printer part_kind position fitted_on",
                *((name, kind, at, began) for name in "AB" for kind, at in KINDS),
            ),
            "maintenance": rows("printer task done_on why position", *done),
            "counters": rows("printer read_on area_m2", *read),
            "closures": rows("printer began_on ended_on", ("B", on(200), on(220))),
            "settings": setting(log_began_on="2025-01-01"),
        }
    )


def days_of(records: Records) -> ExposureDays:
    return ExposureDays.of(records, UNTIL, 30)


def later(lag_days: int) -> Calendar:
    """Days that see a whole window of the log at that lag."""
    return Calendar.over(day_number(date(2025, 3, 1)) + lag_days, day_number(UNTIL), 1)


@pytest.mark.parametrize("lag_days", [0, 3, 14])
def test_a_lag_sees_what_held_so_many_days_earlier(lag_days: int) -> None:
    records = workshop()
    days, calendar = days_of(records), later(lag_days)
    window = TrailingWindow.of(records, days.printers, log_began(records), 30, lag_days)
    log = TaskLog.of(records, TASK, days.printers, day_number(UNTIL), planned_only=True)
    nowhere = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=object)
    anew = task_exposure(
        log, 2, *nowhere, calendar, 30, lag_days, open_numbers=window.open_numbers
    )  # fmt: skip
    by_day = days.task(records, TASK, "damper").by_day
    assert np.ptp(anew.by_day) > 2
    np.testing.assert_array_equal(days.cut(by_day, calendar, lag_days), anew.by_day)

    area = printed_area(
        records, days.printers, calendar, 30, lag_days, open_numbers=window.open_numbers
    )
    conditions = days.conditions(records)
    for name, expected in (("area_per_day", area.per_day), ("idle_share", area.idle_share)):
        found = days.cut(conditions[name], calendar, lag_days)
        np.testing.assert_array_equal(found, expected)
    ends = calendar.begins - lag_days
    closed = [
        1 - (own.number(ends) - own.number(ends - 30)) / 30
        for own in (window.open_numbers.of(0), window.open_numbers.of(1))
    ]
    np.testing.assert_array_equal(days.cut(conditions["closed_share"], calendar, lag_days), closed)


@pytest.mark.parametrize("positions", [("",), ("", "K")])
def test_a_long_log_read_some_rows_at_a_time_tells_the_same(
    monkeypatch: pytest.MonkeyPatch, positions: tuple[str, ...]
) -> None:
    def told() -> Array:
        records = workshop(positions)
        return days_of(records).task(records, TASK, "damper").by_day

    at_once = told()
    monkeypatch.setattr(coded, "_ROWS_AT_ONCE", 7)
    monkeypatch.setattr(table, "AT_ONCE", 11)
    assert np.ptp(at_once) > 2
    np.testing.assert_array_equal(told(), at_once)


def test_kinds_share_a_table_unless_single_parts_of_one_were_looked_after() -> None:
    records = workshop()
    days = days_of(records)
    assert days.task(records, TASK, "damper") is days.task(records, TASK, "wiper")

    # Every second time was noted for the damper K: another printer's day for the wiper.
    apart = workshop(("", "K"))
    days = days_of(apart)
    damper, wiper = (days.task(apart, TASK, kind) for kind in ("damper", "wiper"))
    assert wiper.places is None

    def seen(table: TaskTable, position: str) -> Array:
        line = table.lines(np.array([0]), np.array([position], dtype=object))
        return 2.0 ** table.by_day[line[0], 60:].astype(float) - 0.5

    k, c = seen(damper, "K"), seen(damper, "C")
    np.testing.assert_allclose(k, seen(wiper, "wiper"), rtol=1e-5)  # all of them
    alone = apart.maintenance[apart.maintenance["position"] == ""]
    whole = workshop().with_table("maintenance", alone)
    np.testing.assert_allclose(c, seen(days_of(whole).task(whole, TASK, "damper"), "C"), rtol=1e-5)
