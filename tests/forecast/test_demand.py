"""The exact law of need of one kind: against simulation, closed forms and published tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from tests.forecast.life_nodes import weibull
from tests.forecast.simulated_need import DrawnLives, simulated_need, total_variation
from tests.reference import reference_case
from tracker.errors import ModelError
from tracker.forecast import demand
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = NDArray[np.float64]

DRAWS = 200_000


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
    "more ages than are told apart": (10, 1.5, 150, 150, False, 160, 30, 0, 200),
}


@pytest.mark.parametrize("name", SET_UPS)
def test_demand_equals_a_simulation_of_every_position(name: Any) -> None:
    lives, shape, scale, typical, entries, positions, horizon, low, high = SET_UPS[name]
    rng = np.random.default_rng(sorted(SET_UPS).index(name) + 7)
    life = learnt(rng, lives, shape, scale, typical, entries=entries)
    ages = np.round(rng.uniform(low, high, positions))
    exact = demand(life, ages, horizon)
    drawn = DrawnLives.of(life.points(4096), DRAWS, rng)
    assert exact.sum() == pytest.approx(1)
    assert total_variation(exact, simulated_need(drawn, ages, horizon)) < 0.01


@pytest.mark.parametrize("seed", range(6))
def test_demand_equals_a_simulation_on_random_set_ups(seed: int) -> None:
    rng = np.random.default_rng([2026, seed])
    scale, shape = float(np.exp(rng.uniform(4, 6))), float(np.exp(rng.uniform(-0.4, 1.2)))
    life = learnt(rng, int(rng.integers(0, 40)), shape, scale, scale * rng.uniform(0.5, 2),
                  entries=bool(rng.integers(2)))  # fmt: skip
    ages = np.round(scale * rng.uniform(0, 1.3, int(rng.integers(1, 18))))
    horizon = float(np.round(scale * rng.uniform(0.1, 1.2)))
    drawn = DrawnLives.of(life.points(4096), DRAWS, rng)
    simulated = simulated_need(drawn, ages, horizon)
    assert total_variation(demand(life, ages, horizon), simulated) < 0.01


@pytest.mark.parametrize(("shape", "age", "horizon"), [(2.0, 50, 200), (0.7, 30, 150), (3, 0, 300)])
def test_renewals_of_one_position_agree_with_a_simulated_one(
    shape: float, age: float, horizon: float
) -> None:
    rng = np.random.default_rng(11)
    lives = DrawnLives(np.full(DRAWS, shape), np.full(DRAWS, 100.0), rng)
    exact = demand(weibull(shape, 100.0), [age], horizon)
    assert total_variation(exact, simulated_need(lives, np.array([age]), horizon)) < 0.005


@dataclass(frozen=True)
class ErlangNodes:
    """The sum of two exponentials of one rate: S(t) = exp(−rate·t)·(1 + rate·t)."""

    rate: float
    weight: Array

    def cumulative_hazard(self, age: Array) -> Array:
        return (self.rate * age - np.log1p(self.rate * age))[None, :]

    def nodes(self) -> ErlangNodes:
        """Itself."""
        return self


def renewal_function(life: Any, time: float) -> float:
    """How many renewals of a position with a new part are expected by then."""
    law = demand(life, [0.0], time)
    return float(law @ np.arange(len(law)))


@pytest.mark.parametrize(("shape", "name"), [(1.5, "M_1_5"), (3.0, "M_3"), (0.8, "M_0_8")])
def test_the_renewal_function_of_weibull_lives_meets_the_tables(shape: float, name: str) -> None:
    # Case D9f: computed by two independent methods (Xie 1989; Smith & Leadbetter 1963).
    for time, expected in reference_case("D9f")[name].items():
        found = renewal_function(weibull(shape, 1.0), float(time))
        assert found == pytest.approx(expected, rel=1e-4)


def test_the_renewal_function_of_two_exponential_stages_has_its_closed_form() -> None:
    # Case D9f: M(t) = λt/2 − 1/4 + exp(−2λt)/4 for Erlang-2 lives of rate λ.
    life = ErlangNodes(2.0, np.ones(1))
    for time, expected in reference_case("D9f")["erlang2_rate2"].items():
        assert renewal_function(life, float(time)) == pytest.approx(expected, rel=1e-4)


def test_block_replacement_from_the_renewal_function_meets_its_case() -> None:
    # Case D8a: cost (1 + 5·M(T)) / T of changing at fixed times, Weibull(2.5, 1000).
    expected = reference_case("D8a")
    times = np.linspace(440, 520, 81)
    renewed = np.array([renewal_function(weibull(2.5, 1000.0), time) for time in times])
    cost = (1 + 5 * renewed) / times
    assert cost.min() == pytest.approx(expected["block_cost"], rel=1e-4)
    assert times[cost.argmin()] == pytest.approx(expected["block_T"], rel=5e-3)


def test_many_parts_of_a_known_constant_rate_need_spares_like_poisson() -> None:
    # Case D9a: 20 parts, 0.0001 per hour, 24 h × 90 days: mean 4.32 (Blanchard; memory).
    expected = reference_case("D9a")
    chances = demand(weibull(1.0, 10_000), np.linspace(0, 5000, 20), 24 * 90)
    assert chances @ np.arange(len(chances)) == pytest.approx(expected["mean"], rel=1e-4)
    assert np.cumsum(chances)[[8, 7]] == pytest.approx(
        [expected["P_le_8"], expected["P_le_7"]], rel=1e-4
    )


@pytest.mark.parametrize("positions", [1, 20, 200, 500])
def test_parts_of_a_known_constant_rate_need_spares_like_poisson_in_pools_of_any_size(
    positions: int,
) -> None:
    # The superposition of constant rates is Poisson whatever the ages.
    mean, ages = 12.0, np.linspace(0, 900, positions)
    found = demand(weibull(1.0, positions * 30 / mean), ages, 30)
    assert total_variation(found, stats.poisson.pmf(np.arange(60), mean)) < 1e-3


def test_uncertain_parameters_widen_the_need_of_parts_that_share_them() -> None:
    # By hand, without renewal: 80 parts of 50 days over 6 days, of which hardly any fails twice.
    # Given the life the count is binomial; shared, the mixture of binomials has a variance of
    # E[n·p·(1 − p)] + n²·Var(p).
    unsure = weibull(1.5, 200, spread=0.3, count=300)
    law = demand(unsure, np.full(80, 50.0), 6)
    gained = unsure.cumulative_hazard(np.array([56.0])) - unsure.cumulative_hazard(np.array([50.0]))
    chance = -np.expm1(-gained[:, 0])
    expected = 80 * (chance * (1 - chance)).mean() + 80**2 * chance.var()
    k = np.arange(len(law))
    assert law @ k**2 - (law @ k) ** 2 == pytest.approx(expected, rel=0.02)
    # Averaged part by part it would be that of one binomial.
    assert expected > 1.4 * 80 * chance.mean() * (1 - chance.mean())


def test_a_pool_of_more_ages_than_are_told_apart_answers_as_one_just_below() -> None:
    rng = np.random.default_rng(8)
    life = learnt(rng, 60, 1.5, 120, 120)
    ages = np.arange(101.0)
    below, above = demand(life, ages[:100], 30), demand(life, ages, 30)
    one_more = np.convolve(below, demand(life, ages[100:], 30))
    assert total_variation(above, one_more) < 0.01


def test_no_positions_and_no_horizon_need_nothing() -> None:
    life = weibull(1.5, 100)
    assert demand(life, [], 30).tolist() == [1.0]
    assert demand(life, [50.0], 0).tolist() == [1.0]


@pytest.mark.parametrize(
    ("ages", "horizon", "words"),
    [([-1.0], 10, "ages: -1.0"), ([1.0], -5, "horizon: -5"), ([1.0], np.nan, "horizon: nan")],
)
def test_impossible_input_is_named(ages: Any, horizon: Any, words: Any) -> None:
    with pytest.raises(ModelError, match=words):
        demand(weibull(2.0, 100.0), ages, horizon)
