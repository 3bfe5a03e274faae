"""Demand against simulation, stock levels against published tables."""

from __future__ import annotations

from math import exp, factorial
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.forecast.life_nodes import weibull
from tests.forecast.simulated_need import (
    DrawnLives,
    simulated_need,
    simulated_need_along,
    total_variation,
)
from tests.reference import reference_case
from tracker.decisions.stock_level import (
    chance_of_shortage,
    expected_shortage,
    fill_rate,
    least_cost_stock,
    stock_for_service,
)
from tracker.errors import ModelError
from tracker.forecast.needed import demand, demand_of_groups, mixed
from tracker.forecast.positions.co_replaced_positions import TriggerPart
from tracker.forecast.positions.co_replacement import demand_along
from tracker.forecast.positions.large_pools import demand_along_in_large_pool
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.renewal.renewal import renewal_counts
from tracker.forecast.renewal.sums_of_counts import average_matched, average_of_sums, moments
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = NDArray[np.float64]

DRAWS = 200_000


def poisson(mean: float, size: int = 60) -> Array:
    return np.array([exp(-mean) * mean**k / factorial(k) for k in range(size)])


def learnt(
    rng: np.random.Generator,
    lives: int,
    shape: float,
    scale: float,
    typical_life: float,
    *,
    entries: bool = False,
) -> LifePosterior:
    """A posterior from so many simulated lives, half of them censored, some entered late."""
    life = scale * rng.weibull(shape, lives)
    seen_until = scale * rng.uniform(0.2, 1.5, lives)
    age = np.minimum(life, seen_until)
    entry = np.where(rng.random(lives) < 0.5, age * 0.5, 0.0) if entries else np.zeros(lives)
    belief = LifeBelief(typical_life)
    return LifePosterior.from_lives(age, life <= seen_until, entry, belief=belief)


# Lives seen, shape, scale, typical life believed, delayed entry, positions, horizon, ages from, to.
SET_UPS = {
    "belief alone": (0, 1.5, 365, 365, False, 4, 50, 0, 400),
    "few failures of many positions": (3, 1.5, 300, 365, False, 30, 50, 0, 300),
    "heavy wear": (30, 3.0, 100, 120, False, 12, 60, 0, 90),
    "early failures": (12, 0.7, 200, 150, False, 12, 45, 0, 150),
    "a horizon of several lives": (8, 2.0, 120, 120, False, 3, 300, 0, 200),
    "delayed entry": (40, 1.2, 100, 100, True, 20, 40, 0, 100),
    "new parts only": (15, 2.5, 90, 90, False, 10, 60, 0, 0),
    "parts older than any life seen": (10, 2.0, 150, 150, True, 8, 30, 250, 400),
}


@pytest.mark.parametrize("name", SET_UPS)
def test_demand_equals_a_simulation_of_every_position(name: Any) -> None:
    lives, shape, scale, typical, entries, positions, horizon, low, high = SET_UPS[name]
    rng = np.random.default_rng(sorted(SET_UPS).index(name) + 7)
    life = learnt(rng, lives, shape, scale, typical, entries=entries)
    ages = np.round(rng.uniform(low, high, positions))
    exact = demand(life, ages, horizon)
    drawn = DrawnLives(life.points(4096), DRAWS, rng)
    assert exact.sum() == pytest.approx(1)
    assert total_variation(exact, simulated_need(drawn, ages, horizon)) < 0.01


# Damper lives seen, head lives seen, printers, channels each, horizon.
ALONG = {
    "dampers taken by a head, few failures": (10, 3, 2, 6, 45),
    "dampers taken by a head, belief alone": (0, 0, 1, 6, 60),
    "dampers taken by a head, much seen": (40, 8, 3, 4, 45),
    "dampers taken by a head, long horizon": (10, 3, 2, 4, 150),
}


