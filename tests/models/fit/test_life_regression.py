"""Accelerated-failure regression against published values and lifelines."""

from __future__ import annotations

import lifelines
import numpy as np
import pandas as pd
import pytest

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.life_regression import fit_life_regression


@pytest.mark.parametrize("family", ["weibull", "lognormal"])
def test_motorettes_meet_the_published_regression(family: str) -> None:
    # Nelson & Hahn 1972, Technometrics 14:247; x = 1000 / absolute temperature
    motor = reference_data("imotor.csv")
    expected = reference_case("D1f")
    x = 1000 / (motor.temp + 273.2)
    fit = fit_life_regression(motor.time, motor.status, {"x": x}, family=family)
    assert fit.coefficients[0] == pytest.approx(expected[f"{family}_intercept"], rel=1e-4)
    assert fit.coefficients[1] == pytest.approx(expected[f"{family}_slope"], rel=1e-4)
    assert fit.sigma == pytest.approx(expected[f"{family}_sigma"], rel=1e-4)
    assert fit.log_likelihood == pytest.approx(expected[f"{family}_loglik"], rel=1e-4)
    np.testing.assert_allclose(fit.std_errors[:2], expected[f"{family}_se"], rtol=1e-4)
    if family == "weibull":
        assert fit.std_errors[2] == pytest.approx(expected["weibull_se_logsigma"], rel=1e-4)
        null = fit.without_covariates.log_likelihood
        assert null == pytest.approx(expected["weibull_loglik_null"], rel=1e-4)
        assert fit.p_value < 1e-9


@pytest.mark.parametrize(
    ("family", "fitter"),
    [
        ("weibull", lifelines.WeibullAFTFitter),
        ("lognormal", lifelines.LogNormalAFTFitter),
        ("loglogistic", lifelines.LogLogisticAFTFitter),
    ],
)
def test_two_covariates_with_delayed_entry_agree_with_lifelines(family: str, fitter: type) -> None:
    rng = np.random.default_rng(3)
    count = 300
    frame = pd.DataFrame({"warm": rng.normal(size=count), "batch": rng.integers(0, 2, count)})
    life = 200 * np.exp(0.4 * frame.warm - 0.3 * frame.batch) * rng.weibull(1.8, count)
    end = rng.uniform(50, 400, count)
    frame["age"], frame["failed"] = np.minimum(life, end), life <= end
    frame["entry"] = frame.age * rng.uniform(0, 0.6, count)
    ours = fit_life_regression(
        frame.age, frame.failed, frame[["warm", "batch"]], entry=frame.entry, family=family
    )
    theirs = fitter().fit(frame, "age", "failed", entry_col="entry")
    place = {"weibull": "lambda_", "lognormal": "mu_", "loglogistic": "alpha_"}[family]
    expected = theirs.params_[place]
    assert ours.log_likelihood == pytest.approx(theirs.log_likelihood_, rel=1e-6)
    for name, value in zip(("Intercept", "warm", "batch"), ours.coefficients, strict=True):
        assert value == pytest.approx(expected[name], abs=2e-3)
        error = theirs.standard_errors_[place][name]
        at = ("Intercept", "warm", "batch").index(name)
        assert ours.std_errors[at] == pytest.approx(error, rel=1e-2)


@pytest.mark.parametrize("family", ["exponential", "weibull", "lognormal", "loglogistic"])
def test_two_groups_with_a_common_shape_give_the_ratio_of_their_lives(family: str) -> None:
    # Doubling every life of the second group must double its life factor and change nothing else.
    rng = np.random.default_rng(4)
    age, failed = 100 * rng.weibull(2.0, 60), rng.random(60) < 0.8
    group = np.repeat([0.0, 1.0], 30)
    one = fit_life_regression(age, failed, {"group": group}, family=family)
    two = fit_life_regression(age * (1 + group), failed, {"group": group}, family=family)
    factors = two.table()["life_factor"] / one.table()["life_factor"]
    assert factors.tolist() == pytest.approx([1.0, 2.0], rel=1e-6)
    assert two.sigma == pytest.approx(one.sigma, rel=1e-6)


def test_an_exponential_by_group_is_total_time_over_failures_in_each() -> None:
    fit = fit_life_regression(
        [10, 20, 30, 40, 50, 60],
        [1, 1, 0, 1, 1, 0],
        {"b": [0, 0, 0, 1, 1, 1]},
        family="exponential",
    )
    assert fit.table()["life_factor"].tolist() == pytest.approx([60 / 2, (150 / 2) / (60 / 2)])


def test_weights_equal_repeated_lives() -> None:
    age, failed, x = [10, 20, 35, 60, 80], [1, 1, 1, 1, 0], [0.0, 1.0, 0.5, 2.0, 1.0]
    weighted = fit_life_regression(age, failed, {"x": x}, weight=[2, 1, 3, 1, 2])
    repeat = np.repeat(np.arange(5), [2, 1, 3, 1, 2])
    repeated = fit_life_regression(
        np.array(age)[repeat], np.array(failed)[repeat], {"x": np.array(x)[repeat]}
    )
    np.testing.assert_allclose(weighted.coefficients, repeated.coefficients, rtol=1e-7)
    np.testing.assert_allclose(weighted.covariance, repeated.covariance, rtol=1e-5)


def test_what_cannot_be_told_is_said_in_words() -> None:
    age, failed = [10, 20, 30, 40, 50, 60], [1, 1, 1, 1, 1, 0]
    with pytest.raises(NotEnoughData, match="same is the same for every life"):
        fit_life_regression(age, failed, {"same": [1] * 6})
    x = np.array([0, 1, 0, 1, 0, 1.0])
    with pytest.raises(NotEnoughData, match="say the same thing"):
        fit_life_regression(age, failed, {"a": x, "b": 2 * x})
    with pytest.raises(NotEnoughData, match="saw no failure"):
        fit_life_regression(
            [10, 20, 30, 60, 70, 80], [1, 1, 1, 0, 0, 0], {"new": [0, 0, 0, 1, 1, 1]}
        )
    with pytest.raises(NotEnoughData, match="2 failures for 1 covariates"):
        fit_life_regression([10, 20, 30], [1, 1, 0], {"x": [0, 1, 0]})
    with pytest.raises(ModelError, match=r"x\[1\] is nan"):
        fit_life_regression(age, failed, {"x": [0, np.nan, 0, 1, 1, 1]})


def test_without_covariates_it_is_the_plain_fit() -> None:
    age, failed = [10, 20, 30, 40, 50, 60], [1, 1, 1, 1, 1, 0]
    plain, regression = fit_life(age, failed), fit_life_regression(age, failed, {})
    assert regression.log_likelihood == pytest.approx(plain.log_likelihood, abs=1e-9)
    assert regression.coefficients[0] == pytest.approx(plain.mu, rel=1e-6)
