"""How far off is a fitted shape with few failures, and how far off is the corrected one?"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest

from tests.reference import reference_case
from tracker.errors import NotEnoughData
from tracker.models.fit.fitting import fit_life

TRUE_SHAPE = 1.5
Lives = tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_]]


def ratios(
    make: Callable[[np.random.Generator], Lives], samples: int, seed: int
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Fitted and corrected shape over the truth, in that many simulated samples."""
    rng = np.random.default_rng(seed)
    fitted: list[float] = []
    corrected: list[float] = []
    while len(fitted) < samples:
        age, failed = make(rng)
        if failed.sum() < 3:
            continue
        try:
            fit = fit_life(age, failed)
        except NotEnoughData:
            continue
        fitted.append(fit.shape / TRUE_SHAPE)
        corrected.append(fit.reduced_bias_shape / TRUE_SHAPE)
    return np.array(fitted), np.array(corrected)


def all_failed(count: int) -> Callable[[np.random.Generator], Lives]:
    return lambda rng: (100 * rng.weibull(TRUE_SHAPE, count), np.ones(count, bool))


@pytest.mark.parametrize("count", [5, 10, 20])
def test_the_fitted_shape_is_too_high_by_as_much_as_published(count: int) -> None:
    # Published ratio, from 150 000 to 400 000 samples (expected.json, D7e); four standard errors.
    case = reference_case("D7e")
    fitted, corrected = ratios(all_failed(count), 1200, seed=count)
    published, band = case["E_ratio"][str(count)]
    error = fitted.std() / np.sqrt(len(fitted))
    assert abs(fitted.mean() - published) < 4 * error + band
    median_error = 1.2533 * error  # of a median, normal approximation
    assert abs(np.median(fitted) - case["median_ratio"][str(count)]) < 4 * median_error
    # The corrected shape takes most of it away.
    assert abs(corrected.mean() - 1) < 0.05 + 4 * corrected.std() / np.sqrt(len(corrected))
    assert abs(corrected.mean() - 1) < 0.5 * abs(fitted.mean() - 1)


@pytest.mark.parametrize(("lives", "last_end"), [(20, 200.0), (20, 80.0), (60, 60.0)])
def test_the_corrected_shape_is_nearly_right_on_average_with_lives_still_running(
    lives: int, last_end: float
) -> None:
    def staggered(rng: np.random.Generator) -> Lives:
        life, end = 100 * rng.weibull(TRUE_SHAPE, lives), rng.uniform(5, last_end, lives)
        return np.minimum(life, end), life <= end

    fitted, corrected = ratios(staggered, 800, seed=lives)
    error = corrected.std() / np.sqrt(len(corrected))
    assert fitted.mean() > 1.05
    assert abs(corrected.mean() - 1) < 0.04 + 3 * error


def test_too_few_exact_failures_have_no_corrected_shape() -> None:
    assert np.isnan(fit_life([10, 20], [1, 1]).reduced_bias_shape)
    assert np.isnan(fit_life([10, 20], [1, 1], family="exponential").reduced_bias_shape)
    fit = fit_life([10, 20, 40, 70], [1, 1, 1, 0])
    assert 0 < fit.reduced_bias_shape < fit.shape


def three_positions(rng: np.random.Generator) -> Lives:
    """Lives without wear of three positions, each watched for 424 days, a new part after each."""
    ages, failed = [], []
    for left in (424.0,) * 3:
        while left > 0:
            age = np.ceil(rng.exponential(400))
            ages.append(min(age, left))
            failed.append(age < left)
            left -= age
    return np.array(ages), np.array(failed)


@pytest.mark.parametrize(
    ("make", "failures"),
    [(three_positions, 2), (three_positions, 3), (all_failed(3), 3), (all_failed(5), 5)],
)
def test_without_wear_the_limits_for_few_failures_seldom_say_wear(
    make: Callable[[np.random.Generator], Lives], failures: int
) -> None:
    rng, usual, few = np.random.default_rng(failures), [], []
    while len(few) < 400:
        age, failed = make(rng)
        age = age**TRUE_SHAPE if make is not three_positions else age  # exponential lives too
        if failed.sum() != failures or age.max() == age.min():
            continue
        try:
            fit = fit_life(age, failed)
        except NotEnoughData:
            continue
        usual.append(fit.shape_interval().lower > 1)
        few.append(fit.shape_interval(few=True).lower > 1)
        assert fit.shape_interval(few=True).upper >= fit.shape_interval().upper
    # Nominal 2.5 %, and two standard errors of 400 samples.
    assert np.mean(few) < 0.025 + 2 * np.sqrt(0.025 * 0.975 / 400) < np.mean(usual)


def test_with_many_failures_the_limits_for_few_are_the_usual_ones() -> None:
    fit = fit_life(*all_failed(400)(np.random.default_rng(1)))
    assert fit.shape_interval(few=True).lower == pytest.approx(fit.shape_interval().lower, rel=1e-3)
