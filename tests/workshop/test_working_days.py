"""On which days the workshop works, read off its log."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tracker.workshop.checks.rows import setting_problem
from tracker.workshop.records import Records
from tracker.workshop.working_days import EVERY_DAY, WorkingDays, days_worked, weekdays_in


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


MONDAY_TO_FRIDAY = {0, 1, 2, 3, 4}


def repeated(days: pd.DatetimeIndex, times: int = 6) -> Records:
    return log(days.repeat(times))


@pytest.mark.parametrize("weeks", [1, 2])
def test_the_first_fortnight_shows_no_week_however_much_is_written(weeks: int) -> None:
    # Monday 3 June 2024; a workshop of five printers writes thirty entries on its first day.
    days = pd.date_range("2024-06-04", periods=7 * weeks)
    records = repeated(days[days.dayofweek.isin([1, 2, 3])])
    assert WorkingDays.of(records, date(2024, 6, 21), unknown=EVERY_DAY).weekdays == EVERY_DAY


def test_three_regular_weeks_show_it_also_a_closed_monday() -> None:
    days = pd.date_range("2024-06-03", periods=21)
    shop = repeated(days[days.dayofweek.isin([1, 2, 3, 4, 5])])
    assert WorkingDays.of(shop, date(2024, 6, 24), unknown=EVERY_DAY).weekdays == {1, 2, 3, 4, 5}


def test_a_log_written_now_and_then_shows_no_week() -> None:
    days = pd.DatetimeIndex(["2024-09-03", "2024-09-12", "2024-10-07", "2024-10-26"])
    records = repeated(days, 20)
    assert WorkingDays.of(records, date(2024, 10, 31)).weekdays == MONDAY_TO_FRIDAY
    assert WorkingDays.of(records, date(2024, 10, 31), unknown=EVERY_DAY).weekdays == EVERY_DAY


@pytest.mark.parametrize("written", [[0], [0, 2, 3], [1, 5]])
def test_a_log_written_on_few_weekdays_says_nothing_against_the_others(written: list[int]) -> None:
    days = pd.date_range("2024-01-01", "2024-06-30")
    records = repeated(days[days.dayofweek.isin(written)])
    found = WorkingDays.of(records, date(2024, 6, 30), unknown=EVERY_DAY).weekdays
    assert found == MONDAY_TO_FRIDAY | set(written)


def test_the_workshop_says_which_weekdays_whatever_the_log_shows() -> None:
    days = pd.date_range("2024-06-01", "2024-06-30")
    said = log(days).with_table(
        "settings", pd.DataFrame({"name": ["weekdays_worked"], "value": ["3, 4 6"]})
    )
    assert WorkingDays.of(said, date(2024, 6, 30)).weekdays == {2, 3, 5}
    nothing = said.with_table("maintenance", said.maintenance.iloc[:0])
    found = days_worked(nothing, date(2024, 6, 1), date(2024, 6, 8))
    assert found.day.tolist() == [1, 5, 6, 8]


@pytest.mark.parametrize("text", ["Mon Tue", "0 1", "1 8", "12345", "1-5"])
def test_what_names_no_weekdays_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=text):
        weekdays_in(text)
    assert setting_problem("weekdays_worked", text) is not None
    assert setting_problem("weekdays_worked", "1 2 3 4 5") is None