@pytest.mark.parametrize("name", ALONG)
def test_demand_with_co_replacement_equals_a_simulation_of_every_printer(name: Any) -> None:
    lives, head_lives, printers, channels, horizon = ALONG[name]
    rng = np.random.default_rng(sorted(ALONG).index(name) + 21)
    damper, head = learnt(rng, lives, 1.5, 120, 120), learnt(rng, head_lives, 1.5, 300, 365)
    ages = np.round(rng.uniform(0, 150, printers * channels))
    head_ages = np.round(rng.uniform(0, 350, printers))
    follows = np.repeat(np.arange(printers), channels)
    exact = demand(damper, ages, horizon, trigger=TriggerPart.of(head, head_ages, follows))
    drawn = DrawnLives(damper.points(4096), DRAWS, rng)
    heads = DrawnLives(head.points(4096), DRAWS, rng)
    simulated = simulated_need_along([(drawn, ages, follows)], heads, head_ages, horizon)
    assert total_variation(exact, simulated) < 0.01


def test_white_and_colour_dampers_share_the_head_that_takes_them_along() -> None:
    rng = np.random.default_rng(3)
    white, colour = learnt(rng, 10, 2, 80, 100), learnt(rng, 12, 1.5, 150, 150)
    head = learnt(rng, 4, 1.5, 300, 365)
    white_ages, colour_ages = np.array([10.0, 50.0]), np.array([20.0, 90.0, 5.0, 60.0, 33.0])
    links = np.array([0, 1]), np.array([0, 0, 1, 1, -1])
    head_ages = np.array([100.0, 320.0])
    groups = [
        PositionGroup.of(life, ages, follows=link)
        for life, ages, link in zip((white, colour), (white_ages, colour_ages), links, strict=True)
    ]
    exact = demand_of_groups(groups, 45, trigger=TriggerPart.of(head, head_ages))
    simulated = simulated_need_along(
        [
            (DrawnLives(white.points(4096), DRAWS, rng), white_ages, links[0]),
            (DrawnLives(colour.points(4096), DRAWS, rng), colour_ages, links[1]),
        ],
        DrawnLives(head.points(4096), DRAWS, rng),
        head_ages,
        45,
    )
    assert total_variation(exact, simulated) < 0.01


@pytest.mark.parametrize("seed", range(10))
def test_demand_equals_a_simulation_on_random_set_ups(seed: int) -> None:
    rng = np.random.default_rng([2026, seed])
    scale, shape = float(np.exp(rng.uniform(4, 6))), float(np.exp(rng.uniform(-0.4, 1.2)))
    damper = learnt(rng, int(rng.integers(0, 40)), shape, scale, scale * rng.uniform(0.5, 2),
                    entries=bool(rng.integers(2)))  # fmt: skip
    printers, channels = int(rng.integers(1, 4)), int(rng.integers(1, 7))
    follows = np.repeat(np.arange(printers), channels)
    ages = np.round(scale * rng.uniform(0, 1.3, len(follows)))
    horizon = float(np.round(scale * rng.uniform(0.1, 1.2)))
    drawn = DrawnLives(damper.points(4096), DRAWS, rng)
    if seed % 2:
        head = learnt(rng, int(rng.integers(0, 10)), 1.6, 2.5 * scale, 3 * scale)
        head_ages = np.round(3 * scale * rng.uniform(0, 1, printers))
        exact = demand(damper, ages, horizon, trigger=TriggerPart.of(head, head_ages, follows))
        heads = DrawnLives(head.points(4096), DRAWS, rng)
        simulated = simulated_need_along([(drawn, ages, follows)], heads, head_ages, horizon)
    else:
        exact, simulated = demand(damper, ages, horizon), simulated_need(drawn, ages, horizon)
    assert total_variation(exact, simulated) < 0.01


def test_groups_without_a_trigger_part_convolve() -> None:
    first, second = weibull(1.0, 100), weibull(1.0, 50)
    groups = [PositionGroup.of(first, np.zeros(3)), PositionGroup.of(second, np.zeros(2))]
    # Exponential lives: Poisson with mean 3·40/100 + 2·40/50 = 2.8.
    assert demand_of_groups(groups, 40)[:12] == pytest.approx(poisson(2.8, 12), abs=1e-4)


