"""The month in three figures against a log written by hand."""

from __future__ import annotations

import math
from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.review.key_figures import month_glance, running_glance
from tracker.review.month import month_review
from tracker.workshop.records import Records

# Wipers of one printer, changed on these days because they had failed.
CHANGED = ("2025-03-10", "2025-04-04", "2025-04-20", "2025-04-28", "2025-05-06", "2025-05-20")


def log() -> Records:
    days = ("2025-03-01", *CHANGED)
    lives = [
        ("A", "wiper", "wiper", began, ended, "failed" if ended else "")
        for began, ended in zip(days, (*CHANGED, None), strict=True)
    ]
    stops = pd.DataFrame(
        {
            "printer": ["A", "A"],
            "began_at": pd.to_datetime(["2025-04-07 09:00", "2025-05-07 09:00"]),
            "ended_at": pd.to_datetime(["2025-04-07 12:00", "2025-05-07 10:00"]),
            "scrap_cost": [40.0, 7.0],
        }
    )
    fitted = "printer part_kind position fitted_on removed_on removal_reason"
    return Records.of(
        {
            "printers": rows("printer started_on channels", ("A", "2025-03-01", "C")),
            "fittings": rows(fitted, *lives),
            "stoppages": stops,
            "parts": rows("part_kind unit_cost hours_to_change", ("wiper", 10.0, 0.0)),
            "settings": setting(margin_per_hour=0, log_began_on="2025-03-01"),
        }
    )


def test_the_last_whole_month_stands_beside_the_mean_of_those_before() -> None:
    glance = month_glance(log(), date(2025, 6, 12))
    assert (glance.month, glance.whole, glance.months_compared) == (date(2025, 5, 1), True, 2)
    # May: 2 failures, 1 h, two wipers at 10 and 7 of scrap. March and April: 1 and 3 failures,
    # 0 and 3 h, 10 and 30 + 40.
    assert (glance.failures.this, glance.failures.usual) == (2, 2)
    assert (glance.hours.this, glance.hours.usual) == pytest.approx((1, 1.5))
    assert (glance.money.this, glance.money.usual) == pytest.approx((27, 40))


def test_on_the_last_day_of_a_month_that_month_is_told() -> None:
    assert month_glance(log(), date(2025, 4, 30)).month == date(2025, 4, 1)
    assert running_glance(log(), date(2025, 4, 30)) is None


def test_the_running_month_is_told_beside_the_last_whole_one_where_it_has_entries() -> None:
    # On 10 April one wiper of two has failed, and the printer stood for 3 h; March had 1 failure.
    running = running_glance(log(), date(2025, 4, 10))
    assert running is not None
    assert (running.month, running.whole, running.months_compared) == (date(2025, 4, 1), False, 1)
    assert (running.failures.this, running.failures.usual, running.hours.this) == (1, 1, 3)
    assert running_glance(log(), date(2025, 6, 12)) is None, "nothing was written down in June"
    assert running_glance(log(), date(2025, 3, 20)) is None, "the first month stands there already"


def test_in_the_first_month_of_a_log_nothing_is_usual_yet() -> None:
    glance = month_glance(log(), date(2025, 3, 20))
    assert (glance.month, glance.whole, glance.months_compared) == (date(2025, 3, 1), False, 0)
    assert glance.failures.this == 1
    assert math.isnan(glance.failures.usual)


def test_the_review_tells_the_glance_of_the_same_month() -> None:
    review, glance = month_review(log(), date(2025, 5, 1)), month_glance(log(), date(2025, 5, 31))
    assert review.glance == glance
