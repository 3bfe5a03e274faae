"""Bad batches are named, good ones are not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.bench import drift_study
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.outlook import outlook
from tracker.intake.exchange import read_folder
from tracker.models.life_model.whole import Parts
from tracker.review.expectation import chance_of_as_many, count_law, holm
from tracker.review.suspicion import Suspicion, comparisons, suspicions
from tracker.say.monthly.findings import suspicion_sentence
from tracker.workshop.checks import notices
from tracker.workshop.parts.known_of_failed import known_of_failed
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[2] / "sample_data"


def named(records: Records, month: pd.Period) -> set[tuple[str, str]]:
    last = month.end_time.date()
    found = suspicions(fit_lives(records, last), month)
    return {(bad.supplier, bad.batch) for bad in found}


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(SAMPLE)


def test_the_bad_lot_of_the_demo_is_named_in_the_first_month_it_can_be_and_no_other_ever(
    demo: Records,
) -> None:
    months = pd.period_range("2024-04", "2026-10", freq="M")
    found = {month: named(demo, month) for month in months}
    bad = ("Millbrook Supply", "Da-M77")
    lot = demo.fittings[demo.fittings["batch"] == "Da-M77"]
    failed = lot.loc[lot["removal_reason"] == "failed", "removed_on"].sort_values()
    # Two of it failed in January 2026, nine in February: fewer than three are never named.
    first = min(month for month, names in found.items() if bad in names)
    assert first == failed.iloc[2].to_period("M") == pd.Period("2026-02")
    assert all(names == {bad} for month, names in found.items() if month >= first)
    assert not any(names for month, names in found.items() if month < first)


def test_suppliers_are_judged_as_if_the_bad_batch_had_never_come(demo: Records) -> None:
    # On both sides: neither its own supplier nor the others are held against the bad lot's parts.
    last = date(2026, 2, 28)
    bad = demo.fittings["batch"] == "Da-M77"
    assert bad.sum() == 14
    found = comparisons(fit_lives(demo, last))
    never = fit_lives(demo.with_table("fittings", demo.fittings[~bad]), last)
    never_came = comparisons(never)
    suppliers = [key for key in found if key[0] == "damper" and not key[2]]
    assert ("damper", "Millbrook Supply", "") in suppliers
    assert len(suppliers) >= 2
    for key in suppliers:
        assert found[key].failures == never_came[key].failures
        assert found[key].parts == never_came[key].parts
        assert found[key].chance == pytest.approx(never_came[key].chance, abs=0.1)


def test_lots_looked_up_for_failed_parts_alone_are_not_held_against_each_other(
    demo: Records,
) -> None:
    month = pd.Period("2026-10")
    failed = demo.fittings["removal_reason"] == "failed"
    looked_up = demo.fittings.assign(batch=demo.fittings["batch"].where(failed, ""))
    records = demo.with_table("fittings", looked_up)
    assert {
        key for key in comparisons(fit_lives(records, month.end_time.date())) if key[2]
    } == set()
    assert any(
        "Damper: “batch” is written down for parts that failed" in n for n in notices(records)
    )
    assert not any("written down for parts that failed" in notice for notice in notices(demo))
    # Lots written down for all from some day on say nothing of who failed.
    lately = demo.fittings["fitted_on"] >= "2025-10-01"
    begun = demo.fittings.assign(batch=demo.fittings["batch"].where(lately, ""))
    assert known_of_failed(begun, failed, "batch") == frozenset()
    stopped = demo.fittings.assign(batch=demo.fittings["batch"].where(~lately, ""))
    assert known_of_failed(stopped, failed, "batch") == frozenset()


def test_the_demos_bad_lot_stands_out_by_what_it_was_given_to_do(demo: Records) -> None:
    (bad,) = suspicions(fit_lives(demo, date(2026, 2, 28)), pd.Period("2026-02"))
    # Of the lot's 14 pieces two failed in January and seven in February.
    assert (bad.parts, bad.failures, bad.failed_this_month) == (14, 9, 7)
    # By hand: 14 pieces fitted in the two months before; dampers last 170 days (white) and 300
    # (colour) in the demo's truth, shape 1.8, so at most 14 · (75/170)^1.8 = 3.2 and at least
    # 14 · (20/300)^1.8 = 0.1 were to be expected.
    assert 0.1 < bad.expected < 3.2
    assert bad.chance < 1e-4


def test_a_bad_lot_raises_the_forecast_of_its_parts_that_are_still_in(demo: Records) -> None:
    last = date(2026, 2, 28)
    fitted = fit_lives(demo, last)
    assert fitted.draws is not None
    rows = fitted.running[fitted.running["batch"] == "Da-M77"]
    parts = fitted.parts(rows.index)
    assert len(parts) == 3
    of_any_lot = Parts(parts.group, parts.unit, np.full(3, -1), parts.age, parts.guess)
    told = fitted.draws.chance_of_failure(parts, [30])[:, 0]
    assert (told > 1.3 * fitted.draws.chance_of_failure(of_any_lot, [30])[:, 0]).all()
    shown = outlook(demo, last, 30, fitted=fitted).loc[rows.index, "chance_of_failure"]
    assert shown.to_numpy() == pytest.approx(told)


@pytest.mark.parametrize("number", range(2))
def test_no_batch_is_accused_where_all_lives_have_become_half_as_long(number: int) -> None:
    # Lots follow one another in time, so the later ones fail twice as soon through no fault.
    world = drift_study.CHANGED[0]
    last = drift_study.review_days(world)[-1]
    assert not named(drift_study.simulated(world, number), pd.Period(last, "M"))


def test_workshops_without_a_bad_batch_raise_at_most_one_false_suspicion_in_twenty() -> None:
    false = 0
    for seed in range(20):
        records, _ = simulate_workshop(
            study_plan(printers=2, days=450), np.random.default_rng(seed)
        )
        last = records.last_day()
        assert isinstance(last, date)
        false += bool(named(records, pd.Period(last, "M")))
    assert false <= 1


def test_holm_names_as_many_as_its_steps_allow() -> None:
    # By hand: 0.01 ≤ 0.05/3, 0.02 ≤ 0.05/2, 0.04 ≤ 0.05/1; but 0.03 > 0.05/2 stops there.
    assert holm([0.04, 0.01, 0.02]) == [True, True, True]
    assert holm([0.04, 0.01, 0.03]) == [False, True, False]


def test_the_law_of_a_count_averages_over_what_is_not_known() -> None:
    # A Poisson mean of 1 or 3, as likely: P(0) = (e^-1 + e^-3) / 2, P(N ≥ 1) = 1 − that.
    law = count_law(np.array([0.5, 0.5]), np.array([1.0, 3.0]))
    none = (np.exp(-1) + np.exp(-3)) / 2
    assert law[0] == pytest.approx(none)
    assert chance_of_as_many(law, 1) == pytest.approx(1 - none)
    assert law @ np.arange(len(law)) == pytest.approx(2)


def test_a_batch_that_is_gone_is_told_as_known_from_before() -> None:
    bad = Suspicion(
        "damper", "Harbour", "Da-1", 14, 14, 0.95, 1e-6, 27, 0, 0, ("A",), (), date(2026, 3, 9)
    )
    assert bad.is_over
    assert suspicion_sentence(bad).startswith(
        "Known from before, the last failure in March 2026: damper lot Da-1 from Harbour: 14 of "
    )
    again = suspicion_sentence(replace(bad, fitted_now=1))
    assert again.startswith("Damper lot Da-1 from Harbour: 14 of ")
