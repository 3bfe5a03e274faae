"""Failures and actions per year and the saving, by hand and in closed form."""

from __future__ import annotations

from dataclasses import replace
from math import gamma
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import quad

from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.decisions.routine.yearly_counts import (
    EffectByAge,
    GroupLives,
    Saving,
    TakenAlong,
    YearlyCounts,
)
from tracker.errors import UsageError


def yearly_counts(
    shape: float, scale: float, effect: float = 0.0, rho: float = 0.0
) -> YearlyCounts:
    """One certain draw: Weibull lives of that shape and scale at exposure 0."""
    lives = GroupLives(np.zeros(1), np.array([shape]), scale, 3.0)
    return YearlyCounts(WeightedDraws(np.ones(1)), np.array([effect]), 0.0, (lives,), rho, 5 / 7)


def test_every_day_means_every_working_day() -> None:
    plan = yearly_counts(1.5, 200)
    assert plan.actions_per_year(1) == pytest.approx(365.25 * 5 / 7)
    assert plan.actions_per_year(10) == pytest.approx(36.525)
    assert plan.exposure_at(10) == pytest.approx(np.log2(3.5))
    assert plan.exposure_at(1) == pytest.approx(np.log2(30 * 5 / 7 + 0.5))
    with pytest.raises(UsageError, match="every_days: 0"):
        plan.exposure_at(0)


@pytest.mark.parametrize("shape", [0.8, 1.0, 1.5, 3.0])
def test_failures_per_year_are_one_per_mean_life(shape: float) -> None:
    expected = 3 * 365.25 / (200 * gamma(1 + 1 / shape))
    got = yearly_counts(shape, 200).failures_per_year(10)[0]
    assert got == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("rho", [0.0, 0.001, 0.01])
def test_other_removals_do_not_change_the_rate_of_parts_without_memory(rho: float) -> None:
    got = yearly_counts(1.0, 200, rho=rho).failures_per_year(10)[0]
    assert got == pytest.approx(3 * 365.25 / 200, rel=2e-3)


def test_other_removals_keep_wearing_parts_young() -> None:
    often = yearly_counts(3.0, 200, rho=0.01).failures_per_year(10)[0]
    assert often < 0.6 * yearly_counts(3.0, 200).failures_per_year(10)[0]


@pytest.mark.parametrize("rho", [0.0, 0.002])
@pytest.mark.parametrize(("shape", "age"), [(2.5, 150.0), (2.5, 400.0), (0.8, 90.0)])
def test_parts_changed_by_plan_at_an_age_fail_as_often_as_renewal_reward_says(
    shape: float, age: float, rho: float
) -> None:
    def there(day: float) -> float:  # neither failed nor out for another reason
        return float(np.exp(-((day / 300) ** shape) - rho * day))

    watched = quad(there, 0, age)[0]
    # Of all that come out before that age, those for another reason are no failures.
    expected = 3 * 365.25 * ((1 - there(age)) / watched - rho)
    plan = replace(yearly_counts(shape, 300, rho=rho), planned_age=age)
    assert plan.failures_per_year(10)[0] == pytest.approx(expected, rel=2e-3)


def test_hardly_any_part_that_gets_to_a_planned_change_is_hardly_any_failure() -> None:
    plan = replace(yearly_counts(3.0, 200, effect=-400.0), planned_age=60.0)
    assert plan.failures_per_year(1)[0] == pytest.approx(0, abs=1e-200)
    # Failing far too early to be changed: as without.
    soon = replace(yearly_counts(3.0, 20), planned_age=600.0).failures_per_year(1)
    assert soon == pytest.approx(yearly_counts(3.0, 20).failures_per_year(1), rel=1e-6)


def test_the_effect_lengthens_life_by_its_share_of_the_hazard() -> None:
    plan = yearly_counts(2.0, 200, effect=-0.5)
    ratio = plan.failures_per_year(5)[0] / plan.failures_per_year(20)[0]
    step = plan.exposure_at(5) - plan.exposure_at(20)
    # A hazard times r shortens a Weibull life of shape 2 by the square root of r.
    assert ratio == pytest.approx(np.exp(-0.5 * step / 2), rel=1e-6)


