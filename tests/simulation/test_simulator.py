"""The simulated workshop obeys the laws it claims, and writes down what really happened."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import (
    PartPlan,
    PrinterPlan,
    RoutinePlan,
    Truth,
    WorkshopPlan,
    exposure_per_day,
    study_plan,
)
from tracker.workshop.checks import refusals
from tracker.workshop.records import Records

BEGAN = date(2020, 1, 1)


def one_kind(part: PartPlan, days: int = 3000, printers: int = 8, **more: object) -> WorkshopPlan:
    """Printers that work and are checked every day, with one kind of part."""
    plan = WorkshopPlan(
        printers=tuple(
            PrinterPlan(f"P{number}", BEGAN, check_chance=1.0) for number in range(printers)
        ),
        parts=(part,),
        log_began_on=BEGAN,
        log_ends_on=BEGAN + timedelta(days=days),
        working_days_per_week=7,
        idle_chance=0.0,
        area_spread=0.0,
    )
    return replace(plan, **more)  # type: ignore[arg-type]


def simulated(plan: WorkshopPlan, seed: int = 1) -> tuple[Records, Truth]:
    return simulate_workshop(plan, np.random.default_rng(seed))


@pytest.fixture(scope="module")
def study() -> tuple[Records, Truth]:
    return simulated(study_plan(printers=12, shake_effect=-0.6), seed=3)


def test_the_same_seed_gives_the_same_records() -> None:
    first, _ = simulated(study_plan(), seed=5)
    again, _ = simulated(study_plan(), seed=5)
    other, _ = simulated(study_plan(), seed=6)
    pd.testing.assert_frame_equal(first.fittings, again.fittings)
    pd.testing.assert_frame_equal(first.maintenance, again.maintenance)
    assert not first.fittings.equals(other.fittings)


def test_wear_ages_follow_the_weibull_law_of_the_plan() -> None:
    damper = PartPlan("damper", 1.8, 100, white_scale_days=50, first_stock=1000)
    _, truth = simulated(one_kind(damper))
    scaled = truth.lives["wear_age_days"] / truth.lives["scale_days"]
    assert len(scaled) > 1000
    assert stats.kstest(scaled, stats.weibull_min(1.8).cdf).pvalue > 0.01


def test_a_hard_printer_and_a_day_of_change_shorten_lives_as_the_plan_says() -> None:
    # Shape 2: e on the hazard divides the scale by the square root of e, a change by two.
    part = PartPlan("wiper", 2.0, 100, first_stock=1000)
    harsh = one_kind(part)
    harsh = replace(harsh, printers=tuple(replace(one, log_hazard=1.0) for one in harsh.printers))
    changed = one_kind(part, halved_from=BEGAN)
    for plan, factor in ((harsh, np.exp(-0.5)), (changed, 0.5)):
        _, truth = simulated(plan)
        ages = truth.lives["wear_age_days"] / (100 * factor)
        assert len(ages) > 300
        assert stats.kstest(ages[np.isfinite(ages)], stats.weibull_min(2.0).cdf).pvalue > 0.01


def test_a_daily_task_shifts_the_hazard_by_its_effect_per_doubling() -> None:
    wiper = PartPlan(
        "wiper",
        2.0,
        80,
        effects={"clean_wiper_cap": -0.4},
        reference_per_30_days={"clean_wiper_cap": 2.0},
        first_stock=1000,
    )
    routine = RoutinePlan("clean_wiper_cap", 1, done=1.0)
    records, truth = simulated(one_kind(wiper, printers=20, routines=(routine,)))
    day = (records.fittings["fitted_on"] - pd.Timestamp(BEGAN)).dt.days
    settled = truth.lives[(day >= 30) & (day <= 2000)]
    # Thirty actions in thirty days against two: log2(30.5 / 2.5) doublings of −0.4 each.
    hazard_ratio = np.exp(-0.4 * np.log2(30.5 / 2.5))
    law = stats.weibull_min(2.0, scale=80 * hazard_ratio ** (-1 / 2.0))
    assert len(settled) > 200
    assert stats.kstest(settled["wear_age_days"], law.cdf).pvalue > 0.01


def test_wear_by_area_equals_wear_by_days_when_every_day_prints_the_same() -> None:
    roller = PartPlan("roller", 2.0, 90, clock="area", first_stock=1000)
    plan = one_kind(roller)
    records, truth = simulated(plan)
    area = records.counters.groupby("printer")["area_m2"].max()
    assert area.max() - area.min() < 1.0
    settled = truth.lives["wear_age_days"][np.isfinite(truth.lives["wear_age_days"])]
    settled = settled[: int(0.9 * len(settled))]
    # The season moves the clock by a fifth and evens out over the years.
    assert stats.kstest(settled, stats.weibull_min(2.0, scale=90).cdf).statistic < 0.12


def test_accidents_come_at_their_constant_rate() -> None:
    head = PartPlan("head", 2.0, 5000, accident_per_year=1.0, first_stock=1000)
    records, _ = simulated(one_kind(head, printers=20))
    accidents = (records.fittings["removal_reason"] == "accident").sum()
    years = 20 * 3000 / 365.25
    assert stats.poisson(years).cdf(accidents) > 0.005
    assert stats.poisson(years).sf(accidents - 1) > 0.005


def test_every_recorded_failure_lies_between_its_last_good_check_and_its_removal(
    study: tuple[Records, Truth],
) -> None:
    records, truth = study
    failed = records.fittings[records.fittings["removal_reason"] == "failed"]
    began = pd.Timestamp(truth.plan.log_began_on)
    failed = failed[failed["last_ok_on"].notna() & (failed["fitted_on"] >= began)]
    assert len(failed) > 100
    wear_age = truth.lives.loc[failed.index, "wear_age_days"]
    true_age = (failed["removed_on"] - failed["fitted_on"]).dt.days
    good_age = (failed["last_ok_on"] - failed["fitted_on"]).dt.days
    assert (good_age <= wear_age).all()
    assert (wear_age <= true_age).all()


def test_planned_actions_in_the_log_explain_as_many_failures_as_there_were(
    study: tuple[Records, Truth],
) -> None:
    """The cumulative hazard, worked out again from the records, adds up to the failures."""
    records, truth = study
    damper, fittings = truth.part("damper"), records.fittings
    first = pd.Timestamp(truth.plan.log_began_on)
    last = pd.Timestamp(truth.plan.log_ends_on)
    expected = failures = 0.0
    shaken = records.maintenance.query("task == 'shake_dampers' and why == 'planned'")
    dampers = fittings[fittings["part_kind"] == "damper"]
    for printer in truth.plan.printers:
        planned = shaken[shaken["printer"] == printer.name]
        done = np.zeros((last - first).days + 1)
        np.add.at(done, (planned["done_on"] - first).dt.days, 1.0)
        effect = damper.effects["shake_dampers"]
        hazard_ratio = np.exp(effect * (exposure_per_day(done) - np.log2(2.5)))
        ours = dampers[dampers["printer"] == printer.name]
        ours = ours[ours["fitted_on"] >= first + pd.Timedelta(days=30)]
        for index, row in ours.iterrows():
            out = row["removed_on"] if pd.notna(row["removed_on"]) else last
            age = np.arange((out - row["fitted_on"]).days + 1.0)
            steps = np.diff((age / truth.lives.loc[index, "scale_days"]) ** damper.shape)
            start = (row["fitted_on"] - first).days
            expected += (steps * hazard_ratio[start : start + len(steps)]).sum()
        failures += (ours["removal_reason"] == "failed").sum()
    assert failures > 150
    assert abs(failures - expected) < 3 * np.sqrt(expected)


def test_symptom_driven_cleans_pile_up_before_a_head_dies(study: tuple[Records, Truth]) -> None:
    records, truth = study
    cleans = records.maintenance.query("task == 'head_clean' and why == 'symptom'")
    deaths = records.fittings.query("part_kind == 'head' and removal_reason == 'failed'")
    near = 0
    for row in deaths.itertuples():
        before = (row.removed_on - cleans["done_on"][cleans["printer"] == row.printer]).dt.days
        near += int(((before >= 0) & (before <= 10)).sum())
    printer_days = 12 * (truth.plan.log_ends_on - truth.plan.log_began_on).days
    rate_near = near / (11 * len(deaths))
    rate_elsewhere = (len(cleans) - near) / (printer_days - 11 * len(deaths))
    assert rate_near > 5 * rate_elsewhere


def test_a_damper_goes_out_with_a_head_only_on_the_day_a_head_goes_in(
    study: tuple[Records, Truth],
) -> None:
    records, _ = study
    along = records.fittings.query("removal_reason == 'with_other'")
    heads = records.fittings.query("part_kind == 'head'")
    changed = set(zip(heads["printer"], heads["fitted_on"], strict=True))
    assert len(along) > 20
    assert set(along["part_kind"]) == {"damper"}
    assert set(zip(along["printer"], along["removed_on"], strict=True)) <= changed


def test_the_shelf_never_holds_less_than_nothing(study: tuple[Records, Truth]) -> None:
    records, _ = study
    # Deliveries come in the morning, before anything is used.
    daily = records.stock.groupby(["part_kind", "moved_on"])["quantity"].sum()
    assert (daily.groupby("part_kind").cumsum() >= 0).all()


def test_every_part_fitted_during_the_log_was_taken_from_the_shelf(
    study: tuple[Records, Truth],
) -> None:
    records, truth = study
    began = pd.Timestamp(truth.plan.log_began_on)
    fitted = records.fittings[records.fittings["fitted_on"] >= began].groupby("part_kind").size()
    used = records.stock.query("reason == 'used'").groupby("part_kind")["quantity"].sum()
    assert fitted.to_dict() == (-used).to_dict()


def test_a_printer_without_a_spare_stands_and_prints_nothing() -> None:
    head = PartPlan("head", 2.0, 200, first_stock=0, reorder_at=-1, order_quantity=1, lead_days=60)
    records, _ = simulated(one_kind(head, printers=2, days=1500))
    waits = records.stoppages.dropna(subset=["ended_at"])
    assert len(waits) > 5
    hours = (waits["ended_at"] - waits["began_at"]).dt.total_seconds() / 3600
    assert hours.median() > 24 * 30
    for stop in waits.itertuples():
        readings = records.counters[records.counters["printer"] == stop.printer]
        inside = readings[
            (readings["read_on"] > stop.began_at) & (readings["read_on"] <= stop.ended_at)
        ]
        assert inside["area_m2"].nunique() <= 1


def test_the_parts_of_a_retired_printer_come_out_that_day() -> None:
    plan = study_plan(printers=2)
    gone = replace(plan.printers[0], retired_on=date(2025, 3, 3))
    records, _ = simulated(replace(plan, printers=(gone, plan.printers[1])))
    ours = records.fittings[records.fittings["printer"] == gone.name]
    assert ours["removed_on"].notna().all()
    retired = ours[ours["removal_reason"] == "retired"]
    assert len(retired) == 7  # one head and six dampers
    assert (retired["removed_on"] == pd.Timestamp("2025-03-03")).all()


def test_parts_in_before_the_log_may_have_an_unknown_fitting_day() -> None:
    records, truth = simulated(replace(study_plan(), fitting_day_unknown=1.0))
    unknown = records.fittings["fitted_on"].isna()
    assert unknown.sum() == 4 * 7
    began = pd.Timestamp(truth.plan.log_began_on)
    assert (records.fittings["fitted_on"].dropna() >= began).all()


@pytest.mark.parametrize("seed", range(6))
def test_nothing_impossible_is_written_down(seed: int) -> None:
    records, _ = simulated(replace(study_plan(), nozzle_check_every_days=7), seed)
    assert [refusal.sentence() for refusal in refusals(records)] == []
