"""Possible futures against closed forms and a simulation written apart from them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.decisions.workshops import rows, workshop
from tests.forecast.known_lives import known_lives
from tests.forecast.life_nodes import weibull
from tests.forecast.simulated_need import DrawnLives, largest_gap
from tracker.forecast import demand
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.futures import Futures, fitted_positions, play_futures
from tracker.forecast.futures.futures import UNPLANNED, Cause
from tracker.forecast.futures.positions import with_leaving_printers, with_more_printers
from tracker.models.life_model.whole import Parts
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)
TIMES = np.array([20.0, 61.0, 150.0, 300.0])
CURVES: dict[str, Any] = {"head": (2.0, 300.0), "damper": (1.5, 150.0), "wiper": (1.0, 200.0)}
ALONE = rows("part_kind replaced_with", ("damper", ""))


def fitted_on(*days_ago: int) -> Records:
    """One printer a wiper: as many as ages are given, each fitted so many days ago."""
    names = [f"P{number}" for number in range(len(days_ago))]
    since = "2020-01-01"
    fitted = [
        (name, "wiper", "wiper", TODAY - timedelta(days=days))
        for name, days in zip(names, days_ago, strict=True)
    ]
    frames = {
        "printers": rows("printer started_on", *((name, since) for name in names)),
        "fittings": rows("printer part_kind position fitted_on", *fitted),
    }
    return Records.of(frames)


def needs_of(records: Records, curves: Any, horizon: float, **asked: Any) -> Futures:
    """The unplanned needs of a workshop whose lives are known."""
    fitted = known_lives(records, TODAY, curves)
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, horizon, **asked)
    return futures.of(np.ones(len(positions), dtype=bool), UNPLANNED)


def test_one_part_that_fails_first_has_its_own_law() -> None:
    found = needs_of(fitted_on(60), {"wiper": (2.0, 300.0)}, 400).at_least(1, TIMES)
    alive = np.exp((60 / 300) ** 2 - ((60 + TIMES) / 300) ** 2)
    # Luck is dealt out in strata: 4 000 futures are right to a thousandth. By the last days a few
    # parts have come out for no noted reason before they could fail.
    assert found[:2] == pytest.approx(1 - alive[:2], abs=0.003)
    assert found == pytest.approx(1 - alive, abs=0.008)


def test_parts_without_ageing_fail_as_a_poisson_process() -> None:
    # Five parts, one failure in 200 days each, replaced at once: Poisson with mean 5 t / 200.
    found = needs_of(fitted_on(1, 10, 50, 50, 300), {"wiper": (1.0, 200.0)}, 400)
    for number in (1, 3, 6):
        expected = stats.poisson.sf(number - 1, 5 * TIMES / 200)
        assert found.at_least(number, TIMES) == pytest.approx(expected, abs=0.025)
    law = found.law(150.0)
    assert law.sum() == pytest.approx(1)
    assert law[:8] == pytest.approx(stats.poisson.pmf(np.arange(8), 3.75), abs=0.025)


def test_parts_share_what_is_not_known_of_their_life() -> None:
    # Two equally likely truths: lives of 100 or of 1 000 days without ageing. Two parts both fail
    # within 50 days with the mean of the squared chances, not the square of the mean.
    curves = {"wiper": np.array([[1.0, 100.0], [1.0, 1000.0]])}
    fitted = known_lives(fitted_on(5, 70), TODAY, curves)
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 60.0)
    first = [futures.of(positions.index == row, UNPLANNED).counts(50.0) > 0 for row in (0, 1)]
    chance = 1 - np.exp(-50 / np.array([100.0, 1000.0]))
    assert (first[0] & first[1]).mean() == pytest.approx((chance**2).mean(), abs=0.015)
    assert first[0].mean() == pytest.approx(chance.mean(), abs=0.004)


def test_what_is_not_known_and_second_failures_agree_with_a_simulation() -> None:
    rng, ages, draws = np.random.default_rng(2), (100, 50, 1, 1), 100_000
    curves = np.column_stack((2 * np.exp(rng.normal(0, 0.15, 4)),
                              150 * np.exp(rng.normal(0, 0.3, 4))))  # fmt: skip
    found = needs_of(fitted_on(*ages), {"wiper": curves}, 300)
    drawn = DrawnLives(*curves[rng.integers(4, size=draws)].T, rng)
    every = np.arange(draws)
    for time in TIMES:
        until = np.full(draws, time)
        counts = np.sum([drawn.renewals(float(age), until, every) for age in ages], axis=0)
        assert largest_gap(found.law(time), np.bincount(counts) / draws) < 0.02


def test_a_large_pool_has_the_law_of_its_binomial_first_failures() -> None:
    # Two hundred like parts, hardly any of which fails twice in 20 days.
    found = needs_of(fitted_on(*[100] * 200), {"wiper": (2.0, 300.0)}, 20.0)
    once = 1 - np.exp((100 / 300) ** 2 - (120 / 300) ** 2)
    for number in (1, 5, 10, 15, 20):
        expected = stats.binom.sf(number - 1, 200, once)
        assert found.at_least(number, np.array([20.0]))[0] == pytest.approx(expected, abs=0.02)


def test_a_small_chance_that_order_dates_hang_on_is_met_within_half_a_per_cent() -> None:
    # Exact, by the convolution of one kind's renewals, which is checked by simulation elsewhere.
    ages, life = np.linspace(1, 120, 60).round(), (2.0, 900.0)
    found = needs_of(fitted_on(*ages.astype(int).tolist()), {"wiper": life}, 40)
    for day in (4.0, 10.0, 20.0, 40.0):
        law = demand(weibull(*life), ages, day)
        for number in (1, 2, 3, 4, 6):
            expected = law[number:].sum()
            if expected < 0.1:
                told = found.at_least(number, np.array([day]))[0]
                assert told == pytest.approx(expected, abs=0.005)


def test_two_kinds_fail_independently_of_each_other() -> None:
    records = fitted_on(60)
    cap = rows("printer part_kind position fitted_on", ("P0", "cap", "cap", "2025-05-02"))
    records = records.with_table("fittings", pd.concat([records.fittings, cap], ignore_index=True))
    both = needs_of(records, {"wiper": (2.0, 300.0), "cap": (1.5, 200.0)}, 300)
    alive = [np.exp((age / scale) ** shape - ((age + TIMES) / scale) ** shape)
             for age, shape, scale in ((60, 2.0, 300.0), (30, 1.5, 200.0))]  # fmt: skip
    assert both.at_least(1, TIMES) == pytest.approx(1 - alive[0] * alive[1], abs=0.012)


def test_needs_parted_by_kind_are_those_of_its_positions() -> None:
    found = needs_of(fitted_on(1, 50, 100, 200), {"wiper": (1.5, 100.0)}, 300.0)
    code = np.array([1, 0, 1, -1])
    parted, counts = found.by(code, 3, until=150.0), found.counts_by(code, 3, [80.0, 120.0])
    assert len(parted) == 3
    assert counts.shape == (2, 3, found.size)
    assert len(parted[1].needs.day) > found.size
    for kind, own in enumerate(parted):
        alone = found.of(code == kind, until=150.0)
        assert own.horizon == alone.horizon == 150.0
        assert np.array_equal(np.sort(own.needs.day), np.sort(alone.needs.day))
        assert np.array_equal(own.counts(150.0), alone.counts(150.0))
        assert np.array_equal(counts[0, kind], alone.counts(80.0))
        assert np.array_equal(counts[1, kind], alone.counts(120.0))


def test_a_delivery_that_differs_from_future_to_future_mixes_its_horizons() -> None:
    found = needs_of(fitted_on(1, 1, 1, 1, 1), {"wiper": (1.0, 100.0)}, 60.0)
    long = np.random.default_rng(4).random(found.size) < 0.25
    k = np.arange(9)
    expected = 0.75 * stats.poisson.pmf(k, 1.0) + 0.25 * stats.poisson.pmf(k, 3.0)
    assert found.law(np.where(long, 60.0, 20.0))[:9] == pytest.approx(expected, abs=0.02)


def test_dampers_that_go_with_their_head_go_at_one_moment() -> None:
    fitted = known_lives(workshop(1, "C M"), TODAY, CURVES)
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 200.0)
    mine = (positions["part_kind"] == "damper").to_numpy()
    along = futures.of(mine, (Cause.WITH,))
    heads = futures.of((positions["part_kind"] == "head").to_numpy())
    assert len(along.needs.day) == 2 * len(heads.needs.day)
    # A set that goes at one moment is one occasion.
    assert futures.of(mine).short_moments(200.0, 1)[0] < futures.of(mine).counts(200.0).mean()


def test_a_part_is_changed_for_certain_at_the_age_of_the_workshops_plan() -> None:
    fitted = known_lives(fitted_on(95, 95), TODAY, {"wiper": (3.0, 4000.0)})
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 30.0, {"wiper": 100.0})
    assert futures.law(30.0)[:2] == pytest.approx([0, 0], abs=1e-9)
    assert futures.law(30.0)[2] > 0.98
    assert set(futures.of(np.ones(2, bool), (Cause.PLANNED,)).needs.day) == {5.0}
    assert play_futures(fitted, positions, 4.0, {"wiper": 100.0}).law(4.0)[0] > 0.98


def test_a_position_that_leaves_needs_nothing_afterwards() -> None:
    fitted = known_lives(fitted_on(50, 50), TODAY, {"wiper": (2.0, 150.0)})
    positions = fitted_positions(fitted)
    leaves = {"P0": TODAY + timedelta(days=100)}
    found = play_futures(fitted, with_leaving_printers(positions, leaves, TODAY), 250.0)
    days = np.array([90.0, 200.0])
    once = 1 - np.exp((50 / 150) ** 2 - ((50 + np.minimum(days, 100)) / 150) ** 2)
    whole = 1 - np.exp((50 / 150) ** 2 - ((50 + days) / 150) ** 2)
    expected = 1 - (1 - once) * (1 - whole)
    assert found.at_least(1, days) == pytest.approx(expected, abs=0.02)


def test_a_printer_thought_of_has_new_parts() -> None:
    fitted = known_lives(fitted_on(100), TODAY, {"wiper": (3.0, 150.0)})
    positions = with_more_printers(fitted_positions(fitted), 1)
    futures = play_futures(fitted, positions, 60.0)
    chances = [
        futures.of(positions.index == row, UNPLANNED).at_least(1, np.array([60.0]))[0]
        for row in (0, 1)
    ]
    old, new = 1 - np.exp((100 / 150) ** 3 - (160 / 150) ** 3), 1 - np.exp(-((60 / 150) ** 3))
    assert chances == pytest.approx([old, new], abs=0.005)


def test_nothing_wears_while_the_workshop_is_closed() -> None:
    closed = rows("began_on ended_on site printer note", ("2025-06-11", "2025-07-10", "", "", ""))
    records = fitted_on(60, 60).with_table("closures", closed)
    found = needs_of(records, {"wiper": (1.0, 100.0)}, 60.0)
    # Nine days from the end of today to it, thirty in it, then 21 more: 30 open days in all.
    assert not ((found.needs.day > 9.01) & (found.needs.day < 38.99)).any()
    expected = stats.poisson.pmf(0, 2 * np.array([9, 30]) / 100)
    assert [found.law(day)[0] for day in (39.0, 60.0)] == pytest.approx(expected, abs=0.01)


def test_a_part_that_came_out_without_a_reason_teaches_how_often_that_happens() -> None:
    # Four wipers changed working, at no one age: about one in 50 days, on top of wear.
    days = ["2024-02-20", "2024-04-01", "2024-05-20", "2024-07-20"]
    changed = [
        ("P0", "wiper", "wiper", began, ended, "unknown")
        for began, ended in zip(["2024-01-01", *days[:-1]], days, strict=True)
    ]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    now = [("P0", "wiper", "wiper", "2025-05-25", None, "")]
    records = fitted_on(1).with_table("fittings", rows(names, *changed, *now))
    fitted = known_lives(records, TODAY, {"wiper": (1.0, 1e6)})
    positions = fitted_positions(fitted)
    futures = play_futures(fitted, positions, 100.0)
    watched = 201 + 7  # days
    typical = records.part_facts("wiper").typical_life_days
    expected = 4.02 / (watched + typical) * 100
    assert futures.counts(100.0).mean() == pytest.approx(expected, rel=0.1)
    assert set(futures.needs.cause) <= {Cause.OTHER, Cause.WEAR}


def test_the_same_question_is_answered_the_same_and_the_fit_is_remembered() -> None:
    records = workshop(2)
    first, again = fit_lives(records, TODAY), fit_lives(records, TODAY)
    assert first.draws is again.draws
    # A check says nothing of lives: it costs no fit.
    check = rows("printer checked_on position channel missing_nozzles",
                 ("A", "2025-05-30", "H1", "C", 4))  # fmt: skip
    assert fit_lives(records.with_table("nozzle_checks", check), TODAY).draws is first.draws
    # A failure does.
    worn = records.fittings.copy()
    worn.loc[worn.index[0], "removed_on"] = pd.Timestamp("2025-05-30")
    worn.loc[worn.index[0], "removal_reason"] = "failed"
    assert fit_lives(records.with_table("fittings", worn), TODAY).draws is not first.draws
    laws = [play_futures(f, fitted_positions(f), 90.0).law(90.0) for f in (first, again)]
    assert laws[0].tolist() == laws[1].tolist()


def test_a_workshop_of_nothing_that_wears_needs_what_it_has_always_changed() -> None:
    names = "printer part_kind position fitted_on removed_on removal_reason"
    tanks = [
        ("A", "waste_tank", "tank", f"2025-0{month}-01", f"2025-0{month + 1}-01", "planned")
        for month in range(1, 5)
    ]
    now = [("A", "waste_tank", "tank", "2025-05-01", None, "")]
    frames = {
        "printers": rows("printer started_on", ("A", "2025-01-01")),
        "fittings": rows(names, *tanks, *now),
    }
    fitted = fit_lives(Records.of(frames), TODAY)
    assert fitted.draws is None
    futures = play_futures(fitted, fitted_positions(fitted), 60.0)
    assert 0.2 < futures.counts(60.0).mean() < 2.0
    empty = fit_lives(Records(), TODAY)
    assert play_futures(empty, fitted_positions(empty), 60.0).law(60.0).tolist() == [1.0]


def test_what_checks_foretell_of_a_part_stands_in_its_futures_too() -> None:
    # Three times the hazard in the next fourteen days, by hand: the outlook's draws say so, and
    # the futures that stock and order dates are read from must agree.
    class Checked(FittedLives):
        def parts(self, fittings: pd.Index) -> Parts:
            plain = super().parts(fittings)
            return replace(plain, near=np.full(len(plain), 3.0), near_days=14.0)

    known = known_lives(fitted_on(60), TODAY, {"wiper": (1.0, 100.0)})
    checked = Checked(known.known, known.as_of, known.lives, known.told, known.draws)
    positions = with_more_printers(fitted_positions(checked), 1)
    futures = play_futures(checked, positions, 60.0)
    days = np.array([14.0, 60.0])
    told = [futures.of(positions.index == row, UNPLANNED).at_least(1, days) for row in (0, 1)]
    assert told[0] == pytest.approx(1 - np.exp(-np.array([3 * 14, 3 * 14 + 46]) / 100), abs=0.01)
    # A new part in a printer thought of was never checked.
    assert told[1] == pytest.approx(1 - np.exp(-days / 100), abs=0.01)


@pytest.mark.parametrize("horizon", [1e300, np.inf, np.nan])
def test_a_horizon_beyond_all_lives_is_not_begun(horizon: float) -> None:
    fitted = fit_lives(workshop(2), TODAY)
    with pytest.raises(OverflowError, match=str(horizon).replace("+", ".")):
        play_futures(fitted, fitted_positions(fitted), horizon)