def test_absurd_draws_stay_within_a_life_of_half_a_day_and_a_million() -> None:
    never = yearly_counts(0.3, 200, effect=-400.0).failures_per_year(1)[0]
    at_once = yearly_counts(0.3, 200, effect=400.0).failures_per_year(1)[0]
    assert never == pytest.approx(3 * 365.25 / 1e6, rel=1e-6)
    assert at_once == pytest.approx(3 * 365.25 / 0.5, rel=1e-6)


def draws_of(number: int) -> WeightedDraws:
    """So many draws of equal weight."""
    return WeightedDraws(np.full(number, 1 / number))


def test_a_saving_is_the_mean_of_its_draws_and_knows_where_a_few_carry_it() -> None:
    # 90 draws lose 10 to 99; ten gain a hundred thousand and more, as a belief may with few
    # failures: the mean is a gain that has one chance in ten.
    values = np.concatenate([-np.arange(10.0, 100.0), 1e5 + np.arange(10.0)])
    got = Saving.of(draws_of(100), values)
    assert got.expected == pytest.approx(values.mean())
    assert got.p10 < -80
    assert got.chance_it_pays == pytest.approx(0.1)
    assert got.is_carried_by_few
    assert not Saving.of(draws_of(3), np.array([-1.0, 2.0, 3.0])).is_carried_by_few


@pytest.mark.parametrize("spread", [0.1, 1.0, 4.0])
def test_expected_savings_of_parts_add_up_to_that_of_the_whole(spread: float) -> None:
    one, other = np.random.default_rng(3).normal(size=(2, 2001))
    parts = np.exp(spread * one) - 0.8, 0.5 - np.exp(spread * other)
    first, second, whole = (Saving.of(draws_of(2001), values) for values in (*parts, sum(parts)))
    assert whole.expected == pytest.approx(first.expected + second.expected)
    assert whole.p10 < whole.p90


def test_a_closed_day_in_five_is_a_fifth_less_work_and_failures_at_the_same_pace() -> None:
    plan = yearly_counts(1.5, 200)
    closed = replace(plan, closed_share=0.2)
    assert closed.failures_per_year(10) == pytest.approx(0.8 * plan.failures_per_year(10))
    assert closed.actions_per_year(10) == pytest.approx(0.8 * 36.525)
    assert closed.exposure_at(10) == plan.exposure_at(10)


def test_inks_with_lives_of_their_own_count_by_their_positions() -> None:
    colour = GroupLives(np.zeros(1), np.ones(1), 400.0, 4.0)
    white = GroupLives(np.zeros(1), np.ones(1), 100.0, 2.0)
    plan = replace(yearly_counts(1.0, 1.0), groups=(colour, white))
    # Without wear a position fails once in its typical life: 4/400 + 2/100 a day.
    assert plan.failures_per_year(10)[0] == pytest.approx(365.25 * 0.03, rel=2e-3)


def test_a_printer_that_wears_parts_faster_has_more_failures_in_the_mean_of_all() -> None:
    # Levels of log 2 and −log 2 at shape 2: √2 and 1/√2 times the failures, 1.0607 in the mean.
    draws = SimpleNamespace(levels=np.array([[np.log(2), -np.log(2)]]))
    level = EffectDraws.printers_level(draws, np.array([2.0]))  # type: ignore[arg-type]
    assert np.exp(level / 2)[0] == pytest.approx((2**0.5 + 2**-0.5) / 2)


@pytest.mark.parametrize("age", [50.0, 80.0, 130.0])
def test_an_effect_by_age_is_added_up_to_the_age_of_a_planned_change(age: float) -> None:
    split = EffectByAge(80.0, np.array([-0.5]), np.array([0.3]))
    plan = replace(yearly_counts(1.0, 200), by_age=split, planned_age=age)
    step = plan.exposure_at(5)
    first, later = np.exp(-0.5 * step) / 200, np.exp(0.3 * step) / 200
    young, old = min(age, 80.0), max(age - 80.0, 0.0)
    good = np.exp(-first * young)
    failing = 1 - good * np.exp(-later * old)
    mean = (1 - good) / first + good * (1 - np.exp(-later * old)) / later
    got = plan.failures_per_year(5)[0]
    assert got == pytest.approx(3 * 365.25 * failing / mean, rel=2e-3)


