"""The number of failures in a pool by each day, against closed forms and simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from tests.forecast.life_nodes import weibull
from tracker.forecast.positions.failure_counts import SMALL_POOL, FailureCounts, at_least_fitted

TIMES = np.array([20.0, 61.0, 150.0, 300.0])


def pool(life: Any, ages: list[float]) -> FailureCounts:
    names = np.array([""] * len(ages), dtype=object)
    return FailureCounts.of({"": life}, names, np.array(ages), 400.0)


def test_one_part_that_fails_first_has_its_own_law() -> None:
    found = pool(weibull(2.0, 300), [60.0]).at_least(1, TIMES)
    alive = np.exp((60 / 300) ** 2 - ((60 + TIMES) / 300) ** 2)
    assert found == pytest.approx(1 - alive, abs=2e-5)


def test_parts_without_ageing_fail_as_a_poisson_process() -> None:
    # Five parts, one failure in 200 days each, replaced at once: Poisson with mean 5 t / 200.
    found = pool(weibull(1.0, 200), [0.0, 10.0, 50.0, 50.0, 300.0])
    for number in (1, 3, 6):
        expected = stats.poisson.sf(number - 1, 5 * TIMES / 200)
        assert found.at_least(number, TIMES) == pytest.approx(expected, abs=5e-4)


def simulated(life: Any, ages: list[float], times: Any, draws: int, seed: int) -> Any:
    """How many failures each draw has by each time: (draws, times), replacements fail again."""
    rng = np.random.default_rng(seed)
    node = rng.integers(len(life.weight), size=draws)
    shape, scale = life.shape[node], life.scale[node]

    def left(age: float) -> Any:
        drawn = rng.exponential(size=draws)
        return scale * ((age / scale) ** shape + drawn) ** (1 / shape) - age

    count = np.zeros((draws, len(times)), dtype=int)
    for age in ages:
        when = left(age)
        for _ in range(12):
            count += when[:, None] <= times
            when = when + left(0.0)
            if (when > times[-1]).all():
                break
    return count


def test_shared_unknown_parameters_and_second_failures_agree_with_simulation() -> None:
    ages = [100.0, 50.0, 0.0, 0.0]
    life = weibull(2.0, 150, spread=0.3, count=4)
    exact = pool(life, ages)
    count = simulated(life, ages, TIMES, draws=100_000, seed=2)
    for number in (1, 2, 5, 8):
        seen = (count >= number).mean(axis=0)
        assert exact.at_least(number, TIMES) == pytest.approx(seen, abs=0.006)


def test_a_large_pool_has_the_law_of_its_binomial_first_failures() -> None:
    # Two hundred like parts, hardly any of which fails twice in 20 days.
    many = 200
    assert many > SMALL_POOL
    found = pool(weibull(2.0, 300), [100.0] * many)
    once = 1 - np.exp((100 / 300) ** 2 - (120 / 300) ** 2)
    for number in (1, 5, 10, 15, 20):
        expected = stats.binom.sf(number - 1, many, once)
        assert found.at_least(number, np.array([20.0]))[0] == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize("spread", [0.0, 0.3])
def test_a_large_pool_meets_simulation_in_the_tails_that_order_dates_hang_on(spread: float) -> None:
    life = weibull(2.0, 400, spread=spread, count=6, seed=3)
    ages = list(np.linspace(0, 120, SMALL_POOL + 4))
    times = np.array([4.0, 10.0, 20.0, 40.0, 80.0, 160.0])
    found = pool(life, ages)
    count = simulated(life, ages, times, draws=200_000, seed=4)
    for number in (1, 2, 3, 4, 6, 9, 14):
        seen = (count >= number).mean(axis=0)
        got = found.at_least(number, times)
        assert got == pytest.approx(seen, abs=0.006)
        # A risk of a few per cent is met within a tenth of itself.
        rare = (seen > 0.005) & (seen < 0.05)
        assert got[rare] == pytest.approx(seen[rare], rel=0.1)


def test_a_small_and_a_large_pool_agree_where_one_becomes_the_other() -> None:
    life = weibull(2.0, 300, spread=0.3, count=5)
    ages = list(np.linspace(0, 200, SMALL_POOL))
    exact = pool(life, ages)
    weight, mean, variance = exact._moments
    for number in (1, 3, 8):
        fitted = np.interp(TIMES, exact.grid, weight @ at_least_fitted(number, mean, variance))
        assert fitted == pytest.approx(exact.at_least(number, TIMES), abs=0.006)


@pytest.mark.parametrize("number", [1, 3, 7, 21])
def test_a_count_of_given_moments_is_binomial_poisson_or_negative_binomial(number: int) -> None:
    mean, variance = np.array([4.0, 4.0, 4.0, 0.0, -1e-17]), np.array([3.2, 4.0, 6.0, 0.0, 1e-17])
    expected = [
        stats.binom.sf(number - 1, 20, 0.2),
        stats.poisson.sf(number - 1, 4),
        stats.nbinom.sf(number - 1, 8, 2 / 3),
        0,
        0,
    ]
    assert at_least_fitted(number, mean, variance) == pytest.approx(expected, abs=1e-5)


def test_two_head_types_fail_independently_of_each_other() -> None:
    a, b = weibull(2.0, 300), weibull(1.5, 200)
    names = np.array(["a", "b"], dtype=object)
    both = FailureCounts.of({"a": a, "b": b}, names, np.array([60.0, 30.0]), 400.0)
    alone = [pool(life, [age]).at_least(1, TIMES) for life, age in ((a, 60.0), (b, 30.0))]
    assert both.at_least(1, TIMES) == pytest.approx(1 - (1 - alone[0]) * (1 - alone[1]), abs=2e-5)


def test_more_failures_are_never_likelier_and_time_never_lowers_the_chance() -> None:
    found = pool(weibull(0.8, 200, spread=0.4, count=6), [0.0, 5.0, 400.0])
    days = np.arange(0, 400, 5.0)
    laws = np.stack([found.at_least(number, days) for number in range(1, 8)])
    assert (np.diff(laws, axis=0) <= 1e-9).all()
    assert (np.diff(laws, axis=1) >= -1e-9).all()


def test_a_position_that_ends_needs_nothing_afterwards() -> None:
    life, names = weibull(2.0, 150), np.array(["", ""], dtype=object)
    ends = np.array([100.0, np.inf])
    found = FailureCounts.of({"": life}, names, np.array([50.0, 50.0]), 400.0, until=ends)
    days = np.array([90.0, 200.0])
    once = 1 - np.exp((50 / 150) ** 2 - ((50 + np.minimum(days, 100)) / 150) ** 2)
    whole = 1 - np.exp((50 / 150) ** 2 - ((50 + days) / 150) ** 2)
    assert found.at_least(1, days) == pytest.approx(1 - (1 - once) * (1 - whole), abs=2e-5)
    gone = FailureCounts.of({"": life}, names, np.array([50.0, 50.0]), 400.0, until=np.zeros(2))
    assert gone.at_least(1, days).tolist() == [0, 0]
