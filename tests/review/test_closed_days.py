"""A month with a shutdown: nothing neglected, nothing stood still, no margin lost; by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.review.month import MonthReview, month_review
from tracker.workshop.records import Records

AUGUST = date(2025, 8, 1)
SHUT = rows("began_on ended_on", ("2025-08-04", "2025-08-15"))


def records(*, closed: bool = True, **settings: object) -> Records:
    """One printer, stirred on every working day but in the fortnight from 4 August; it stood from
    Thursday 31 July, noon, to Tuesday 19 August, 10:00."""
    days = pd.bdate_range("2025-06-02", "2025-08-29")
    days = days[(days < "2025-08-04") | (days > "2025-08-15")]
    stops = pd.DataFrame(
        {
            "printer": ["A"], "began_at": pd.to_datetime(["2025-07-31 12:00"]),
            "ended_at": pd.to_datetime(["2025-08-19 10:00"]), "part_kind": "head",
        }
    )  # fmt: skip
    told: dict[str, object] = {"margin_per_hour": 20, "hours_per_day": 8} | settings
    return workshop(
        1,
        routines=rows("task every_days starts_on", ("stir_ink", 1, "2025-06-02")),
        maintenance=rows(
            "printer task done_on why", *(("A", "stir_ink", day, "planned") for day in days)
        ),
        stoppages=stops,
        closures=SHUT if closed else SHUT.iloc[:0],
        settings=setting(log_began_on="2025-06-02", **told),
    )


@pytest.fixture(scope="module")
def august() -> MonthReview:
    return month_review(records(), AUGUST)


def test_the_review_of_a_month_with_a_shutdown_calls_nothing_neglected(
    august: MonthReview,
) -> None:
    # 1 August and ten working days from the 18th to the 29th.
    assert august.kept[["due", "in_time", "missed"]].iloc[0].tolist() == [11, 11, 0]
    assert august.skipping.skipped == 0


def test_nothing_stands_still_and_no_margin_is_lost_on_closed_days(august: MonthReview) -> None:
    # 8 h on 1 August, 8 on the 18th, 8 of the 10 h on the 19th.
    assert august.happened.hours["this_month"].to_dict() == {"A": 24}
    assert august.happened.money.loc["standing", "this_month"] == 24 * 20
    # The printer was there to work on 11 days.
    assert august.happened.operating_hours == 11 * 8 - 24


def test_what_other_printers_take_over_is_no_lost_margin_in_the_review() -> None:
    review = month_review(records(taken_over_share=0.25), AUGUST)
    assert review.happened.money.loc["standing", "this_month"] == 0.75 * 24 * 20


def test_without_the_closure_the_same_log_looks_neglected() -> None:
    review = month_review(records(closed=False), AUGUST)
    assert review.kept["missed"].sum() > 0