def test_many_parts_of_a_known_constant_rate_need_spares_like_poisson() -> None:
    # Case D9a: 20 parts, 0.0001 per hour, 24 h × 90 days: mean 4.32 (Blanchard; memory).
    expected = reference_case("D9a")
    chances = demand(weibull(1.0, 10_000), np.linspace(0, 5000, 20), 24 * 90)
    assert chances @ np.arange(len(chances)) == pytest.approx(expected["mean"], rel=1e-4)
    assert np.cumsum(chances)[[8, 7]] == pytest.approx(
        [expected["P_le_8"], expected["P_le_7"]], rel=1e-4
    )
    assert stock_for_service(chances, 0.95) == expected["stock_95"]
    assert stock_for_service(chances, 0.90) == expected["stock_90"]


@pytest.mark.parametrize("positions", [20, 200, 500])
def test_parts_of_a_known_constant_rate_need_spares_like_poisson_in_pools_of_any_size(
    positions: int,
) -> None:
    # The superposition of constant rates is Poisson whatever the ages; 500 go the large-pool way.
    mean, ages = 12.0, np.linspace(0, 900, positions)
    found = demand(weibull(1.0, positions * 30 / mean), ages, 30)
    assert total_variation(found, poisson(mean)) < 1e-3


def test_stock_levels_meet_the_cumulative_poisson_table() -> None:
    # Case D9b: cumulative Poisson.
    case = reference_case("D9b")
    for name, stock in case["stock"].items():
        mean, service = name.removeprefix("mean").split("_p")
        assert stock_for_service(poisson(float(mean)), float(service)) == stock
    for name, chance in case["P"].items():
        mean, stock = (float(part) for part in name.split(","))
        short = chance_of_shortage(poisson(mean), int(stock))
        assert 1 - short == pytest.approx(chance, rel=1e-4)


def test_the_newsvendor_with_normal_demand_orders_fifteen() -> None:
    # Case D9c: Nahmias, newsvendor example, normal(11.73, 4.74) (memory); on hundredths of a unit.
    expected = reference_case("D9c")
    grid = np.arange(0, 4000) / 100
    density = np.exp(-0.5 * ((grid - 11.73) / 4.74) ** 2)
    chances = density / density.sum()
    found = least_cost_stock(chances, shortage_cost=0.50, holding_cost=0.15)
    # Cut off at 0, the normal loses 0.7 % of its mass: Q moves by about two hundredths.
    assert found.stock / 100 == pytest.approx(expected["Q"], abs=0.03)
    assert round(found.stock / 100) == 15


def test_the_newsvendor_with_poisson_demand_meets_brute_force() -> None:
    # Case D9d: own numbers, confirmed by brute force.
    expected = reference_case("D9d")
    for mean, under, over in ((6, 3, 1), (4, 80, 15)):
        found = least_cost_stock(poisson(mean), shortage_cost=under, holding_cost=over)
        name = f"{mean}_{under}_{over}"
        assert found.stock == expected[f"q_{name}"]
        assert found.cost == pytest.approx(expected[f"cost_{name}"], rel=1e-4)


def test_expected_backorders_and_fill_rates_meet_sherbrooke() -> None:
    # Case D9e: Sherbrooke, Optimal Inventory Modeling of Systems, ch. 2 method.
    expected = reference_case("D9e")
    ones = expected_shortage(poisson(1.0), np.arange(5))
    assert ones == pytest.approx(expected["EBO_1"], rel=1e-4)
    fours = expected_shortage(poisson(4.0), np.arange(9))
    assert fours == pytest.approx(expected["EBO_4"], rel=1e-4)
    fills = [fill_rate(poisson(4.0), stock) for stock in range(7)]
    assert fills == pytest.approx(expected["fill_4"], rel=1e-4, abs=1e-6)


