"""What skipping due tasks is estimated to have cost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.bench.skipping_study import CAREFUL, one_workshop
from tests.forecast.log_quality.by_hand import WEEKLY, year
from tests.simulation.demo import demo_plan
from tests.simulation.simulator import simulate_workshop
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import task_cost
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.suspects import entries_of
from tracker.forecast.routine_exposure import Exposure
from tracker.intake.exchange import read_folder
from tracker.review.period import Period, period_of
from tracker.review.routine_kept import routine_kept
from tracker.review.skipping import Skipping, cost_of_skipping
from tracker.say import numbers
from tracker.say.maintenance.skipping import skipping_sentence
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[2] / "sample_data"


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(SAMPLE)


def december(demo: Records) -> tuple[Records, Period, pd.DataFrame]:
    period = period_of(demo, date(2025, 12, 1), None)
    known = demo.known_at(period.last)
    return known, period, routine_kept(known, period.first, period.last)


@pytest.fixture(scope="module")
def skipped(demo: Records) -> Skipping:
    known, period, kept = december(demo)
    return cost_of_skipping(fit_lives(known, period.last), kept, period)


def test_nothing_skipped_says_nothing(demo: Records) -> None:
    known, period, kept = december(demo)
    found = cost_of_skipping(fit_lives(known, period.last), kept.assign(missed=0), period)
    assert (skipping_sentence(found, "EUR"), found.skipped, len(found.rows)) == ("", 0, 0)


def test_the_cost_is_the_extra_failures_times_what_one_costs(
    demo: Records, skipped: Skipping
) -> None:
    known, period, _ = december(demo)
    row = skipped.rows.set_index(["task", "part_kind"]).loc[("shake_dampers", "damper")]
    costs = FailureCosts.of(known, period.last)
    each = costs.of_kind("damper", spare_on_shelf=True).total
    assert row["cost"] == pytest.approx(row["extra"] * each, rel=0.03)  # draws of what it may cost
    assert row["cost_low"] < row["cost"] < row["cost_high"]
    # What a failure costs is not known for certain either.
    certain = each * (row["extra_high"] - row["extra_low"])
    assert row["cost_high"] - row["cost_low"] > 1.02 * certain
    assert row["told"]
    assert skipped.cost == pytest.approx(row["cost"])


def test_the_work_not_done_is_what_the_tasks_usually_take(demo: Records, skipped: Skipping) -> None:
    known, _, kept = december(demo)
    each = [task_cost(known, task).minutes for task in kept["task"]]
    assert skipped.minutes_not_done == pytest.approx(float(kept["missed"] @ np.array(each)))
    assert skipped.skipped == kept["missed"].sum()


def test_work_not_done_is_never_praised_as_money_saved(demo: Records, skipped: Skipping) -> None:
    # 105 minutes are an hour and three quarters.
    few = replace(skipped, skipped=5, minutes_not_done=105.0, rows=skipped.rows.assign(told=False))
    said = skipping_sentence(few, "EUR")
    assert said.startswith(
        "5 due tasks were not done: about 1¾ h of work; what it cost cannot be told yet: "
    )
    assert "saved" not in said
    assert "€" not in said
    told = skipping_sentence(skipped, "EUR")
    assert "saved" not in told
    assert "estimated to have cost" in told


def test_skipping_twice_as_often_costs_more_but_less_than_twice(demo: Records) -> None:
    # The effect is per doubling of the pace: the first actions of a month count most.
    known, period, kept = december(demo)
    fitted = fit_lives(known, period.last)
    one = kept[(kept["task"] == "shake_dampers") & (kept["missed"] > 0)]
    twice = one.assign(missed=one["missed"] * 2)
    small, large = (
        cost_of_skipping(fitted, table, period).rows.set_index("part_kind").loc["damper"]
        for table in (one, twice)
    )
    assert 0 < small["extra"] < large["extra"] < 2 * small["extra"]


def test_the_simulators_true_effect_lies_within_the_range(demo: Records) -> None:
    # In the demo's simulator a doubling of shaking multiplies the dampers' hazard by exp(−0.5)
    # (sample_data is made with it); one of two done on every printer is a step of
    # log2((r + ½)/(2r + ½)) at r a month. With the truth the extra share of the month's failures
    # is 1 − exp(−0.5 · that step); the range, over the same expected failures, must hold it.
    known, period, _ = december(demo)
    fitted = fit_lives(known, period.last)
    printers = known.printers["printer"]
    month = known.maintenance[
        (known.maintenance["task"] == "shake_dampers")
        & (known.maintenance["done_on"] >= pd.Timestamp(period.first))
        & (known.maintenance["why"] == "planned")
    ]
    done = month.groupby("printer")["done_on"].nunique().reindex(printers).fillna(0)
    missed = np.maximum(done, 1.0)
    kept = pd.DataFrame(
        {"printer": printers, "task": "shake_dampers", "due": 9, "in_time": 1, "late": 0,
         "missed": missed.to_numpy(), "share": 0.1}
    )  # fmt: skip
    row = cost_of_skipping(fitted, kept, period).rows.set_index("part_kind").loc["damper"]
    scale = 30 / 31
    step = np.log2((scale * (done + missed) + 0.5) / (scale * done + 0.5)).to_numpy()
    share = float(np.mean(1 - np.exp(-0.5 * step)))
    month_failures = 3.4  # the usual month of the demo's dampers, as its review prints it
    assert row["extra_low"] < share * month_failures < row["extra_high"]


def test_an_effect_the_log_cannot_show_is_not_put_into_money(skipped: Skipping) -> None:
    untold = skipped.rows[~skipped.rows["told"].astype(bool)]
    # Stirring was always due every day, and heads failed too seldom.
    assert ("stir_ink", "damper") in set(zip(untold["task"], untold["part_kind"], strict=True))
    assert "head" in set(untold["part_kind"])
    assert "cannot be told yet" in skipping_sentence(skipped, "EUR")


def test_few_failures_make_no_claim_at_all(demo: Records) -> None:
    period = period_of(demo, date(2024, 7, 1), None)
    known = demo.known_at(period.last)
    kept = routine_kept(known, period.first, period.last)
    found = cost_of_skipping(fit_lives(known, period.last), kept, period)
    assert not found.rows["told"].any()
    assert np.isnan(found.cost)
    assert "cannot be told yet" in skipping_sentence(found, "EUR")


def test_skipping_that_did_no_harm_is_said_plainly_and_never_as_money_saved(demo: Records) -> None:
    # In this workshop every action raises the risk as much as it lowers it in the demo, and no
    # batch is bad: what was skipped went with fewer damper failures.
    plan = demo_plan()
    parts = tuple(
        replace(part, effects={task: -effect for task, effect in part.effects.items()})
        for part in plan.parts
    )
    plan = replace(plan, parts=parts, bad_batches=())
    records, _ = simulate_workshop(plan, np.random.default_rng(7))
    period = period_of(records, date(2025, 11, 1), None)
    known = records.with_table("parts", demo.parts).known_at(period.last)
    kept = routine_kept(known, period.first, period.last)
    found = cost_of_skipping(fit_lives(known, period.last), kept, period)
    row = found.rows.set_index(["task", "part_kind"]).loc[("shake_dampers", "damper")]
    assert row["told"]
    assert row["extra_low"] < row["extra"] < row["extra_high"] < 0
    assert np.isnan(found.cost)
    assert "estimated to have" not in skipping_sentence(found, "EUR")
    assert "cost anything" not in skipping_sentence(found, "EUR")
    fewer = [numbers.figure(-row[name]) for name in ("extra", "extra_high", "extra_low")]
    assert (
        f"did no harm that the log shows: {fewer[0]} damper failures fewer than expected had it "
        f"been done ({fewer[1]} to {fewer[2]} fewer in 8 of 10 cases; "
    ) in skipping_sentence(found, "EUR")
    assert "−" not in skipping_sentence(found, "EUR")
    assert "no reason to skip" in skipping_sentence(found, "EUR")


def test_the_effect_of_skipping_is_read_off_the_log_as_it_is_judged() -> None:
    failed = (73, 143, 213, 283)
    paces = {
        "A": [day for day in WEEKLY if day < 180 or day % 14 == 0],
        "B": [day for day in WEEKLY if day >= 180 or day % 14 == 0],
    }
    mistaken = {name: (*days, *(day - 1 for day in failed)) for name, days in paces.items()}
    records = year(mistaken, dict.fromkeys(paces, failed))
    clean = records.maintenance.iloc[:1].assign(task="head_clean", why="symptom")
    log = pd.concat([records.maintenance, clean], ignore_index=True)
    month = Period(date(2025, 12, 31), date(2025, 12, 31), True, ())
    records = records.with_table("maintenance", log).known_at(month.last)
    suspects = entries_of(records, judge_log(records, month.last).suspects)
    assert len(suspects) >= 8
    corrected = log.assign(why=log["why"].mask(log.index.isin(suspects), "symptom"))

    def effect(known: Records) -> np.ndarray:
        fitted = fit_lives(known, month.last)
        assert fitted.told is not None
        assert fitted.draws is not None
        at = fitted.told.exposures.index(Exposure("shake_dampers", "damper"))
        return fitted.draws.effect[:, at]

    judged, by_hand = effect(records), effect(records.with_table("maintenance", corrected))
    # Half of the suspects are as likely planned as not and count in half of the readings, so the
    # task looks somewhat more harmful than without them …
    assert by_hand.mean() < judged.mean()
    # … and as in the log of people who were never mistaken, whose clean weeks are counted too.
    honest = year(paces, dict.fromkeys(paces, failed))
    honest_log = pd.concat([honest.maintenance, clean], ignore_index=True)
    never = effect(honest.with_table("maintenance", honest_log).known_at(month.last))
    assert abs(judged.mean() - never.mean()) < 0.25 * never.std()


def test_better_printers_of_careful_people_are_not_taken_for_a_task_that_helps() -> None:
    # Twelve workshops in which those shaken more are gentler (correlation of −0.8) and shaking does
    # nothing; binomial(12, 0.1) is above 3 with a chance of 3 %. The long version is
    # tests/bench/skipping_study.py.
    alike, own = zip(*(one_workshop(CAREFUL, seed) for seed in range(12)), strict=True)
    assert sum(one.wrongly for one in own) <= 3
    assert abs(np.mean([one.mean for one in own])) < 0.1
    # Changes within printers and differences between them counted alike, it would be.
    assert np.mean([one.mean for one in alike]) < np.mean([one.mean for one in own]) - 0.05
