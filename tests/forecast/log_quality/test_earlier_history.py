"""Older history is taken for as fully kept as the log only where changes lie as close together."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tracker.forecast.log_quality.earlier_history import kept_alike

FIRST, BEGAN, TODAY = date(2024, 1, 1), date(2025, 1, 1), date(2025, 12, 31)


def wipers(every_days: int, since: date, until: date) -> pd.DataFrame:
    """One place whose wiper was changed every so many days."""
    days = pd.date_range(since, until, freq=f"{every_days}D")
    return pd.DataFrame(
        {
            "printer": "Left",
            "part_kind": "wiper",
            "position": "wiper",
            "fitted_on": days[:-1],
            "removed_on": days[1:],
            "removal_reason": "failed",
        }
    )


@pytest.mark.parametrize(
    ("days_before", "days_after", "alike"),
    [(30, 30, True), (45, 30, True), (90, 30, False), (15, 30, True), (200, 30, False)],
)
def test_the_pace_before_is_held_against_the_pace_after(
    days_before: int, days_after: int, alike: bool
) -> None:
    rows = pd.concat([wipers(days_before, FIRST, BEGAN), wipers(days_after, BEGAN, TODAY)])
    assert kept_alike(rows, FIRST, BEGAN, TODAY) is alike


@pytest.mark.parametrize(("days_after", "alike"), [(30, True), (10, False)])
def test_a_log_of_a_few_days_is_no_judge_so_the_first_half_is_held_against_the_second(
    days_after: int, alike: bool
) -> None:
    rows = pd.concat([wipers(30, FIRST, BEGAN), wipers(days_after, BEGAN, TODAY)])
    assert kept_alike(rows, FIRST, TODAY, TODAY) is alike


def test_without_a_change_before_there_is_nothing_to_count() -> None:
    assert not kept_alike(wipers(30, BEGAN, TODAY), FIRST, BEGAN, TODAY)


def test_the_same_rows_twice_count_once_and_a_retired_printer_is_no_change() -> None:
    rows = pd.concat([wipers(80, FIRST, BEGAN), wipers(30, BEGAN, TODAY)])
    retired = wipers(10, FIRST, BEGAN).assign(removal_reason="retired")
    early = wipers(80, FIRST, BEGAN)
    assert not kept_alike(pd.concat([rows, early, early, retired]), FIRST, BEGAN, TODAY)
