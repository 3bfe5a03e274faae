"""Planned replacement age against published rules, closed forms and extremes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr

from tests.decisions.life_nodes import weibull
from tests.reference import reference_case
from tracker.decisions.replacement_age import best_age, co_replacement_pays, cost_rates
from tracker.errors import ModelError

Array = NDArray[np.float64]


def weibull_survival(shape: float, scale: float) -> Callable[[Array], Array]:
    return lambda age: np.exp(-((age / scale) ** shape))


def test_the_cheapest_age_of_a_worn_part_meets_barlow_and_proschan() -> None:
    # Case D8a: Barlow & Proschan (1965) cost rate, Weibull(2.5, 1000), costs 1 and 5.
    expected = reference_case("D8a")
    found = best_age(weibull_survival(2.5, 1000), planned_cost=1, failure_cost=5)
    assert found.age == pytest.approx(expected["T_opt"], rel=1e-4)
    assert found.cost_rate == pytest.approx(expected["cost_rate"], rel=1e-4)
    assert found.run_to_failure_rate == pytest.approx(expected["run_to_failure"], rel=1e-4)
    assert found.mean_life == pytest.approx(expected["MTTF"], rel=1e-4)
    assert found.worthwhile


def test_a_ten_times_dearer_failure_brings_the_change_forward() -> None:
    # Case D8b: Weibull(2, 10), costs 100 and 1000.
    expected = reference_case("D8b")
    found = best_age(weibull_survival(2, 10), planned_cost=100, failure_cost=1000)
    assert found.age == pytest.approx(expected["T_opt"], rel=1e-4)
    assert found.cost_rate == pytest.approx(expected["cost_rate"], rel=1e-4)
    assert found.run_to_failure_rate == pytest.approx(expected["run_to_failure"], rel=1e-4)


def test_normal_life_gives_the_tabulated_costs_and_the_change_at_four_weeks() -> None:
    # Case D8c: normal(5, 1) weeks, costs 5 and 10; example class of Jardine & Tsang, ch. 2.
    expected = reference_case("D8c")

    def survival(age: Array) -> Array:
        return ndtr(5 - age)

    weeks = np.arange(1, 8, dtype=float)
    costs = cost_rates(survival, weeks, planned_cost=5, failure_cost=10)
    assert costs == pytest.approx(list(expected["C"].values()), rel=1e-4)
    assert weeks[np.argmin(costs)] == expected["T_opt_integer"]
    found = best_age(survival, planned_cost=5, failure_cost=10)
    assert found.age == pytest.approx(expected["T_opt"], rel=1e-4)
    assert found.cost_rate == pytest.approx(expected["cost_rate"], rel=1e-4)


def test_a_flat_cost_curve_is_reported_as_run_to_failure_not_as_an_age() -> None:
    # Case D8d: shape 1.2, costs 1 and 2: the formal optimum near 17.5 scales saves nothing.
    expected = reference_case("D8d")
    found = best_age(weibull_survival(1.2, 1000), planned_cost=1, failure_cost=2)
    assert found.age == np.inf
    assert not found.worthwhile
    assert found.formal_age == pytest.approx(expected["T_opt_shape1_2"], rel=1e-3)
    assert found.run_to_failure_rate == pytest.approx(expected["run_to_failure"], rel=1e-4)
    cost = cost_rates(weibull_survival(1.2, 1000), np.array([found.formal_age]), 1, 2)
    assert cost[0] == pytest.approx(expected["cost_at_opt"], rel=1e-6)


@pytest.mark.parametrize("shape", [0.6, 0.8, 1.0])
def test_early_failures_and_accidents_are_never_changed_by_plan(shape: Any) -> None:
    found = best_age(weibull_survival(shape, 1000), planned_cost=1, failure_cost=50)
    assert (found.age, found.formal_age, found.saving) == (np.inf, np.inf, 0)


def test_a_planned_change_as_dear_as_a_failure_never_pays() -> None:
    found = best_age(weibull_survival(3, 1000), planned_cost=5, failure_cost=5)
    assert not found.worthwhile


def test_the_best_age_scales_with_the_unit_of_time_and_ignores_the_currency() -> None:
    days = best_age(weibull_survival(2.5, 1000), planned_cost=1, failure_cost=5)
    hours = best_age(weibull_survival(2.5, 24000), planned_cost=100, failure_cost=500)
    assert hours.age == pytest.approx(24 * days.age, rel=1e-6)
    assert hours.saving == pytest.approx(days.saving, rel=1e-6)


def test_an_uncertain_life_uses_the_averaged_survival_and_tells_the_chance_that_it_pays() -> None:
    posterior = weibull(2.0, 300, spread=0.4, count=200)

    def averaged(age: Array) -> Array:
        hazard = posterior.cumulative_hazard(np.ravel(age))
        return (posterior.weight @ np.exp(-hazard)).reshape(np.shape(age))

    from_posterior = best_age(posterior, planned_cost=1, failure_cost=5)
    from_survival = best_age(averaged, planned_cost=1, failure_cost=5)
    assert from_posterior.age == pytest.approx(from_survival.age, rel=1e-9)
    assert 0.5 < from_posterior.chance_it_pays < 1


def test_a_horizon_before_the_optimum_gives_the_best_age_within_it() -> None:
    found = best_age(weibull_survival(2.5, 1000), planned_cost=1, failure_cost=5, horizon=300)
    assert found.age == 300
    assert found.curve["age"].max() <= 300


def test_a_damper_is_changed_with_the_head_only_once_it_is_worn() -> None:
    # Hand calculation: with shape 2 and scale 100 the mean is
    # 100·Γ(1.5) = 88.623 and the mean remaining life at 50 is
    # 100·(√π/2)·erfc(0.5)·exp(0.25) = 54.564, so a part of 50 days is worth
    # 40·(1 − 54.564/88.623) = 15.37 less than a new one.
    part = weibull(2.0, 100)
    advice = co_replacement_pays(part, age=50, piece_cost=9, failure_cost=40)
    assert advice.pays
    assert advice.saving == pytest.approx(40 * (1 - 54.564 / 88.623) - 9, rel=1e-4)
    assert 0 < advice.from_age < 50
    assert not co_replacement_pays(part, age=5, piece_cost=9, failure_cost=40).pays


def test_a_part_without_wear_is_never_changed_along() -> None:
    advice = co_replacement_pays(weibull(1.0, 100), age=80, piece_cost=1, failure_cost=40)
    assert (advice.pays, advice.from_age) == (False, np.inf)
    assert advice.saving == pytest.approx(-1, abs=1e-6)


@pytest.mark.parametrize("cost", [0, -1, np.nan])
def test_an_impossible_cost_is_named_with_its_value(cost: Any) -> None:
    with pytest.raises(ModelError, match="planned cost: "):
        best_age(weibull_survival(2, 100), planned_cost=cost, failure_cost=5)


def test_a_survival_that_never_falls_is_refused() -> None:
    with pytest.raises(ModelError, match="does not fall below one half"):
        best_age(lambda age: np.ones_like(age), planned_cost=1, failure_cost=5)
