"""Where there is no fit, the answer says why and what is possible instead."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tracker.errors import ModelError, NotEnoughData, UsageError
from tracker.models.fit import compare_families, fit_life

TWO_PARAMETERS = ["weibull", "lognormal", "loglogistic"]


@pytest.mark.parametrize("family", ["exponential", *TWO_PARAMETERS])
def test_without_a_failure_there_is_no_fit_but_an_assumed_shape(family: str) -> None:
    with pytest.raises(NotEnoughData, match=r"no failure among 3 lives.*assumed shape"):
        fit_life([10, 20, 30], [False] * 3, family=family)


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_one_failure_fits_an_exponential_only(family: str) -> None:
    with pytest.raises(NotEnoughData, match=r"1 failure among 3 lives.*at least two failures"):
        fit_life([10, 20, 30], [True, False, False], family=family)
    assert fit_life([10, 20, 30], [1, 0, 0], family="exponential").mean_life == pytest.approx(60)


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_failures_at_one_age_that_nobody_outlived_have_no_shape(family: str) -> None:
    with pytest.raises(NotEnoughData, match="can lie at age 30 and no life is known to have"):
        fit_life([30, 30, 30, 12], [1, 1, 1, 0], family=family)
    with pytest.raises(NotEnoughData, match=r"the .* shape has no upper end"):
        # every failure can lie in (20, 30], and the running life ended before
        fit_life([30, 40, 18], [1, 1, 0], last_ok=[15, 20, np.nan], family=family)


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_failures_at_one_age_that_others_outlived_do_fit(family: str) -> None:
    fit = fit_life([30, 30, 50, 80], [1, 1, 0, 0], family=family)
    assert math.isfinite(fit.shape)
    assert fit.shape_interval().upper > 2 * fit.shape  # and are very unsure


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_two_lives_and_two_hundred_thousand_fit(family: str) -> None:
    assert fit_life([100, 200], [1, 1], family=family).failures == 2
    rng = np.random.default_rng(4)
    life = np.ceil(300 * rng.weibull(1.5, 200_000))
    end = np.ceil(rng.uniform(50, 600, 200_000))
    fit = fit_life(np.minimum(life, end), life <= end, family=family)
    assert fit.lives == 200_000
    if family == "weibull":
        # lives were rounded up by half a day on average
        assert fit.shape == pytest.approx(1.5, abs=0.02)
        assert fit.scale == pytest.approx(300.5, abs=2.5)


def test_hazard_that_falls_too_fast_under_delayed_entry_has_no_weibull() -> None:
    # Every life was watched late only, and the young ones among them fail far more often.
    age = np.concatenate([np.full(50, 101.0), np.full(50, 400.0), np.full(5, 401.0)])
    entry = np.concatenate([np.full(50, 100.0), np.full(50, 100.0), np.full(5, 399.0)])
    failed = np.concatenate([np.ones(50), np.zeros(50), np.zeros(4), [1.0]])
    with pytest.raises(NotEnoughData, match="its shape runs to zero"):
        fit_life(age, failed, entry=entry)


def test_failures_certain_at_any_steep_shape_have_no_fit() -> None:
    # Each record is explained with certainty as the hazard steepens: no end to the shape.
    with pytest.raises(NotEnoughData, match="no Weibull fit"):
        fit_life([107.0, 61.0], [1, 1], entry=[85.0, 0.0], last_ok=[85.0, 55.0])


def test_an_exponential_of_lives_never_seen_good_has_no_rate() -> None:
    with pytest.raises(NotEnoughData, match="rate has no upper end"):
        fit_life([30, 30], [1, 1], last_ok=[0, 0], family="exponential")


def test_heavy_censoring_still_converges() -> None:
    # 2 failures among 100 000 lives
    age = np.full(100_000, 365.0)
    failed = np.zeros(100_000, bool)
    age[:2], failed[:2] = (120.0, 300.0), True
    fit = fit_life(age, failed)
    assert fit.failures == 2
    # at the peak the cumulative hazards add up to the failures
    assert (fit.cumulative_hazard(age)).sum() == pytest.approx(2.0, rel=1e-6)


def test_impossible_numbers_are_refused_at_the_gate() -> None:
    with pytest.raises(ModelError, match=r"age\[1\] is -1"):
        fit_life([10, -1], [1, 1])
    with pytest.raises(ModelError, match=r"entry\[0\] is 12"):
        fit_life([10, 20], [1, 1], entry=[12, 0])
    fit = fit_life([10, 20, 30], [1, 1, 0])
    with pytest.raises(ModelError, match="chance is 10"):
        fit.quantile(10)
    with pytest.raises(UsageError, match="choose one of exponential"):
        fit_life([10, 20, 30], [1, 1, 0], family="normal")


def test_families_that_cannot_be_fitted_are_listed_with_the_reason() -> None:
    table = compare_families([30, 30, 30], [1, 1, 1])
    assert table.index[0] == "exponential"
    assert "all 3 failures can lie at age 30" in str(table.loc["weibull", "why_not"])
    assert table.loc["exponential", "weight"] == 1.0
    with pytest.raises(NotEnoughData):
        compare_families([30, 30], [0, 0])


def test_half_days_whole_days_and_other_ages_count_alike() -> None:
    age = np.array([0.5, 3.0, 7.5, 12.0, 12.0, 20.0])
    failed = [1, 1, 1, 0, 1, 0]
    entry = [0, 1.5, 0, 4, 0, 0.5]
    in_days = fit_life(age, failed, entry=entry)
    in_odd_units = fit_life(age * np.pi, failed, entry=np.multiply(entry, np.pi))
    assert in_odd_units.shape == pytest.approx(in_days.shape, rel=1e-9)
    assert in_odd_units.scale == pytest.approx(in_days.scale * np.pi, rel=1e-9)
