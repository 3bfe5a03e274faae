"""Peaks at an edge, and draws whose weights must not rest on a few of them."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.special import digamma, polygamma

from tests.models.regression.test_cox import weekly
from tests.models.regression.test_weibull_hazard import grid_posterior
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.regression import fit_weibull_hazard
from tracker.models.regression.importance import find_peak, weighted_draws


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def bell(points: np.ndarray) -> np.ndarray:
    """A normal about (2, 0), standard deviations 1 and 0.5."""
    return -0.5 * (points[:, 0] - 2) ** 2 - 2 * points[:, 1] ** 2


def test_the_peak_of_a_normal_and_its_curvature_are_exact() -> None:
    at, curvature = find_peak(bell, np.array([-1.0, 0.7]), np.array([0.3, 0.5]))
    np.testing.assert_allclose(at, [2, 0], atol=1e-4)
    np.testing.assert_allclose(curvature, [[1, 0], [0, 4]], atol=1e-4)


@pytest.mark.parametrize("edge", [0.5, 1.9, 2.01])
def test_a_peak_at_or_beyond_the_edge_of_a_density_is_approached_from_within(edge: float) -> None:
    # Differences across the edge are NaN and once spoiled the whole fit (LinAlgError).
    def ends(points: np.ndarray) -> np.ndarray:
        return np.where(points[:, 0] <= edge, bell(points), -np.inf)

    at, curvature = find_peak(ends, np.array([-1.0, 0.7]), np.array([0.3, 0.5]))
    assert edge - 0.1 < at[0] <= edge
    assert np.isfinite(curvature).all()


def test_a_density_that_is_nowhere_a_number_is_refused_in_words() -> None:
    def nothing(points: np.ndarray) -> np.ndarray:
        return np.full(len(points), np.nan)

    with pytest.raises(ModelError, match="larger units"):
        find_peak(nothing, np.zeros(2), np.ones(2))


def test_a_shape_far_from_the_belief_is_found() -> None:
    # Shape 12 lies further from the start 1.5 than the first cells reach (a factor of e^1.5).
    ages = np.ceil(100 * rng(5).weibull(12, size=400))
    rows = pd.DataFrame(
        {"start": 0.0, "stop": ages, "failed": True, "x": rng(6).normal(size=400), "cluster": 0}
    )
    fit = fit_weibull_hazard(rows, ["x"], rng=rng())
    low, high = fit.quantiles(fit.draws["shape"].to_numpy(), (0.025, 0.975))
    assert low < 12 < high
    assert fit.effective_sample_size > 1000


@pytest.mark.parametrize("worth", [0.1, 0.5, 4.0])
def test_the_long_tail_of_a_rate_hardly_known_is_covered(worth: float) -> None:
    # log of a gamma(worth) variable: mean digamma(worth), variance trigamma(worth), skewed left.
    def log_gamma(points: np.ndarray) -> np.ndarray:
        with np.errstate(over="ignore"):
            return worth * points[:, 0] - np.exp(points[:, 0]) - 0.5 * (points[:, 1:] ** 2).sum(1)

    peak = np.concatenate([[np.log(worth)], np.zeros(9)])
    curvature = np.diag(np.concatenate([[worth], np.ones(9)]))
    drawn = weighted_draws(log_gamma, peak, curvature, rng(2), 4000)
    assert drawn.effective_sample_size >= 500
    mean = drawn.weights @ drawn.values[:, 0]
    spread = float(np.sqrt(polygamma(1, worth)))
    assert abs(mean - digamma(worth)) < 4 * spread / np.sqrt(drawn.effective_sample_size)


def test_two_regimes_are_both_covered_by_bells_put_where_the_heavy_draws_lie() -> None:
    # Half the mass in a wide bell, half in a narrow one that the wide one's curvature cannot see.
    dimensions = 4

    def two(points: np.ndarray) -> np.ndarray:
        wide = -0.5 * (points**2).sum(axis=1)
        gap = (points - 2.0) / 0.35
        narrow = -0.5 * (gap**2).sum(axis=1) - dimensions * np.log(0.35)
        return np.logaddexp(wide, narrow)

    drawn = weighted_draws(two, np.zeros(dimensions), np.eye(dimensions), rng(3), 4000)
    assert drawn.extra > 0
    assert drawn.effective_sample_size >= 500
    assert drawn.weights.sum() == pytest.approx(1)
    mean = drawn.weights @ drawn.values
    np.testing.assert_allclose(mean, 1.0, atol=0.15)  # half at 0, half at 2


def without_failures(covariates: int, seed: int) -> pd.DataFrame:
    """Four printers of three parts, 400 days each, no failure; exposures change every ten weeks."""
    draw = rng(seed)
    start = np.arange(0, 400, 7.0)
    pieces = []
    for number in range(12):
        piece = {"start": start, "stop": start + 7, "failed": False, "cluster": number // 3}
        for k in range(covariates):
            levels = draw.normal(size=len(start) // 10 + 1)
            piece[f"x{k}"] = np.repeat(levels, 10)[: len(start)]
        pieces.append(pd.DataFrame(piece))
    return pd.concat(pieces, ignore_index=True)


@pytest.mark.parametrize(("typical", "worth"), [(60, 4.0), (60, 0.1), (365, 0.1), (2000, 4.0)])
def test_without_a_failure_the_draws_are_still_worth_hundreds(typical: float, worth: float) -> None:
    # Once 21, 63 and 24 effective draws of 4000: levels of printers and rate trade places.
    for seed in range(3):
        rows = without_failures(10, seed)
        fit = fit_weibull_hazard(
            rows, [f"x{k}" for k in range(10)], belief=LifeBelief(typical, worth), rng=rng(seed)
        )
        assert fit.effective_sample_size >= 500


@pytest.mark.parametrize("worth", [0.3, 2.0])
def test_without_a_failure_draws_agree_with_a_fine_grid(worth: float) -> None:
    rows = weekly(12, seed=40, effects=(-0.6,)).rename(columns={"x_0": "x"}).assign(failed=False)
    belief = LifeBelief(150, worth)
    log_shape, effect, by_shape, by_effect = grid_posterior(rows, belief, 0.5)
    fit = fit_weibull_hazard(
        rows, ["x"], belief=belief, clusters_differ=False, rng=rng(), draws=20_000
    )
    for values, grid, weights in (
        (np.log(fit.draws["shape"].to_numpy()), log_shape, by_shape),
        (fit.draws["x"].to_numpy(), effect, by_effect),
    ):
        mean, expected = fit.weights @ values, weights @ grid
        spread = np.sqrt(weights @ (grid - expected) ** 2)
        assert abs(mean - expected) < 0.04 * spread
        assert np.sqrt(fit.weights @ (values - mean) ** 2) == pytest.approx(spread, rel=0.04)
