"""Is a printer getting worse? Trends are named once; chance, bursts, seasons, new parts not."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.intake.exchange import read_folder
from tracker.models.events import laplace_trend
from tracker.review.period import period_of
from tracker.review.printer_trend import (
    PrinterTrend,
    chances_if_steady,
    drop_out_trend,
    drop_outs,
    more_than_a_year_before,
    stoppage_trend,
)
from tracker.say.monthly.findings import trend_sentence
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[2] / "sample_data"
BEGAN = date(2024, 1, 1)
LAST = date(2025, 12, 31)
DAYS = (LAST - BEGAN).days + 1


def stopped(
    days_of: dict[str, np.ndarray], started_on: date = date(2020, 1, 1), began: date = BEGAN
) -> Records:
    """Printers, each with stoppages on those days after the log began."""
    lines = [
        (name, (began + timedelta(days=int(day))).isoformat())
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
            "settings": setting(log_began_on=began.isoformat()),
        }
    )


def looked_at(records: Records, month: date) -> PrinterTrend:
    period = period_of(records, month, None)
    return stoppage_trend(records.known_at(period.last), period)


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
    assert "Ada" in trend_sentence(found)
    assert "Bob" not in trend_sentence(found)


def test_it_is_news_once_and_then_said_with_the_month_it_was_first_said() -> None:
    records = stopped({"Ada": RISING, "Bob": STEADY})
    months = [month.start_time.date() for month in pd.period_range("2025-06", "2025-12", freq="M")]
    found = {month: looked_at(records, month) for month in months}
    news = [month for month in months if found[month].worse]
    assert len(news) == 1
    after = [month for month in months if month > news[0]]
    assert after
    assert all(found[month].still == (("Ada", news[0]),) for month in after)
    assert f"{news[0]:%B %Y}" in trend_sentence(found[after[-1]])


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
    # Two years of log: 3 to 4 % of years were alarmed; more than 3 of 20 would be a 1 % chance.
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


BEFORE = date(2023, 1, 1)  # three years to the end of 2025
THREE_YEARS = (LAST - BEFORE).days + 1


def years_alarmed(workshops: list[dict[str, np.ndarray]]) -> int:
    """Of so many workshops watched for three years, those alarmed in the last (four reviews)."""
    alarmed = 0
    for days_of in workshops:
        records = stopped(days_of, began=BEFORE)
        found = [looked_at(records, date(2025, month, 1)) for month in (3, 6, 9, 12)]
        alarmed += any(trend.worse or trend.still for trend in found)
    return alarmed


def seasonal(rng: np.random.Generator, per_year: float) -> np.ndarray:
    """Days of events whose pace swings by ±60 % over the year, fastest at the turn of the year."""
    day = rng.integers(1, THREE_YEARS, rng.poisson(1.6 * per_year * THREE_YEARS / 365))
    share = (1 + 0.6 * np.cos(2 * np.pi * day / 365)) / 1.6
    return np.unique(day[rng.random(len(day)) < share])


def test_a_season_that_comes_every_year_is_no_trend() -> None:
    # Without a look at the year before up to half of such years were alarmed; with it 3 to 7 %.
    rng = np.random.default_rng(11)
    workshops = [{name: seasonal(rng, 60) for name in "ABCD"} for _ in range(15)]
    assert years_alarmed(workshops) <= 3


def test_bursts_raise_a_false_alarm_in_few_years() -> None:
    # Three on average within twenty days, twenty a year: 6 to 9 % of years were alarmed.
    rng = np.random.default_rng(12)

    def bursts() -> np.ndarray:
        begins = rng.uniform(0, THREE_YEARS, rng.poisson(20 / 3 * THREE_YEARS / 365))
        days = np.repeat(begins, rng.poisson(3, len(begins)))
        days = np.unique((days + rng.uniform(0, 20, len(days))).astype(int))
        return days[(days > 0) & (days < THREE_YEARS)]

    assert years_alarmed([{name: bursts() for name in "ABCD"} for _ in range(15)]) <= 4


def test_a_fivefold_rise_is_found_although_the_year_before_is_looked_at() -> None:
    # Forty events a year, rising to five times as many over the last year: found in 98 %.
    rng = np.random.default_rng(13)

    def rising() -> np.ndarray:
        day = rng.integers(1, THREE_YEARS, rng.poisson(200 * THREE_YEARS / 365))
        times = 1 + 4 * np.clip((day - (THREE_YEARS - 365)) / 365, 0, 1)
        return np.unique(day[rng.random(len(day)) < times / 5])

    assert years_alarmed([{"Ada": rising(), "Bob": STEADY} for _ in range(8)]) >= 6


def test_the_half_year_is_held_against_the_same_days_a_year_before() -> None:
    # By hand: 9 against 3 of 12 even chances is a one-sided chance of 299 / 4096 = 0.073, not
    # under 0.05; 10 against 2 is 79 / 4096 = 0.019.
    def days(now: int, then: int) -> np.ndarray:
        return np.concatenate([np.linspace(10, 170, then), np.linspace(380, 540, now)])

    assert not more_than_a_year_before(days(9, 3), 547, 0)
    assert more_than_a_year_before(days(10, 2), 547, 0)
    # Not watched for eighteen months: nothing to compare with.
    assert more_than_a_year_before(days(9, 3), 547, 1)


def test_a_log_too_short_for_the_season_says_so() -> None:
    records = stopped({"Ada": RISING[RISING > 365] - 365}, began=date(2025, 1, 1))
    found = looked_at(records, date(2025, 12, 1))
    assert found.printers["verdict"].tolist() == ["getting worse"]
    assert "too short to rule out the time of year" in trend_sentence(found)
    longer = looked_at(stopped({"Ada": RISING}), date(2025, 12, 1))
    assert "time of year" not in trend_sentence(longer)


def test_no_printer_of_the_demo_is_called_worse_in_any_month() -> None:
    # Its Loft printer was new in 2024 and met a bad batch in early 2026; neither is a trend.
    records = read_folder(SAMPLE)
    for month in pd.period_range("2025-10", "2026-10", freq="M"):
        period = period_of(records, month.start_time.date(), None)
        known = records.known_at(period.last)
        for trend in (stoppage_trend(known, period), drop_out_trend(known, period)):
            assert not trend.worse
            assert not trend.still


def test_the_chance_is_laplaces_where_counts_spread_no_more_than_poisson() -> None:
    # By hand: ten events a month apart, 15 … 285 of 300 days, U = (1500 − 1500)/… = 0.
    found = chances_if_steady(np.zeros(10, int), np.arange(15.0, 300, 30), np.array([300.0]))
    assert found == pytest.approx([0.5])


def test_printers_judged_together_get_the_chances_they_get_alone() -> None:
    rng = np.random.default_rng(7)
    watched = np.array([365.0, 200.0, 240.5])
    days = [np.arange(20.0, 361, 20), rng.uniform(0.1, 200, 12), rng.uniform(100, 110, 30)]
    of = np.repeat(np.arange(3), [len(own) for own in days])
    together = chances_if_steady(of, np.concatenate(days), watched)
    for own, end, found in zip(days, watched, together, strict=True):
        assert found == chances_if_steady(np.zeros(len(own), int), own, np.array([end]))[0]
    # Evenly spread events are Laplace's; those of one burst are no more than a burst.
    assert together[0] == pytest.approx(laplace_trend(days[0], 365.0).p_worse)
    assert laplace_trend(days[2] + 60, 240.5).p_worse < 1e-3
    burst = chances_if_steady(np.zeros(30, int), days[2] + 60, np.array([240.5]))
    assert 0.05 < burst[0] < 0.5


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


def test_where_only_bad_channels_are_written_down_the_others_missed_none() -> None:
    bad = [
        ("Ada", "2025-02-01", "H1", "M", 3.0),
        ("Ada", "2025-02-10", "H1", "C", 5.0),
        ("Ada", "2025-02-17", "H1", "C", 6.0),  # still bad
        ("Ada", "2025-02-24", "H1", "M", 3.0),
        ("Ada", "2025-03-03", "H1", "C", 5.0),
    ]
    checks = rows("printer checked_on position channel missing_nozzles", *bad)
    found = drop_outs(Records.of({"nozzle_checks": checks}))["day"].dt.strftime("%m-%d")
    assert found.tolist() == ["02-10", "02-24", "03-03"]


def test_a_workshop_without_a_stoppage_says_that_it_cannot_tell() -> None:
    found = looked_at(stopped({"Ada": np.array([], dtype=int)}), date(2025, 12, 1))
    assert trend_sentence(found).startswith("Too few stoppages")
    assert found.mean.empty