def test_waste_makes_the_cheapest_stock_smaller_never_larger() -> None:
    chances = poisson(3.0, 20)
    plain = least_cost_stock(chances, shortage_cost=50, holding_cost=1)
    aging = least_cost_stock(chances, 50, 1, wasted=np.arange(20.0) * 2)
    assert 0 < aging.stock < plain.stock


def test_uncertain_parameters_widen_the_need_of_parts_that_share_them() -> None:
    ages = np.full(20, 50.0)
    known = demand(weibull(1.5, 200), ages, 60)
    unsure = demand(weibull(1.5, 200, spread=0.5, count=300), ages, 60)

    def variance(law: Array) -> float:
        k = np.arange(len(law))
        return float(law @ k**2 - (law @ k) ** 2)

    assert variance(unsure) > 2 * variance(known)
    # Averaging the nodes first, position by position, would hide that.
    counts = renewal_counts(weibull(1.5, 200, spread=0.5, count=300), ages[:1], 60.0)
    one = np.full(300, 1 / 300) @ counts[:, 0]
    wrong = average_of_sums(one[None, None], np.array([20]), np.ones(1))
    assert variance(unsure) > 1.5 * variance(wrong)


@pytest.mark.parametrize("spread", [0.0, 0.3])
def test_the_law_for_large_pools_is_close_to_the_exact_one(spread: Any) -> None:
    nodes = weibull(1.6, 150, spread=spread, count=1 if not spread else 60)
    ages = np.arange(200.0)
    counts = renewal_counts(nodes, ages, 40.0)
    times = np.ones(200, dtype=np.int64)
    exact = average_of_sums(counts, times, nodes.weight)
    matched = average_matched(*moments(counts, times), nodes.weight)
    assert total_variation(exact, matched) < 0.002


@pytest.mark.parametrize(("lives", "head_lives"), [(300, 60), (12, 3)])
def test_large_pools_with_co_replacement_are_close_to_the_exact_form(
    lives: int, head_lives: int
) -> None:
    rng = np.random.default_rng(17)
    damper, head = learnt(rng, lives, 1.5, 120, 120), learnt(rng, head_lives, 1.5, 365, 365)
    links = np.concatenate([np.repeat(np.arange(30), 6), [-1, -1, -1]])
    ages = np.round(rng.uniform(0, 150, len(links)))
    head_ages = np.round(rng.uniform(0, 365, 30))
    groups, trigger = (
        [PositionGroup.of(damper, ages, follows=links)],
        TriggerPart.of(head, head_ages),
    )
    exact = demand_along(groups, trigger, 45)
    large = demand_along_in_large_pool(groups, trigger, 45)
    assert total_variation(exact, large) < 0.02
    for service in (0.8, 0.95, 0.99):
        stock = stock_for_service(exact, service)
        assert stock_for_service(large, service) == pytest.approx(stock, rel=0.03, abs=1)


def test_a_pool_just_above_the_exact_limit_answers_as_one_just_below() -> None:
    rng = np.random.default_rng(8)
    life = learnt(rng, 60, 1.5, 120, 120)
    ages = np.round(rng.uniform(0, 150, 201))
    below, above = demand(life, ages[:200], 30), demand(life, ages, 30)
    one_more = np.convolve(below, [1.0 - 0.2, 0.2])
    assert stock_for_service(above, 0.95) == pytest.approx(stock_for_service(one_more, 0.95), abs=1)


def test_a_lead_time_that_may_be_late_mixes_its_horizons() -> None:
    life = weibull(1.0, 100)
    found = mixed([demand(life, np.zeros(5), days) for days in (20, 60)], [0.75, 0.25])
    expected = 0.75 * poisson(1.0, 9) + 0.25 * poisson(3.0, 9)
    assert found[:9] == pytest.approx(expected, abs=1e-4)


