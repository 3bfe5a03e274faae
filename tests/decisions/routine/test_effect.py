"""Does the routine pay? Known truth from the simulator, money by hand, honest refusals."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import RoutinePlan, study_plan
from tracker.decisions.routine.effect import RoutineEffect, compare, routine_effect
from tracker.errors import NotEnoughData, UsageError
from tracker.say.maintenance.doubts import disagreement, notes
from tracker.say.maintenance.verdict import lines, verdict
from tracker.workshop.records import Records

AS_OF = date(2026, 6, 19)
TASK = "shake_dampers"


@cache
def workshop(effect: float, printers: int = 6, days: int = 900, seed: int = 5) -> Records:
    plan = study_plan(printers=printers, days=days, shake_effect=effect)
    return simulate_workshop(plan, np.random.default_rng(seed))[0]


@cache
def answer(effect: float, every: float = 7, instead: float = 30) -> RoutineEffect:
    return routine_effect(workshop(effect), AS_OF, "damper", TASK, every, instead)


def test_a_true_effect_is_found_with_limits_around_it() -> None:
    got = answer(-0.6)
    # Exposure at a schedule: log2 of actions per 30 days plus half an action; the truth is −0.6
    # per doubling.
    step = math.log2(30 / 7 + 0.5) - math.log2(30 / 30 + 0.5)
    truth = math.exp(-0.6 * step)
    assert got.hazard_ratio.lower < truth < got.hazard_ratio.upper < 1
    assert got.cox.lower < truth < got.cox.upper < 1
    assert got.chance_it_helps > 0.999
    assert got.failures > 100
    assert got.is_told
    assert got.further_failures == 0
    assert "cuts damper failures by" in verdict(got)
    assert disagreement(got) == ""
    assert 1 < got.e_value.limit < got.e_value.estimate


def test_no_true_effect_is_said_not_to_be_told() -> None:
    got = answer(0.0)
    assert got.hazard_ratio.lower < 1 < got.hazard_ratio.upper
    assert not got.is_told
    assert "cannot tell yet" in verdict(got)
    assert got.saving.chance_it_pays < 0.05  # four times the work for nothing


def test_the_other_way_round_is_the_reciprocal() -> None:
    there, back = answer(-0.6), answer(-0.6, 30, 7)
    assert back.hazard_ratio.estimate == pytest.approx(1 / there.hazard_ratio.estimate, rel=1e-6)
    assert back.hazard_ratio.lower == pytest.approx(1 / there.hazard_ratio.upper, rel=1e-6)
    assert back.saving.expected == pytest.approx(-there.saving.expected, rel=1e-9)
    assert back.chance_it_helps == pytest.approx(1 - there.chance_it_helps, abs=1e-9)
    assert "brings" in verdict(back)
    assert "more damper failures" in verdict(back)


def test_the_saving_is_failures_avoided_less_the_extra_work() -> None:
    got = answer(-0.6)
    avoided = got.failures_per_year_instead - got.failures_per_year
    more_work = 365.25 * (1 / 7 - 1 / 30) * got.cost_of_task.total
    yearly = got.study.yearly
    expected = avoided * got.cost_of_failure.total - more_work
    # 4000 draws of what failures and work may cost.
    width = got.saving.p90 - got.saving.p10
    assert got.saving.expected == pytest.approx(expected, abs=0.02 * width)
    for days, told in ((7, got.failures_per_year), (30, got.failures_per_year_instead)):
        assert told == yearly.draws.mean(yearly.failures_per_year(days))
    assert got.saving.p10 < got.saving.expected < got.saving.p90
    assert got.spare_on_shelf
    without = compare(got.study, 7, 30, spare_on_shelf=False)
    assert not without.spare_on_shelf
    assert without.saving.expected > got.saving.expected
    # At the ratio that breaks even the avoided failures just pay for the work.
    saved = got.failures_per_year_instead * (1 - got.break_even_ratio)
    assert saved * got.cost_of_failure.total == pytest.approx(more_work, rel=1e-9)
    assert got.extra_work == pytest.approx(more_work)
    assert got.break_even_failures == pytest.approx(saved)


def half_closed() -> Records:
    """Four dampers that fail after 56 to 64 open days, or are changed by plan after 28: each
    fortnight of work is followed by one in which the workshop is closed.
    """
    rng, fitted = np.random.default_rng(6), []

    def day(opened: int) -> pd.Timestamp:
        return pd.Timestamp("2023-01-02") + pd.Timedelta(days=opened + 14 * (opened // 14))

    for place in "CMYK":
        opened = 0
        while opened < 420:
            life, why = (28, "planned") if rng.random() < 0.25 else (rng.integers(56, 65), "failed")
            ends = (None, "") if opened + life >= 420 else (day(opened + life), why)
            fitted.append(("A", "damper", place, day(opened), *ends))
            opened += life
    done = [("A", TASK, day(opened), "planned") for opened in range(0, 420, 7)]
    fortnight = pd.Timedelta(days=14)
    closed = [
        (day(opened) + fortnight, day(opened) + 2 * fortnight - pd.Timedelta(days=1))
        for opened in range(0, 420, 14)
    ]
    return Records.of(
        {
            "printers": rows("printer started_on channels", ("A", "2023-01-02", "C M Y K")),
            "fittings": rows(
                "printer part_kind position fitted_on removed_on removal_reason", *fitted
            ),
            "maintenance": rows("printer task done_on why", *done),
            "closures": rows("began_on ended_on", *closed),
        }
    )


def test_failures_of_a_year_are_those_of_its_open_days() -> None:
    records = half_closed()
    as_of = date(2025, 4, 20)
    got = routine_effect(records, as_of, "damper", TASK, 7, 14)
    yearly = got.study.yearly
    assert yearly.closed_share == pytest.approx(0.5, abs=0.02)
    ended = records.fittings["removal_reason"].value_counts()
    # Four positions watched for 420 open days.
    assert yearly.other_removals_per_day == pytest.approx(ended["planned"] / (4 * 420))
    in_a_year = ended["failed"] * 365.25 / 840
    assert got.failures_per_year == pytest.approx(in_a_year, rel=0.15)


def test_lags_are_shown_beside_each_other() -> None:
    lags = answer(-0.6).lags
    assert lags["lag_days"].tolist() == [0, 3, 7, 14]
    assert (lags["lower"] < lags["hazard_ratio"]).all()
    assert (lags["hazard_ratio"] < lags["upper"]).all()
    assert lags["hazard_ratio"].iloc[0] == answer(-0.6).hazard_ratio.estimate
    (line,) = (line for line in lines(answer(-0.6)) if "left out the risk is" in line)
    assert line.startswith("With the last 0, 3, 7, 14 days before each day left out the risk is 0.")
    assert "days the log does not need pulls the effect toward none" in line
    assert not any("left out the risk is" in line for line in lines(answer(0.0)))


def test_lags_are_the_same_whoever_looks_at_them_first() -> None:
    study = answer(-0.6).study
    first, again = study.by_lag, replace(study).by_lag  # a copy that has looked at none yet
    assert first is not again
    for lag, fit in first.items():
        np.testing.assert_array_equal(fit.effect(f"x_{TASK}"), again[lag].effect(f"x_{TASK}"))


def test_the_least_cost_interval_is_the_lowest_of_its_curve() -> None:
    least = answer(-0.6).least_cost((3, 7, 14, 30, 60))
    best = least.curve.loc[least.curve["cost"].idxmin(), "every_days"]
    assert least.every_days == best
    assert least.lower_days <= least.every_days <= least.upper_days
    assert (least.curve["p10"] < least.curve["p90"]).all()
    assert least.curve["failures_per_year"].is_monotonic_increasing
    useless = answer(0.0).least_cost((3, 7, 14, 30, 60))
    assert useless.every_days >= 30


def test_two_head_failures_in_the_whole_log_give_no_verdict_and_no_nonsense() -> None:
    records = workshop(-0.6, 4, 420, 8)
    heads = records.fittings["part_kind"] == "head"
    failed = records.fittings.index[heads & (records.fittings["removal_reason"] == "failed")]
    reasons = records.fittings["removal_reason"].copy()
    reasons[failed[:-2]] = "planned"
    records = records.with_table("fittings", records.fittings.assign(removal_reason=reasons))
    got = routine_effect(records, AS_OF, "head", TASK, 7, 30)
    assert got.failures == 2
    assert "cannot tell yet: 2 failures so far, about" in verdict(got)
    assert "more printhead failures are needed" in verdict(got)
    assert 10 < got.further_failures < 10_000
    assert got.hazard_ratio.lower < 0.7
    assert got.hazard_ratio.upper > 1.4
    assert 0.2 < got.hazard_ratio.estimate < 5
    assert math.isnan(got.cox.estimate)
    assert math.isfinite(got.saving.expected)
    assert got.saving.p10 < got.saving.p90
    assert any("pulls the effect toward none" in note for note in notes(got))


def test_a_task_always_done_at_one_pace_cannot_tell() -> None:
    plan = replace(study_plan(printers=4, days=600), routines=(RoutinePlan(TASK, 7, done=1.0),))
    records, _ = simulate_workshop(plan, np.random.default_rng(3))
    exact = records.maintenance["why"] == "symptom"
    weekly = pd.DataFrame(
        [
            {"printer": name, "task": TASK, "done_on": day, "why": "planned"}
            for name in records.printers["printer"]
            for day in pd.date_range("2023-11-01", "2026-02-01", freq="10D")
        ]
    )
    log = pd.concat([weekly, records.maintenance[exact]], ignore_index=True)
    records = records.with_table("maintenance", log)
    got = routine_effect(records, date(2025, 8, 1), "damper", TASK, 7, 30)
    assert not got.is_told
    assert math.isinf(got.events_needed)
    assert "change it on some printers" in verdict(got)
    assert any("one pace" in note for note in notes(got))


def test_a_log_that_never_says_why_gets_a_lag_of_a_week() -> None:
    records = workshop(-0.6)
    log = records.maintenance
    silent = records.with_table("maintenance", log[log["why"] == "planned"])
    got = routine_effect(silent, AS_OF, "damper", TASK, 7, 30)
    assert got.lag_days == 7
    assert any("never says" in note for note in notes(got))
    assert answer(-0.6).lag_days == 0


def test_the_same_records_give_the_same_answer() -> None:
    again = routine_effect(workshop(-0.6), AS_OF, "damper", TASK, 7, 30)
    assert again.hazard_ratio.estimate == answer(-0.6).hazard_ratio.estimate
    assert again.saving.p10 == answer(-0.6).saving.p10


def test_wrong_intervals_are_named() -> None:
    records = workshop(-0.6)
    with pytest.raises(UsageError, match="every: 0 days"):
        routine_effect(records, AS_OF, "damper", TASK, 0, 30)
    with pytest.raises(UsageError, match="instead_of: -3 days"):
        routine_effect(records, AS_OF, "damper", TASK, 7, -3)
    with pytest.raises(UsageError, match="no change"):
        routine_effect(records, AS_OF, "damper", TASK, 7, 7)


def test_nothing_watched_is_said_in_a_sentence() -> None:
    with pytest.raises(NotEnoughData, match="No ink pump was watched long enough yet"):
        routine_effect(workshop(-0.6), AS_OF, "pump", TASK, 7, 30)
    with pytest.raises(NotEnoughData, match="No damper was watched"):
        routine_effect(Records(), AS_OF, "damper", TASK, 7, 30)
