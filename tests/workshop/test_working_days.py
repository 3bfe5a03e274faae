"""On which days the workshop works, read off its log."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tracker.workshop.records import Records
from tracker.workshop.working_days import EVERY_DAY, WorkingDays, days_worked


def log(days: pd.DatetimeIndex) -> Records:
    maintenance = {"printer": "A", "task": "stir_ink", "done_on": days, "why": "planned"}
    return Records.of({"maintenance": pd.DataFrame(maintenance)})


def test_working_days_are_the_weekdays_that_see_maintenance() -> None:
    days = pd.date_range("2024-01-01", "2024-06-30")
    records = log(days[days.dayofweek < 6])
    assert WorkingDays.of(records, date(2024, 6, 30)).share == pytest.approx(6 / 7)


def test_a_short_log_shows_no_week_and_the_asker_says_what_holds_then() -> None:
    short = log(pd.date_range("2024-06-01", periods=27))
    assert WorkingDays.of(short, date(2024, 6, 30)).weekdays == {0, 1, 2, 3, 4}
    assert WorkingDays.of(short, date(2024, 6, 30), unknown=EVERY_DAY).weekdays == EVERY_DAY


def test_the_next_working_day_is_that_day_or_the_first_after_it() -> None:
    working = WorkingDays(frozenset({0, 1, 2, 3, 4}))
    assert working.first_from(date(2024, 6, 7)) == date(2024, 6, 7)  # a Friday
    assert working.first_from(date(2024, 6, 8)) == date(2024, 6, 10)


def test_a_day_gone_by_was_worked_from_monday_to_friday_or_where_something_was_written() -> None:
    # 1 June 2024 is a Saturday, 9 June a Sunday.
    found = days_worked(log(pd.DatetimeIndex(["2024-06-09"])), date(2024, 6, 1), date(2024, 6, 10))
    assert found.day.tolist() == [3, 4, 5, 6, 7, 9, 10]
