"""Printed area between days and per day, and lives measured by it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import PartPlan, PrinterPlan, WorkshopPlan
from tracker.errors import UsageError
from tracker.lives.counter_readings import counter_readings
from tracker.lives.life_table import ages, life_table
from tracker.lives.usage import area_between, printing_rate
from tracker.workshop.records import Records


def workshop(
    readings: dict[str, list[tuple[str, float]]],
    fittings: list[dict[str, Any]] | None = None,
    settings: dict[str, str] | None = None,
) -> Records:
    rows = [(printer, day, area) for printer, pairs in readings.items() for day, area in pairs]
    frames = {
        "printers": pd.DataFrame({"printer": list(readings), "started_on": "2020-01-01"}),
        "counters": pd.DataFrame(rows, columns=["printer", "read_on", "area_m2"]),
    }
    if fittings:
        base = {"printer": "Ada", "part_kind": "roller", "position": "roller"}
        frames["fittings"] = pd.DataFrame([{**base, **row} for row in fittings])
    if settings:
        frames["settings"] = pd.DataFrame({"name": list(settings), "value": settings.values()})
    return Records.of(frames)


WEEKLY = {"Ada": [("2025-01-01", 100.0), ("2025-01-08", 170.0), ("2025-01-15", 310.0)]}


def between(records: Records, start: str, end: str, printer: str = "Ada") -> float:
    days = [[date.fromisoformat(day)] for day in (start, end)]
    return float(area_between(records, [printer], *days)[0])


@pytest.mark.parametrize(
    ("start", "end", "area"),
    [
        ("2025-01-01", "2025-01-15", 210.0),
        ("2025-01-02", "2025-01-05", 30.0),  # 10 m² a day in the first week
        ("2025-01-05", "2025-01-10", 30.0 + 40.0),  # and 20 m² a day in the second
        ("2025-01-10", "2025-01-10", 0.0),
        ("2025-01-15", "2025-01-17", 2 * 15.0),  # carried on at 210 m² in 14 days
        ("2024-12-31", "2025-01-01", 15.0),
    ],
)
def test_area_is_spread_evenly_between_two_readings(start: str, end: str, area: float) -> None:
    assert between(workshop(WEEKLY), start, end) == pytest.approx(area)


@pytest.mark.parametrize(
    ("start", "end"), [("2025-01-01", "2025-02-16"), ("2024-11-30", "2025-01-05")]
)
def test_beyond_a_month_without_readings_the_area_is_not_known(start: str, end: str) -> None:
    assert np.isnan(between(workshop(WEEKLY), start, end))


def test_a_printer_without_readings_has_no_area() -> None:
    assert np.isnan(between(workshop({**WEEKLY, "Bea": []}), "2025-01-01", "2025-01-02", "Bea"))
    assert np.isnan(between(workshop({"Ada": []}), "2025-01-01", "2025-01-02"))


def test_one_reading_alone_tells_nothing_about_other_days() -> None:
    records = workshop({"Ada": [("2025-01-01", 100.0)]})
    assert np.isnan(between(records, "2025-01-01", "2025-01-02"))


def test_a_backward_step_hides_only_the_time_across_it() -> None:
    readings = [*WEEKLY["Ada"], ("2025-01-22", 5.0), ("2025-01-29", 75.0)]
    records = workshop({"Ada": readings})
    assert between(records, "2025-01-01", "2025-01-15") == pytest.approx(210)
    assert between(records, "2025-01-22", "2025-01-29") == pytest.approx(70)
    assert np.isnan(between(records, "2025-01-10", "2025-01-25"))
    assert np.isnan(between(records, "2025-01-16", "2025-01-18"))


def test_many_printers_at_once_do_not_mix() -> None:
    rng = np.random.default_rng(2)
    names = [f"P{number}" for number in range(20)]
    first = pd.Timestamp("2025-01-01")
    readings: dict[str, list[tuple[str, float]]] = {}
    expected = {}
    for name in rng.permutation(names):
        total = np.cumsum(rng.integers(0, 50, 30)).astype(float)
        days = [first + pd.Timedelta(days=3 * number) for number in range(30)]
        readings[name] = [(str(day.date()), area) for day, area in zip(days, total, strict=True)]
        expected[name] = (np.arange(30) * 3, total)
    records = workshop(readings)
    chosen = rng.choice(names, 200)
    start, end = np.sort(rng.integers(0, 88, (2, 200)), axis=0)
    found = area_between(
        records,
        list(chosen),
        pd.Series(first + pd.to_timedelta(start, unit="D")),
        pd.Series(first + pd.to_timedelta(end, unit="D")),
    )
    by_hand = [
        np.diff(np.interp([a, b], *expected[name]))[0]
        for name, a, b in zip(chosen, start, end, strict=True)
    ]
    np.testing.assert_allclose(found, by_hand, atol=1e-9)


def test_sequences_of_unequal_length_are_refused() -> None:
    with pytest.raises(UsageError, match="2 printers, 1 start days and 1 end days"):
        area_between(Records(), ["A", "B"], [date(2025, 1, 1)], [date(2025, 1, 2)])


def test_readings_noted_with_a_fitting_count_too() -> None:
    fitting = {"fitted_on": "2025-01-04", "fitted_counter_m2": 160.0}
    records = workshop(WEEKLY, [fitting])
    assert len(counter_readings(records).key) == 4
    assert between(records, "2025-01-01", "2025-01-04") == pytest.approx(60)


def test_readings_tell_the_same_in_whichever_order_they_were_written_down() -> None:
    days = pd.date_range("2025-01-01", periods=8, freq="5D")
    rows = {name: [(str(day), 10.0 * n**2) for n, day in enumerate(days)] for name in ("A", "B")}
    told = workshop(rows)
    shuffled = told.with_table("counters", told.counters.sample(frac=1, random_state=3))
    assert not shuffled.counters["read_on"].is_monotonic_increasing
    as_of = date(2025, 3, 1)
    pd.testing.assert_frame_equal(printing_rate(shuffled, as_of), printing_rate(told, as_of))


@pytest.mark.parametrize("slip", [16.0, 1600.0])
def test_a_slip_in_a_fittings_reading_does_not_spoil_the_counter(slip: float) -> None:
    records = workshop(WEEKLY, [{"fitted_on": "2025-01-04", "fitted_counter_m2": slip}])
    assert between(records, "2025-01-01", "2025-01-15") == pytest.approx(210)


def test_the_counters_table_goes_before_a_fittings_reading_of_the_same_day() -> None:
    records = workshop(WEEKLY, [{"fitted_on": "2025-01-08", "fitted_counter_m2": 172.0}])
    assert between(records, "2025-01-01", "2025-01-08") == pytest.approx(70)


def test_the_rate_is_area_over_days_with_its_standard_error() -> None:
    rate = printing_rate(workshop(WEEKLY), date(2025, 1, 20)).loc["Ada"]
    assert rate["area_m2_per_day"] == pytest.approx(15)
    assert rate["days"] == 14
    # By hand: residuals 70 − 105 and 140 − 105, so sqrt(2/1 · (35² + 35²)) / 14 = 5.
    assert rate["std_error"] == pytest.approx(5)


def test_the_rate_knows_only_readings_up_to_its_day_and_in_its_window() -> None:
    readings = [(str(date(2025, 1, 1) + timedelta(weeks=week)), 70.0 * week) for week in range(20)]
    readings += [(str(date(2025, 5, 21) + timedelta(weeks=week)), 1400 + 7.0 * week) for week in
                 range(1, 10)]  # fmt: skip
    records = workshop({"Ada": readings})
    assert printing_rate(records, date(2025, 5, 1)).loc["Ada", "area_m2_per_day"] == 10
    late = printing_rate(records, date(2025, 7, 23), window_days=21).loc["Ada"]
    assert late["area_m2_per_day"] == pytest.approx(1)
    assert late["std_error"] == pytest.approx(0, abs=1e-9)


def test_too_few_readings_give_no_rate_or_no_error_but_a_row() -> None:
    records = workshop(
        {
            "Ada": [("2025-01-01", 0.0), ("2025-01-05", 40.0)],
            "Bea": [("2025-01-01", 5.0)],
            "Cas": [],
            "Dot": [("2023-01-01", 5.0), ("2023-02-01", 9.0)],
        }
    )
    rates = printing_rate(records, date(2025, 1, 10))
    assert rates.index.tolist() == ["Ada", "Bea", "Cas", "Dot"]
    assert rates["area_m2_per_day"].tolist() == pytest.approx(
        [10, np.nan, np.nan, np.nan], nan_ok=True
    )
    assert rates["std_error"].isna().all()


def test_the_standard_error_covers_the_true_rate_as_often_as_it_says() -> None:
    """Working weeks of five days, read daily: the weekend must not look like noise."""
    rng = np.random.default_rng(11)
    days = pd.date_range("2025-01-06", periods=91)
    held = 0
    for _ in range(200):
        daily = np.where(days.weekday < 5, rng.gamma(4, 2.0, 91), 0.0)
        total = np.concatenate([[0.0], np.cumsum(daily)[:-1]])
        readings = [(str(day.date()), area) for day, area in zip(days, total, strict=True)]
        rate = printing_rate(workshop({"Ada": readings}), days[-1].date(), 120).loc["Ada"]
        held += abs(rate["area_m2_per_day"] - 8.0 * 5 / 7) < 1.96 * rate["std_error"]
    # About 12 free weeks: Student's t would want 2.2, so a little under 95 % is right.
    assert 176 <= held <= 196


def area_life(records: Records, as_of: str = "2025-01-15") -> pd.Series:
    return life_table(records, date.fromisoformat(as_of), scale="area").iloc[0]


def test_a_life_in_area_is_what_was_printed_with_the_part_in() -> None:
    life = area_life(
        workshop(
            WEEKLY,
            [
                {
                    "fitted_on": "2025-01-02",
                    "removed_on": "2025-01-10",
                    "removal_reason": "failed",
                    "last_ok_on": "2025-01-06",
                }
            ],
        )
    )
    assert life["age"] == pytest.approx(60 + 40)
    assert life["last_ok"] == pytest.approx(40)
    assert life["entry"] == 0
    assert life["counted"]


def test_the_parts_own_readings_go_before_interpolation() -> None:
    life = area_life(
        workshop(
            WEEKLY,
            [
                {
                    "fitted_on": "2025-01-02",
                    "fitted_counter_m2": 104.0,
                    "removed_on": "2025-01-10",
                    "removed_counter_m2": 200.0,
                    "removal_reason": "failed",
                }
            ],
        )
    )
    assert life["age"] == pytest.approx(96)


def test_delayed_entry_in_area_is_what_was_printed_before_the_log() -> None:
    records = workshop(WEEKLY, [{"fitted_on": "2025-01-01"}], {"log_began_on": "2025-01-08"})
    life = area_life(records)
    assert (life["entry"], life["age"]) == pytest.approx((70, 210))


def test_a_part_fitted_before_the_readings_is_left_out_with_its_reason() -> None:
    life = area_life(workshop(WEEKLY, [{"fitted_on": "2024-06-01"}]))
    assert not life["counted"]
    assert life["why_not"] == "not enough counter readings"


def test_a_running_part_is_watched_as_far_as_the_readings_reach() -> None:
    records = workshop(WEEKLY, [{"fitted_on": "2025-01-01"}])
    life = area_life(records, "2025-12-31")
    assert life["age"] == pytest.approx(210 + 31 * 15)
    assert life["counted"]


def test_a_failure_after_the_readings_ended_is_left_out() -> None:
    records = workshop(
        WEEKLY,
        [{"fitted_on": "2025-01-01", "removed_on": "2025-12-01", "removal_reason": "failed"}],
    )
    assert area_life(records, "2025-12-31")["why_not"] == "not enough counter readings"


def test_a_part_that_failed_before_anything_was_printed_lived_half_a_days_work() -> None:
    row = {"fitted_on": "2025-01-08", "removed_on": "2025-01-08", "removal_reason": "failed"}
    assert area_life(workshop(WEEKLY, [row]))["age"] == pytest.approx(0.5 * 15)
    idle = {"Ada": [("2025-01-01", 100.0), ("2025-01-15", 100.0)]}
    life = area_life(workshop(idle, [row]))
    assert life["why_not"] == "nothing printed while it was watched"


def test_lives_in_area_give_back_the_law_when_area_is_what_wears() -> None:
    """Printers of very different workloads: one Weibull law in m², none in days."""
    began = date(2020, 1, 1)
    roller = PartPlan(
        "roller", 2.0, 150, clock="area", seen_in_nozzle_check=False, first_stock=1000
    )
    plan = WorkshopPlan(
        printers=tuple(
            PrinterPlan(f"P{number}", began, area_m2_per_working_day=7.0 * 1.4**number)
            for number in range(6)
        ),
        parts=(roller,),
        log_began_on=began,
        log_ends_on=date(2025, 12, 31),
        working_days_per_week=7,
        idle_chance=0.0,
    )
    records, _ = simulate_workshop(plan, np.random.default_rng(4))
    lives = life_table(records, plan.log_ends_on, scale="area")
    usual = lives["printer"].map(
        {printer.name: printer.area_m2_per_working_day for printer in plan.printers}
    )
    data = ages(lives.assign(age=lives["age"] / usual, entry=lives["entry"] / usual))
    assert data.failed.sum() > 60
    # The running ones are few and young; the total hazard they saw is that of the law.
    hazard = ((data.age / 150) ** 2.0).sum()
    low, high = stats.chi2(2 * data.failed.sum()).ppf([0.005, 0.995]) / 2
    assert low < hazard < high


def test_every_printer_of_the_demo_kind_of_log_has_a_rate_and_area_lives() -> None:
    from tests.simulation.demo import demo_plan, make_demo

    records, _ = make_demo()
    rates = printing_rate(records, demo_plan().log_ends_on)
    assert (rates["area_m2_per_day"] > 3 * rates["std_error"]).all()
    lives = life_table(records, demo_plan().log_ends_on, scale="area")
    left_out = lives.loc[~lives["counted"], "why_not"]
    assert set(left_out) <= {
        "fitting day unknown", "not enough counter readings", "removed before the log began",
    }  # fmt: skip
    before = lives["fitted_on"] < pd.Timestamp(records.log_began_on)
    assert lives.loc[~before & lives["fitted_on"].notna(), "counted"].all()
