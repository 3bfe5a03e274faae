"""Planned replacement age against published rules, closed forms and extremes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import gamma, gammainc, ndtr

from tests.forecast.life_nodes import WeibullNodes, weibull
from tests.reference import reference_case
from tracker.decisions.replacement_age import best_age, best_ages, cost_rates
from tracker.errors import ModelError
from tracker.forecast.steady_lives import NewLives
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

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


def closed_form(nodes: Any, age: float, planned: float, failure: float) -> Array:
    """Cost rate per Weibull node, ∫₀ᵀ S = scale/k·γ(1/k, (T/scale)^k); an infinite T: γ is Γ."""
    inverse = 1 / nodes.shape
    gathered = (age / nodes.scale) ** nodes.shape
    lived = nodes.scale * inverse * gamma(inverse) * gammainc(inverse, gathered)
    return (planned * np.exp(-gathered) - failure * np.expm1(-gathered)) / lived


def test_the_cost_of_an_uncertain_life_is_averaged_over_lives_and_not_over_parts() -> None:
    # By hand: no ageing, mean life 100 or 10 000 days, as likely as not. A failure of 100 costs
    # 1 or 0.01 a day, on average 0.505. (One over the mean length of a cycle would say 0.0198.)
    nodes = WeibullNodes(np.full(2, 0.5), np.ones(2), np.array([100.0, 10_000.0]))
    found = best_age(nodes, planned_cost=20, failure_cost=100)
    assert found.run_to_failure_rate == pytest.approx(0.505, rel=1e-6)
    assert found.mean_life == pytest.approx(100 / 0.505, rel=1e-6)
    # Changed at 100 days: (20·e⁻¹ + 100·(1 − e⁻¹))/(100·(1 − e⁻¹)) and the like for the other.
    expected = 0.5 * (1.116395 + (20 * 0.990050 + 100 * 0.009950) / 99.501663)
    rate = cost_rates(nodes, np.array([100.0]), 20, 100)
    assert rate[0] == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("spread", [0.1, 0.5, 1.5])
def test_the_cheapest_age_of_an_uncertain_life_meets_the_closed_form(spread: float) -> None:
    nodes = weibull(2.0, 300, spread=spread, count=60)
    found = best_age(nodes, planned_cost=1, failure_cost=6)
    ages = np.geomspace(3, 3000, 4000)
    costs = [nodes.weight @ closed_form(nodes, age, 1, 6) for age in ages]
    endless = nodes.weight @ closed_form(nodes, np.inf, 1, 6)
    assert found.run_to_failure_rate == pytest.approx(endless, rel=1e-5)
    assert found.cost_rate == pytest.approx(min(costs), rel=1e-5)
    assert found.age == pytest.approx(ages[np.argmin(costs)], rel=0.02)
    saved = closed_form(nodes, np.inf, 1, 6) - closed_form(nodes, found.age, 1, 6)
    assert found.chance_it_pays == pytest.approx(nodes.weight @ (saved > 0))
    # Between numpy's quantiles that lie a node to either side.
    for got, share in ((found.saved_p10, 0.1), (found.saved_p90, 0.9)):
        low, high = np.quantile(saved, [share - 1 / 60, share + 1 / 60])
        assert low <= got <= high


@pytest.mark.parametrize(("failures", "pays"), [(0, 0.03), (1, 0.15), (6, 0.5)])
def test_few_failures_do_not_make_running_to_failure_look_free(failures: int, pays: float) -> None:
    lives = [300.0, 280, 310, 250, 350, 400][:failures]
    posterior = LifePosterior.from_lives(lives, [1] * failures, belief=LifeBelief(365))
    curves = posterior.points(4096)
    fine = WeibullNodes(np.full(4096, 1 / 4096), curves.shape, curves.scale)
    found = best_age(fine, planned_cost=100, failure_cost=600)
    endless, by_plan = (closed_form(fine, age, 100, 600) for age in (np.inf, found.age))
    assert found.run_to_failure_rate == pytest.approx(endless.mean(), rel=1e-4)
    assert found.saving == pytest.approx(1 - by_plan.mean() / endless.mean(), abs=1e-4)
    assert found.saving > pays
    low, high = np.quantile(endless - by_plan, [0.1, 0.9])
    assert found.saved_p10 == pytest.approx(low, abs=1e-3 * endless.mean())
    assert found.saved_p90 == pytest.approx(high, abs=1e-3 * endless.mean())
    assert found.chance_it_pays == pytest.approx((by_plan < endless).mean(), abs=1e-3)


def test_a_small_chance_of_an_endless_life_takes_its_share_and_no_more() -> None:
    known = weibull(2.5, 1000)
    doubtful = WeibullNodes(np.array([0.8, 0.2]), np.full(2, 2.5), np.array([1000.0, 1e12]))
    sure, found = (best_age(life, planned_cost=1, failure_cost=5) for life in (known, doubtful))
    assert found.run_to_failure_rate == pytest.approx(0.8 * sure.run_to_failure_rate, rel=1e-5)
    assert found.saved_p10 < 0 < found.saved_p90
    assert found.chance_it_pays == pytest.approx(0.8)
    # Whoever changes an endless part by plan pays for it: later than for the worn part alone.
    assert sure.age < found.age < 1.2 * sure.age
    assert (sure.saved_p10, sure.saved_p90) == pytest.approx(
        (sure.run_to_failure_rate - sure.cost_rate,) * 2, rel=1e-4
    )


def test_lives_asked_about_together_get_the_answers_they_get_alone() -> None:
    shape, weight = np.array([1.5, 2.5, 4.0]), np.array([0.5, 0.3, 0.2])
    wear = np.array([[0.4, 0.5, 0.6], [1.0, 1.0, 1.0], [2.0, 2.5, 3.0]])
    together = NewLives(weight, 300.0, wear, shape, np.full(3, 1e-4))
    for own, found in zip(wear, best_ages(together, 1, 6), strict=True):
        alone = best_age(Gathered(replace(together, wear=own[None])), 1, 6)
        assert np.isfinite(found.age)
        assert found.age == pytest.approx(alone.age, rel=1e-7)
        assert found.saved == pytest.approx(alone.saved, rel=1e-7)
        assert found.run_to_failure_rate == pytest.approx(alone.run_to_failure_rate, rel=1e-8)
        assert found.curve["cost_rate"].min() == pytest.approx(found.cost_rate, rel=1e-3)


@dataclass(frozen=True)
class Gathered:
    """One of them, of which nothing but its curves is told."""

    lives: NewLives

    @property
    def weight(self) -> Array:
        return self.lives.weight

    def cumulative_hazard(self, age: Array) -> Array:
        return self.lives.cumulative_hazard(age)[0]


def test_a_change_that_is_as_likely_to_lose_is_not_worthwhile() -> None:
    # Three curves in five never wear: whoever changes those parts by plan loses, though the wear
    # of the other two makes the mean saving large.
    shapes = np.array([1.0, 1.0, 1.0, 4.0, 4.0])
    doubtful = WeibullNodes(np.full(5, 0.2), shapes, np.full(5, 100.0))
    found = best_age(doubtful, planned_cost=1, failure_cost=20)
    assert found.saving > 0.1
    assert found.chance_it_pays == pytest.approx(0.4)
    assert not found.worthwhile
    assert (found.age, found.cost_rate) == (np.inf, found.run_to_failure_rate)
    assert not found.saved.any()


@pytest.mark.parametrize("cost", [0, -1, np.nan])
def test_an_impossible_cost_is_named_with_its_value(cost: Any) -> None:
    with pytest.raises(ModelError, match="planned cost: "):
        best_age(weibull_survival(2, 100), planned_cost=cost, failure_cost=5)


def test_a_survival_that_never_falls_is_refused() -> None:
    with pytest.raises(ModelError, match="does not fall below one half"):
        best_age(lambda age: np.ones_like(age), planned_cost=1, failure_cost=5)
