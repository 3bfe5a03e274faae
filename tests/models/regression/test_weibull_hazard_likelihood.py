"""The likelihood of the Weibull hazard with exposures, by two independent ways; and its guards."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize

from tests.models.regression.test_cox import weekly
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.regression import fit_weibull_hazard
from tracker.models.regression.episode_rows import check_episodes
from tracker.models.regression.hazard_model import HazardModel

NAMES = ["x_0", "x_1"]
NO_BELIEF: dict[str, Any] = {"prior_sd": 1e3, "clusters_differ": False}


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def log_likelihood(
    rows: pd.DataFrame, log_shape: float, log_rate: float, effects: list[float]
) -> float:
    """The definition, row by row: Σ log hazard at the failures − Σ ∫ hazard, by quadrature."""
    shape, rate = np.exp(log_shape), np.exp(log_rate)
    total = 0.0
    for row in rows.itertuples():
        tilt = np.exp(effects[0] * row.x_0 + effects[1] * row.x_1)

        def hazard(age: float, tilt: float = tilt) -> float:
            return float(rate * shape * age ** (shape - 1) * tilt)

        total -= quad(hazard, row.start, row.stop, epsabs=1e-12, epsrel=1e-10)[0]
        if row.failed:
            total += np.log(hazard(row.stop))
    return total


def model_value(model: HazardModel, point: np.ndarray) -> float:
    sums = model.rows.exposure_sums(point[0], point[2:])[None]
    return float(model.log_density(point[None], sums)[0])


def at(model: HazardModel, log_shape: float, log_rate: float, effects: list[float]) -> np.ndarray:
    """The same parameters in the model's own units: ages over ``unit``, exposures centred and per
    standard deviation."""
    b = np.array(effects)
    inner_rate = log_rate + np.exp(log_shape) * np.log(model.unit) + b @ model.centre
    return np.array([log_shape, inner_rate, *(b * model.spread)])


def log_beliefs(model: HazardModel, point: np.ndarray) -> float:
    """Normal(0, prior_sd²) on effects and Normal(log 1.5, 0.5²) on the log shape, no constants."""
    value = -0.5 * float((((point[2:]) / model.prior_sd) ** 2).sum())
    return value - 0.5 * ((point[0] - np.log(1.5)) / 0.5) ** 2


def curvature(function: Callable[[np.ndarray], float], at: np.ndarray) -> np.ndarray:
    """Second derivatives by central differences (Abramowitz & Stegun 25.3.23 and 25.3.26).

    Steps of 1e-3: the truncation error is of order 1e-6, the rounding of order 1e-13 / 1e-6.
    """
    size = len(at)
    steps = 1e-3 * np.eye(size)
    table = np.empty((size, size))
    for i in range(size):
        for j in range(size):
            a, b = steps[i], steps[j]
            corners = function(at + a + b) - function(at + a - b)
            corners += function(at - a - b) - function(at - a + b)
            table[i, j] = corners / 4e-6
    return table


def test_the_curvature_of_a_known_parabola_is_found() -> None:
    form = np.array([[4.0, 1.0], [1.0, 3.0]])
    found = curvature(lambda x: float(x @ form @ x) / 2, np.array([0.3, -2.0]))
    np.testing.assert_allclose(found, form, rtol=1e-6)


def test_the_likelihood_is_that_of_the_definition_integrated_row_by_row() -> None:
    rows = weekly(25, seed=60)
    model = HazardModel.of(check_episodes(rows, NAMES), np.array([0.5, 0.5]), None, False)
    points = [(0.0, -4.0, [0.0, 0.0]), (0.5, -7.0, [-0.6, 0.3]), (-0.4, -3.0, [0.4, -0.9])]
    got, expected = [], []
    for parameters in points:
        inner = at(model, *parameters)
        got.append(model_value(model, inner) - log_beliefs(model, inner))
        expected.append(log_likelihood(rows, *parameters))
    np.testing.assert_allclose(np.diff(got), np.diff(expected), rtol=1e-8)


@pytest.mark.parametrize("log_shape", [-0.3, 0.0, 0.5])
def test_at_a_known_shape_it_is_a_poisson_regression_with_an_offset(log_shape: float) -> None:
    # Holford (1980), Laird & Olivier (1981): failures are Poisson with mean rate·exp(bx)·width.
    import statsmodels.api as sm

    rows = weekly(150, seed=61)
    shape = np.exp(log_shape)
    width = rows["stop"] ** shape - rows["start"] ** shape
    theirs = sm.GLM(
        rows["failed"].astype(float), sm.add_constant(rows[NAMES]), family=sm.families.Poisson(),
        offset=np.log(width),
    ).fit(tol=1e-12)  # fmt: skip
    # A belief that knows the shape, and next to nothing about life or effects.
    belief = LifeBelief(150, 1e-3, shape=shape, shape_spread=1e-2)
    fit = fit_weibull_hazard(rows, NAMES, belief=belief, rng=rng(), draws=20_000, **NO_BELIEF)
    for name in NAMES:
        drawn = fit.draws[name].to_numpy()
        mean = float(fit.weights @ drawn)
        error = float(np.sqrt(fit.weights @ (drawn - mean) ** 2))
        assert mean == pytest.approx(theirs.params[name], abs=0.05 * theirs.bse[name])
        assert error == pytest.approx(theirs.bse[name], rel=0.05)


def test_the_posterior_sits_on_the_maximum_of_a_plain_numerical_likelihood() -> None:
    rows = weekly(400, seed=62)
    start, stop = rows["start"].to_numpy(), rows["stop"].to_numpy()
    x, failed = rows[NAMES].to_numpy(), rows["failed"].to_numpy(dtype=bool)

    def minus(parameters: np.ndarray) -> float:
        shape, scale = np.exp(parameters[:2])
        tilt = np.exp(x @ parameters[2:])
        gone = ((stop / scale) ** shape - (start / scale) ** shape) * tilt
        log_hazard = np.log(shape / scale) + (shape - 1) * np.log(stop / scale) + np.log(tilt)
        return float(gone.sum() - log_hazard[failed].sum())

    best = minimize(minus, [0.3, 5.0, 0.0, 0.0], method="BFGS")
    # The minimiser's own inverse Hessian is a by-product of its path, good to a tenth or worse.
    variance = np.linalg.inv(curvature(minus, best.x))
    fit = fit_weibull_hazard(rows, NAMES, rng=rng(), draws=20_000, **NO_BELIEF)
    for j, name in enumerate(NAMES):
        error = np.sqrt(variance[2 + j, 2 + j])
        assert fit.weights @ fit.draws[name] == pytest.approx(best.x[2 + j], abs=0.06 * error)
    # The shape's mean, by Laplace's method at each shape (Tierney & Kadane 1986): the likelihood
    # at its height over the rest, times the width of that peak, the belief Normal(log 1.5, 0.5²),
    # and the shape itself, for the model is flat in the log rate, −shape · log scale.
    error = np.sqrt(variance[0, 0])
    log_shapes = best.x[0] + error * np.linspace(-4, 4, 17)
    heights, rest = [], best.x[1:]
    for log_shape in log_shapes:

        def given_shape(others: np.ndarray, log_shape: float = log_shape) -> float:
            return minus(np.concatenate(([log_shape], others)))

        peak = minimize(given_shape, rest, method="BFGS")
        rest = peak.x
        width = -0.5 * np.linalg.slogdet(curvature(given_shape, rest))[1]
        belief = -0.5 * ((log_shape - np.log(1.5)) / 0.5) ** 2
        heights.append(-peak.fun + width + belief + log_shape)
    weight = np.exp(np.array(heights) - max(heights))
    expected = float(weight @ log_shapes / weight.sum())
    found = fit.weights @ np.log(fit.draws["shape"])
    assert found == pytest.approx(expected, abs=0.05 * error)


def test_the_belief_pulls_by_the_share_that_two_normals_would_give() -> None:
    # A normal likelihood of error s and Normal(0, 0.5²): the mean moves by s²/(s² + 0.25).
    rows = weekly(120, seed=63)
    free = fit_weibull_hazard(rows, NAMES, rng=rng(), draws=20_000, **NO_BELIEF)
    held = fit_weibull_hazard(rows, NAMES, rng=rng(), draws=20_000, clusters_differ=False)
    drawn = free.draws["x_0"].to_numpy()
    mean = float(free.weights @ drawn)
    error = float(np.sqrt(free.weights @ (drawn - mean) ** 2))
    expected = mean * 0.25 / (error**2 + 0.25)
    assert held.weights @ held.draws["x_0"] == pytest.approx(expected, abs=0.1 * error)


def test_one_failure_keeps_to_the_belief() -> None:
    rows = weekly(12, seed=64)
    only = rows["failed"] & (rows["failed"].cumsum() == 1)
    fit = fit_weibull_hazard(rows.assign(failed=only), NAMES, rng=rng())
    assert fit.failures == 1
    limits = fit.hazard_ratio({"x_0": 1.0})
    assert limits.lower < 1 < limits.upper
    assert 1 / np.exp(2 * 0.5) < limits.estimate < np.exp(2 * 0.5)
    assert any("One failure only" in sentence for sentence in fit.warnings)


def test_an_exposure_that_never_changes_is_said_to_rest_on_the_belief() -> None:
    rows = weekly(20, seed=65).assign(still=2.0)
    fit = fit_weibull_hazard(rows, ["still", "x_0"], rng=rng())
    assert any(sentence.startswith("still does not change") for sentence in fit.warnings)
    assert not any(sentence.startswith("x_0") for sentence in fit.warnings)


def test_of_two_exposures_that_go_together_only_the_sum_is_told_and_that_is_said() -> None:
    rows = weekly(150, seed=66)
    twins = rows.assign(twin=2 * rows["x_0"] + 3)
    fit = fit_weibull_hazard(twins, ["x_0", "twin"], rng=rng(), draws=20_000)
    alone = fit_weibull_hazard(rows, ["x_0"], prior_sd=np.sqrt(5) * 0.5, rng=rng(), draws=20_000)
    # x_0 and twin = 2·x_0: together b + 2c per unit, whose belief has the spread √(1 + 4)·0.5.
    both, one = fit.hazard_ratio({"x_0": 1.0, "twin": 2.0}), alone.hazard_ratio({"x_0": 1.0})
    assert both.estimate == pytest.approx(one.estimate, rel=0.02)
    assert both.upper == pytest.approx(one.upper, rel=0.03)
    apart = fit.hazard_ratio({"x_0": 1.0})
    assert np.log(apart.upper / apart.lower) > 2 * np.log(both.upper / both.lower)
    assert any(sentence.startswith("twin goes together with") for sentence in fit.warnings)


def test_an_exposure_that_parts_the_failures_from_the_rest_stays_finite() -> None:
    rows = weekly(60, seed=67)
    rows = rows.assign(marker=rows["failed"].astype(float))
    fit = fit_weibull_hazard(rows, ["x_0", "marker"], rng=rng())
    limits = fit.hazard_ratio({"marker": 1.0})
    assert 2 < limits.lower < limits.upper < 1e3
    assert any("marker" in sentence and "one side" in sentence for sentence in fit.warnings)