@pytest.mark.parametrize("shape", [0.8, 2.5])
@pytest.mark.parametrize("age", [20.0, 150.0, 500.0])
def test_the_power_of_a_group_is_how_failures_follow_its_hazard(shape: float, age: float) -> None:
    plan = replace(yearly_counts(shape, 300), planned_age=age)
    below, above = (plan.failures_if_moved(np.array([move]))[0] for move in (-1e-3, 1e-3))
    (lives,) = plan.groups
    assert 1 / lives.power(age)[0] == pytest.approx(np.log(above / below) / 2e-3, abs=2e-3)
    assert lives.power(np.inf)[0] == shape
    for log_rate, power in ((-900.0, 1.0), (900.0, shape)):
        extreme = replace(lives, log_rate=np.array([log_rate]))
        assert extreme.power(age)[0] == pytest.approx(power, rel=2e-3)


def test_printers_that_differ_count_by_their_own_failures_where_parts_are_changed_by_plan() -> None:
    plan = replace(yearly_counts(2.5, 300), planned_age=150.0)
    levels = np.linspace(-1.0, 1.0, 9)
    own = [plan.failures_if_moved(np.array([level]))[0] for level in levels]
    draws = SimpleNamespace(levels=levels[None])
    (lives,) = plan.groups
    level = EffectDraws.printers_level(draws, lives.power(150.0))  # type: ignore[arg-type]
    assert plan.failures_if_moved(level)[0] == pytest.approx(np.mean(own), rel=0.02)


@pytest.mark.parametrize(("younger", "older"), [(-0.5, 0.0), (0.0, -0.5), (0.7, -0.3)])
def test_an_effect_by_age_is_added_up_over_the_ages(younger: float, older: float) -> None:
    plan = yearly_counts(1.0, 200)
    split = EffectByAge(80.0, np.array([younger]), np.array([older]))
    step = plan.exposure_at(5) - plan.exposure_at(30)
    plan = replace(plan, by_age=split, centre=plan.exposure_at(30))
    # Without wear: hazards a and b up to the age u and beyond, a mean life of
    # (1 − e^−au) / a + e^−au / b.
    first, later = (np.exp(effect * step) / 200 for effect in (younger, older))
    good = np.exp(-first * 80)
    mean = (1 - good) / first + good / later
    assert plan.failures_per_year(5)[0] == pytest.approx(3 * 365.25 / mean, rel=2e-3)
    assert plan.failures_per_year(30)[0] == pytest.approx(3 * 365.25 / 200, rel=2e-3)


def test_the_same_effect_at_both_ages_is_the_effect_at_all_ages() -> None:
    plan = yearly_counts(2.3, 200, effect=-0.4, rho=0.001)
    split = EffectByAge(70.0, np.array([-0.4]), np.array([-0.4]))
    for every in (3, 20, 60):
        same = replace(plan, by_age=split).failures_per_year(every)
        assert same == pytest.approx(plan.failures_per_year(every), rel=1e-12)


def test_what_keeps_heads_alive_lets_more_dampers_grow_old_enough_to_fail() -> None:
    heads = yearly_counts(1.0, 400, effect=-1.0)
    heads = replace(heads, centre=heads.exposure_at(30))
    along = TakenAlong(heads, np.zeros(1, np.int64), 0.002)
    dampers = replace(yearly_counts(2.0, 200, rho=0.003), along=along)
    # Without wear heads fail in proportion to their hazard, and dampers go out along with them.
    fewer = np.exp(heads.exposure_at(30) - heads.exposure_at(5))
    assert along.more_per_day(5)[0] == pytest.approx(0.002 * (fewer - 1), rel=1e-5)
    alone = yearly_counts(2.0, 200, rho=0.001 + 0.002 * fewer)
    assert dampers.failures_per_year(5) == pytest.approx(alone.failures_per_year(5), rel=1e-5)
    assert dampers.failures_per_year(5)[0] > 1.1 * dampers.failures_per_year(30)[0]


def test_heads_that_never_fail_take_nothing_along() -> None:
    heads = replace(yearly_counts(1.0, 1e9), centre=0.0)
    along = TakenAlong(heads, np.zeros(1, np.int64), 0.002)
    assert np.isfinite(along.more_per_day(5)).all()
