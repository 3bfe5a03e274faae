"""Stock levels against published tables and brute force."""

from __future__ import annotations

from math import exp, factorial
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.reference import reference_case
from tracker.decisions.stock_level import chance_of_shortage, least_cost_stock, stock_for_service
from tracker.errors import ModelError


def poisson(mean: float, size: int = 60) -> NDArray[np.float64]:
    return np.array([exp(-mean) * mean**k / factorial(k) for k in range(size)])


def test_spares_of_parts_of_a_known_constant_rate_meet_the_table() -> None:
    # Case D9a: 20 parts, 0.0001 per hour, 24 h × 90 days: mean 4.32 (Blanchard; memory).
    expected = reference_case("D9a")
    chances = poisson(20 * 1e-4 * 24 * 90)
    assert stock_for_service(chances, 0.95) == expected["stock_95"]
    assert stock_for_service(chances, 0.90) == expected["stock_90"]


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
    # Where a missing piece costs 1 and one left over nothing, the cost is the expected backorders.
    ones = least_cost_stock(poisson(1.0), 1.0, 0.0).costs[:5]
    assert ones == pytest.approx(expected["EBO_1"], rel=1e-4)
    fours = least_cost_stock(poisson(4.0), 1.0, 0.0).costs[:9]
    assert fours == pytest.approx(expected["EBO_4"], rel=1e-4)
    # A demand is filled where fewer were needed than are kept; with none kept, none is.
    fills = [1 - chance_of_shortage(poisson(4.0), stock - 1) for stock in range(1, 7)]
    assert [0.0, *fills] == pytest.approx(expected["fill_4"], rel=1e-4, abs=1e-6)


def test_waste_makes_the_cheapest_stock_smaller_never_larger() -> None:
    chances = poisson(3.0, 20)
    plain = least_cost_stock(chances, shortage_cost=50, holding_cost=1)
    aging = least_cost_stock(chances, 50, 1, wasted=np.arange(20.0) * 2)
    assert 0 < aging.stock < plain.stock


@pytest.mark.parametrize("service", [0, 1, 95])
def test_an_impossible_service_level_is_named(service: Any) -> None:
    with pytest.raises(ModelError, match=f"service level: {service}"):
        stock_for_service(np.ones(1), service)
