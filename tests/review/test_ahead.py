"""The need of the next months: what a workshop changes by plan is needed on its day."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.review.month import MonthReview, month_review
from tracker.workshop.records import Records

MAY = date(2025, 5, 31)


def changed_by_plan(fitted_now: int) -> Records:
    """Six wipers changed at 60 days, one after another; the last one is in for so many days."""
    now = pd.Timestamp(MAY) - pd.Timedelta(days=fitted_now)
    fitted = [now - pd.Timedelta(days=60 * back) for back in range(6, -1, -1)]
    fittings = [
        ("A", "wiper", "wiper", day, out, "planned" if out is not None else "")
        for day, out in zip(fitted, [*fitted[1:], None], strict=True)
    ]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    records = workshop(1).with_table("fittings", rows(names, *fittings))
    return records.with_table("printers", rows("printer started_on", ("A", "2023-01-01")))


def wiper(review: MonthReview) -> pd.Series:
    return review.ahead.need.set_index("part_kind").loc["wiper"]


@pytest.mark.parametrize(
    ("fitted_now", "in_one_month", "in_three"),
    [
        # Changed at 60 days of age: 10 days old it is due in 50 days, then again after 110.
        (10, 0, 1),
        # 50 days old it is due in 10 days, then in 70.
        (50, 1, 2),
    ],
)
def test_a_part_changed_by_plan_is_needed_on_the_day_it_reaches_that_age(
    fitted_now: int, in_one_month: int, in_three: int
) -> None:
    review = month_review(changed_by_plan(fitted_now), MAY)
    row = wiper(review)
    assert row["low_1"] == in_one_month
    assert row["low_3"] == in_three
    # No wiper ever failed: what is needed beyond the plan is rare.
    assert row["mean_1"] == pytest.approx(in_one_month, abs=0.3)


def test_the_need_ahead_and_the_stock_table_speak_of_the_same_need() -> None:
    records = changed_by_plan(50)
    # Delivered at once and looked at again in 30 days: the need of the next month.
    stock = (
        stock_table(records, MAY, what_if=WhatIf(lead_days=0)).set_index("part_kind").loc["wiper"]
    )
    assert stock["horizon_days"] == 30
    # Played over six months and over one: the same but for the luck of 4 000 futures.
    assert stock["expected_need"] == pytest.approx(
        wiper(month_review(records, MAY))["mean_1"], abs=0.02
    )


def one_head(lead_days: float, life_days: float) -> Records:
    """One printer whose head fails every ``life_days``; a new one takes ``lead_days`` to come."""
    now = pd.Timestamp(MAY) - pd.Timedelta(days=life_days / 2)
    fitted = [now - pd.Timedelta(days=life_days * back) for back in range(8, -1, -1)]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    fittings = [
        ("A", "head", "H1", day, out, "failed" if out is not None else "")
        for day, out in zip(fitted, [*fitted[1:], None], strict=True)
    ]
    records = workshop(1).with_table("fittings", rows(names, *fittings))
    records = records.with_table("printers", rows("printer started_on", ("A", "2023-01-01")))
    facts = rows(
        "part_kind unit_cost lead_days lead_days_late", ("head", 500, lead_days, lead_days)
    )
    return records.with_table("parts", facts)


def test_a_head_is_ordered_by_its_day_and_not_by_stock_as_well() -> None:
    review = month_review(one_head(lead_days=20, life_days=90), MAY)
    assert review.ahead.order_dates["part_kind"].tolist() == ["head"]
    assert "head" not in review.ahead.orders["part_kind"].tolist()


def test_a_head_that_can_fail_twice_before_the_next_comes_is_ordered_by_stock() -> None:
    review = month_review(one_head(lead_days=300, life_days=60), MAY)
    head = review.ahead.orders.set_index("part_kind").loc["head"]
    assert head["order_now"] >= 5  # 300 days and more, a head every 60
    assert review.ahead.order_dates.empty
