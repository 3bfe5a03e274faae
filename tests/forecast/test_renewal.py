"""Renewals of one position against tables, a closed form and simulation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.forecast.life_nodes import weibull
from tests.reference import reference_case
from tracker.errors import ModelError
from tracker.forecast.renewal.paths import renewal_function, renewal_paths
from tracker.forecast.renewal.renewal import renewal_counts

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ErlangNodes:
    """The sum of two exponentials of one rate: S(t) = exp(−rate·t)·(1 + rate·t)."""

    rate: float
    weight: np.ndarray

    def cumulative_hazard(self, age: Array) -> Array:
        return (self.rate * age - np.log1p(self.rate * age))[None, :]


def mean_count(chances: Array) -> float:
    return float(chances @ np.arange(len(chances)))


@pytest.mark.parametrize(("shape", "name"), [(1.5, "M_1_5"), (3.0, "M_3"), (0.8, "M_0_8")])
def test_the_renewal_function_of_weibull_lives_meets_the_tables(shape: Any, name: Any) -> None:
    # Case D9f: computed by two independent methods (Xie 1989; Smith & Leadbetter 1963).
    expected = {float(time): value for time, value in reference_case("D9f")[name].items()}
    times = np.array(list(expected))
    values = np.array(list(expected.values()))
    assert renewal_function(weibull(shape, 1.0), times)[0] == pytest.approx(values, rel=1e-4)
    for time, value in expected.items():
        chances = renewal_counts(weibull(shape, 1.0), np.zeros(1), time)[0, 0]
        assert mean_count(chances) == pytest.approx(value, rel=1e-4)


def test_the_renewal_function_of_two_exponential_stages_has_its_closed_form() -> None:
    # Case D9f: M(t) = λt/2 − 1/4 + exp(−2λt)/4 for Erlang-2 lives of rate λ.
    expected = {float(t): m for t, m in reference_case("D9f")["erlang2_rate2"].items()}
    life = ErlangNodes(2.0, np.ones(1))
    found = renewal_function(life, np.array(list(expected)))[0]
    assert found == pytest.approx(list(expected.values()), rel=1e-6)


def test_exponential_lives_renew_as_a_poisson_process_at_any_age() -> None:
    counts = renewal_counts(weibull(1.0, 100.0), np.array([0.0, 70.0]), 250.0)[0]
    k = np.arange(8)
    factorial = np.cumprod(np.concatenate([[1.0], k[1:]]))
    poisson = np.exp(-2.5) * 2.5**k / factorial
    assert counts[0, :8] == pytest.approx(poisson, abs=2e-5)
    assert counts[1, :8] == pytest.approx(poisson, abs=2e-5)


def test_block_replacement_from_the_renewal_function_meets_its_case() -> None:
    # Case D8a: cost (1 + 5·M(T)) / T of changing at fixed times, Weibull(2.5, 1000).
    expected = reference_case("D8a")
    times = np.linspace(440, 520, 81)
    cost = (1 + 5 * renewal_function(weibull(2.5, 1000.0), times, cells=64)[0]) / times
    assert cost.min() == pytest.approx(expected["block_cost"], rel=1e-4)
    assert times[cost.argmin()] == pytest.approx(expected["block_T"], rel=5e-3)


def simulated_counts(
    rng: np.random.Generator,
    shape: float,
    scale: float,
    age: float,
    horizon: float,
    planned: float,
    draws: int = 200_000,
) -> Array:
    first = scale * ((age / scale) ** shape + rng.exponential(size=draws)) ** (1 / shape) - age
    time = np.minimum(first, max(0.0, planned - age))
    count = np.zeros(draws, dtype=int)
    while (time <= horizon).any():
        count += time <= horizon
        time = time + np.minimum(scale * rng.exponential(size=draws) ** (1 / shape), planned)
    return np.bincount(count) / draws


def distance(a: Array, b: Array) -> float:
    size = max(len(a), len(b))
    return float(np.abs(np.pad(a, (0, size - len(a))) - np.pad(b, (0, size - len(b)))).sum()) / 2


@pytest.mark.parametrize(
    ("shape", "age", "horizon", "planned"),
    [
        (2.0, 50, 200, None),
        (0.7, 30, 150, None),
        (3.0, 0, 300, None),
        (2.0, 50, 200, 60),
        (2.0, 90, 30, 80),
        (2.0, 10, 90, 100),
    ],
)
def test_counts_agree_with_a_simulated_position(
    shape: Any, age: Any, horizon: Any, planned: Any
) -> None:
    rng = np.random.default_rng(11)
    exact = renewal_counts(
        weibull(shape, 100.0), np.array([float(age)]), horizon, planned_age=planned
    )[0, 0]
    simulated = simulated_counts(rng, shape, 100.0, age, horizon, planned or np.inf)
    assert exact.sum() == pytest.approx(1, abs=1e-9)
    assert distance(exact, simulated) < 0.005


def test_paths_end_where_the_counts_do_and_only_ever_grow() -> None:
    life = weibull(1.5, 200.0, spread=0.3, count=20)
    ages = np.array([0.0, 40.0, 160.0])
    paths = renewal_paths(life, ages, 120.0, cells=8)
    counts = renewal_counts(life, ages, 120.0)
    shared = min(paths.shape[2], counts.shape[2])
    assert paths[:, :, :shared, -1] == pytest.approx(counts[..., :shared], abs=2e-3)
    none_yet = paths[:, :, 0, :]
    assert np.all(np.diff(none_yet, axis=-1) <= 1e-12)
    assert none_yet[..., 0] == pytest.approx(1)


def test_a_horizon_of_zero_needs_nothing_unless_a_planned_change_is_overdue() -> None:
    life = weibull(2.0, 100.0)
    assert renewal_counts(life, np.array([50.0]), 0.0)[0, 0].tolist() == [1.0]
    overdue = renewal_counts(life, np.array([50.0, 90.0]), 0.0, planned_age=80)[0]
    assert overdue[:, 1] == pytest.approx([0, 1])


@pytest.mark.parametrize(
    ("ages", "horizon", "words"),
    [([-1.0], 10, "ages, position 0: -1.0"), ([1.0], -5, "horizon: -5"), ([1.0], np.nan, "nan")],
)
def test_impossible_input_is_named(ages: Any, horizon: Any, words: Any) -> None:
    with pytest.raises(ModelError, match=words):
        renewal_counts(weibull(2.0, 100.0), np.array(ages), horizon)
