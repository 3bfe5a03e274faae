"""Is a printer getting worse? True trends are named once, chance, bursts and new parts are not."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.records.exchange import read_folder
from tracker.records.model import Records
from tracker.review.pace import Pace, chance_if_steady, drop_outs, pace_of_drop_outs, pace_of_stops
from tracker.review.period import period_of

SAMPLE = Path(__file__).parents[2] / "sample_data"
BEGAN = date(2024, 1, 1)
LAST = date(2025, 12, 31)
DAYS = (LAST - BEGAN).days + 1


def stopped(days_of: dict[str, np.ndarray], started_on: date = date(2020, 1, 1)) -> Records:
    """Printers, each with stoppages on those days after the log began."""
    lines = [
        (name, (BEGAN + timedelta(days=int(day))).isoformat())
        for name, days in days_of.items()
        for day in days
    ]
    stops = rows("printer began_at", *lines)
    stops["began_at"] = stops["began_at"].astype("datetime64[ns]") + pd.Timedelta(hours=9)
    stops["ended_at"] = stops["began_at"] + pd.Timedelta(hours=1)
    return Records.of(
        {
            "printers": rows(
                "printer started_on", *[(name, started_on.isoformat()) for name in days_of]
            ),
            "stoppages": stops,
            "settings": setting(log_began_on=BEGAN.isoformat()),
        }
    )


def looked_at(records: Records, month: date) -> Pace:
    period = period_of(records, month, None)
    return pace_of_stops(records.known_at(period.last), period)


# Every 30 days for a year, then every 20, 10 and 4 days in the second year.
RISING = np.concatenate(
    [
        np.arange(15, 365, 30),
        np.arange(370, 550, 20),
        np.arange(555, 640, 10),
        np.arange(644, 730, 4),
    ]
)
STEADY = np.arange(15, 730, 20)


def test_a_printer_that_stops_faster_and_faster_is_named() -> None:
    found = looked_at(stopped({"Ada": RISING, "Bob": STEADY}), date(2025, 12, 1))
    assert found.printers.set_index("printer").loc["Ada", "verdict"] == "getting worse"
    assert "Ada" in found.sentence
    assert "Bob" not in found.sentence


def test_it_is_news_once_and_then_said_with_the_month_it_was_first_said() -> None:
    records = stopped({"Ada": RISING, "Bob": STEADY})
    months = [month.start_time.date() for month in pd.period_range("2025-06", "2025-12", freq="M")]
    found = {month: looked_at(records, month) for month in months}
    news = [month for month in months if found[month].worse]
    assert len(news) == 1
    after = [month for month in months if month > news[0]]
    assert after
    assert all(found[month].still == (("Ada", news[0]),) for month in after)
    assert f"{news[0]:%B %Y}" in found[after[-1]].sentence


def test_the_first_failures_of_a_new_printer_are_no_trend() -> None:
    # Nothing fails in the first four months, when every part is new; then a steady pace.
    days = np.arange(125, 360, 5)
    records = stopped({"New": days}, started_on=BEGAN)
    month = date(2024, 12, 1)
    assert looked_at(records, month).printers["verdict"].tolist() == ["no sign of getting worse"]
    old = stopped({"Old": days})
    assert looked_at(old, month).printers["verdict"].tolist() == ["getting worse"]


def test_a_burst_such_as_a_bad_batch_is_no_trend() -> None:
    burst = np.array([380, 420, 470, 520, 560, 600, 640, 690, 691, 692, 693, 694, 695, 696])
    assert not looked_at(stopped({"Ada": burst}), date(2025, 12, 1)).worse


def test_steady_workshops_raise_a_false_alarm_in_few_years() -> None:
    # The level aims at 1 in 20 over twelve reviews in a row; more than 3 of 20 years would be
    # a 2 % chance then.
    rng = np.random.default_rng(5)
    alarms = 0
    for _ in range(20):
        days_of = {
            name: np.unique(rng.integers(1, DAYS, rng.poisson(DAYS / 25))) for name in "ABCD"
        }
        records = stopped(days_of)
        december = looked_at(records, date(2025, 12, 1))
        earlier = [looked_at(records, date(2025, month, 1)) for month in (3, 6, 9)]
        alarms += any(found.worse or found.still for found in (december, *earlier))
    assert alarms <= 3


def test_no_printer_of_the_demo_is_called_worse_in_any_month() -> None:
    # Its Loft printer was new in 2024 and met a bad batch in early 2026; neither is a trend.
    records = read_folder(SAMPLE)
    for month in pd.period_range("2025-10", "2026-10", freq="M"):
        period = period_of(records, month.start_time.date(), None)
        known = records.known_at(period.last)
        for pace in (pace_of_stops(known, period), pace_of_drop_outs(known, period)):
            assert not pace.worse
            assert not pace.still


def test_the_chance_is_laplaces_where_counts_spread_no_more_than_poisson() -> None:
    # By hand: ten events a month apart, 15 … 285 of 300 days, U = (1500 − 1500)/… = 0.
    assert chance_if_steady(np.arange(15.0, 300, 30), 300) == pytest.approx(0.5)


def test_a_drop_out_is_a_channel_newly_bad_counted_once_a_day() -> None:
    checks = rows(
        "printer checked_on position channel missing_nozzles",
        ("Ada", "2025-01-06", "H1", "K", 0.0),
        ("Ada", "2025-01-06", "H1", "W1", 5.0),  # nothing known before: no drop-out
        ("Ada", "2025-01-13", "H1", "K", 3.0),  # newly bad
        ("Ada", "2025-01-13", "H1", "W1", 0.0),
        ("Ada", "2025-01-20", "H1", "K", 9.0),  # still bad
        ("Ada", "2025-01-20", "H1", "W1", 2.0),  # one or two come and go
        ("Ada", "2025-01-27", "H1", "K", 0.0),
        ("Ada", "2025-02-03", "H1", "K", 4.0),  # bad again, and
        ("Ada", "2025-02-03", "H1", "W1", 4.0),  # another channel on the same day
    )
    found = drop_outs(Records.of({"nozzle_checks": checks}))
    assert found["day"].dt.strftime("%Y-%m-%d").tolist() == ["2025-01-13", "2025-02-03"]


def test_a_workshop_without_a_stoppage_says_that_it_cannot_tell() -> None:
    found = looked_at(stopped({"Ada": np.array([], dtype=int)}), date(2025, 12, 1))
    assert found.sentence.startswith("Too few stoppages")
    assert found.mean.empty