def test_planned_changes_that_fall_due_are_needed_for_certain() -> None:
    # Two parts of 95 days, changed at 100, in a 30-day horizon: each needs one piece for sure.
    chances = demand(weibull(3.0, 400), [95.0, 95.0], 30, planned=100)
    assert np.cumsum(chances)[1] == pytest.approx(0, abs=1e-9)
    assert chances[2] > 0.95


def test_positions_that_leave_need_parts_only_until_then() -> None:
    # Exponential lives: Poisson with mean (40 + 40 + 10) / 100 over the time each is there.
    chances = demand(weibull(1.0, 100), [5.0, 60.0, 30.0], 40, until=[np.inf, 90.0, 10.0])
    assert chances[:8] == pytest.approx(poisson(0.9, 8), abs=1e-4)
    gone = demand(weibull(1.0, 100), [5.0, 60.0], 40, until=[0.0, 0.0])
    assert gone.tolist() == [1.0]


# Horizon, until, planned age of the dampers, of the heads.
LEAVING_OR_PLANNED = {
    "one printer leaves": (45, 15.0, None, None),
    "dampers changed by plan": (60, np.inf, 90.0, None),
    "dampers and heads changed by plan, one printer leaves": (60, 20.0, 90.0, 330.0),
}


@pytest.mark.parametrize("name", LEAVING_OR_PLANNED)
def test_co_replacement_knows_of_plans_and_of_printers_that_leave(name: Any) -> None:
    horizon, until, planned, planned_head = LEAVING_OR_PLANNED[name]
    rng = np.random.default_rng(5)
    damper, head = learnt(rng, 15, 1.5, 120, 120), learnt(rng, 5, 1.5, 300, 365)
    ages = np.array([10.0, 60, 85, 40, 30, 70, 20, 50])
    head_ages, follows = np.array([100.0, 300.0]), np.repeat([0, 1], 4)
    leaves = np.where(follows == 1, until, np.inf)
    trigger = TriggerPart.of(head, head_ages, follows, planned_head)
    exact = demand(damper, ages, horizon, planned=planned, trigger=trigger, until=leaves)
    simulated = simulated_need_along(
        [(DrawnLives(damper.points(4096), DRAWS, rng, planned), ages, follows)],
        DrawnLives(head.points(4096), DRAWS, rng, planned_head),
        head_ages,
        horizon,
        np.array([np.inf, until]),
    )
    assert total_variation(exact, simulated) < 0.01
    groups = [
        PositionGroup.of(damper, ages, planned=planned, follows=follows, until=leaves),
    ]
    large = demand_along_in_large_pool(groups, trigger, horizon)
    k = np.arange(max(len(large), len(exact)))
    means = [np.pad(law, (0, len(k) - len(law))) @ k for law in (large, exact)]
    assert means[0] == pytest.approx(means[1], rel=0.01)


def test_a_head_that_cannot_fail_takes_no_damper_along() -> None:
    damper, everlasting = weibull(1.5, 120), weibull(1.0, 1e9)
    ages = np.array([10.0, 80.0, 30.0])
    trigger = TriggerPart.of(everlasting, [5.0], np.zeros(3, dtype=np.int64))
    alone, along = demand(damper, ages, 60), demand(damper, ages, 60, trigger=trigger)
    assert total_variation(alone, along) < 1e-3


def test_no_positions_and_no_horizon_need_nothing() -> None:
    life = weibull(1.5, 100)
    assert demand(life, [], 30).tolist() == [1.0]
    assert demand(life, [50.0], 0).tolist() == [1.0]


@pytest.mark.parametrize("service", [0, 1, 95])
def test_an_impossible_service_level_is_named(service: Any) -> None:
    with pytest.raises(ModelError, match=f"service level: {service}"):
        stock_for_service(np.ones(1), service)


def test_a_link_to_a_missing_trigger_part_is_refused() -> None:
    with pytest.raises(ModelError, match="points to no trigger part"):
        TriggerPart.of(weibull(1.5, 300), [10.0], np.array([0, 1]))
