"""The same fits by other libraries on random data, with delayed entry and interval censoring."""

from __future__ import annotations

from typing import Any

import lifelines
import numpy as np
import pytest

from tracker.models.fit import fit_life
from tracker.models.fit.fitted_life import LifeFit

FITTERS = {
    "exponential": lifelines.ExponentialFitter,
    "weibull": lifelines.WeibullFitter,
    "lognormal": lifelines.LogNormalFitter,
    "loglogistic": lifelines.LogLogisticFitter,
}


def random_lives(seed: int, count: int = 400) -> dict[str, Any]:
    """Wearing parts with some delayed entry and staggered ends of watching, in whole days."""
    rng = np.random.default_rng(seed)
    life = np.ceil(200 * rng.weibull(1.7, count))
    entry = np.floor(rng.uniform(0, 150, count)) * (rng.random(count) < 0.4)
    end = np.ceil(rng.uniform(20, 400, count))
    age = np.minimum(life, end)
    kept = age > entry
    return {"age": age[kept], "failed": (life <= end)[kept], "entry": entry[kept]}


def shape_and_scale(fitter: Any, family: str) -> tuple[float, float]:
    if family == "lognormal":
        return 1 / fitter.sigma_, float(np.exp(fitter.mu_))
    if family == "loglogistic":
        return fitter.beta_, fitter.alpha_
    return (fitter.rho_, fitter.lambda_) if family == "weibull" else (1.0, fitter.lambda_)


def assert_same_peak(ours: LifeFit, theirs: Any) -> None:
    # The exact maximum is at least as high, and theirs is that maximum to 1e-6.
    assert ours.log_likelihood >= theirs.log_likelihood_ - 1e-9 * abs(theirs.log_likelihood_)
    assert ours.log_likelihood == pytest.approx(theirs.log_likelihood_, rel=1e-6)
    expected = shape_and_scale(theirs, ours.family)
    np.testing.assert_allclose((ours.shape, ours.scale), expected, rtol=2e-3)


@pytest.mark.parametrize("family", FITTERS)
@pytest.mark.parametrize("seed", [1, 2])
def test_delayed_entry_agrees_with_lifelines(family: str, seed: int) -> None:
    lives = random_lives(seed)
    theirs = FITTERS[family]().fit(lives["age"], lives["failed"], entry=lives["entry"])
    assert_same_peak(fit_life(**lives, family=family), theirs)


@pytest.mark.parametrize("family", FITTERS)
def test_failures_found_at_checks_agree_with_lifelines(family: str) -> None:
    lives = random_lives(3)
    age, failed = lives["age"], lives["failed"]
    found = np.ceil(age / 14) * 14  # a check every fortnight
    last_ok = np.where(failed, found - 14, np.nan)
    ours = fit_life(np.where(failed, found, age), failed, last_ok=last_ok, family=family)
    theirs = FITTERS[family]().fit_interval_censoring(
        np.where(failed, found - 14, age), np.where(failed, found, np.inf)
    )
    assert_same_peak(ours, theirs)


def test_delayed_entry_and_checks_together_agree_with_surpyval() -> None:
    import surpyval

    lives = random_lives(4, 250)
    age, failed, entry = lives["age"], lives["failed"], lives["entry"]
    found = np.ceil(age / 30) * 30
    low = np.maximum(np.maximum(found - 30, entry), 0.0)
    upper, lower = np.where(failed, found, age), np.where(failed, low, age)
    ours = fit_life(upper, failed, entry=entry, last_ok=np.where(failed, low, np.nan))
    status = np.where(failed, 2, 1)
    theirs = surpyval.Weibull.fit(x=np.stack([lower, upper], axis=1), c=status, tl=entry)
    np.testing.assert_allclose((ours.scale, ours.shape), theirs.params, rtol=1e-3)


def test_truncated_lognormal_agrees_with_surpyval() -> None:
    import surpyval

    lives = random_lives(5)
    ours = fit_life(**lives, family="lognormal")
    theirs = surpyval.LogNormal.fit(
        x=lives["age"], c=np.where(lives["failed"], 0, 1), tl=lives["entry"]
    )
    np.testing.assert_allclose((ours.mu, ours.sigma), theirs.params, rtol=1e-3)


@pytest.mark.parametrize("family", ["weibull", "lognormal", "loglogistic"])
def test_censored_fits_agree_with_scipy(family: str) -> None:
    from scipy import stats

    lives = random_lives(6)
    age, failed = lives["age"], lives["failed"]
    data = stats.CensoredData(uncensored=age[failed], right=age[~failed])
    dist = {"weibull": stats.weibull_min, "lognormal": stats.lognorm, "loglogistic": stats.fisk}
    # scipy's simplex stops early unless asked for more
    from scipy.optimize import fmin

    def to_the_end(function: Any, start: Any, args: Any, disp: Any) -> Any:
        return fmin(function, start, args=args, disp=0, xtol=1e-10, ftol=1e-12)

    shape, _, scale = dist[family].fit(data, floc=0, optimizer=to_the_end)
    ours = fit_life(age, failed, family=family)
    expected = 1 / shape if family == "lognormal" else shape
    np.testing.assert_allclose((ours.shape, ours.scale), (expected, scale), rtol=1e-5)


def test_standard_errors_agree_with_lifelines() -> None:
    lives = random_lives(7)
    ours = fit_life(**lives)
    theirs = lifelines.WeibullFitter().fit(lives["age"], lives["failed"], entry=lives["entry"])
    expected = theirs.summary["se(coef)"]
    assert ours.std_errors["scale"] == pytest.approx(expected["lambda_"], rel=1e-3)
    assert ours.std_errors["shape"] == pytest.approx(expected["rho_"], rel=1e-3)


@pytest.mark.parametrize("family", FITTERS)
def test_mean_and_median_life_agree_with_lifelines(family: str) -> None:
    lives = random_lives(8)
    theirs = FITTERS[family]().fit(lives["age"], lives["failed"])
    ours = fit_life(lives["age"], lives["failed"], family=family)
    assert ours.quantile(0.5).estimate == pytest.approx(theirs.median_survival_time_, rel=1e-3)
    ages = np.array([10.0, 100.0, 300.0])
    np.testing.assert_allclose(
        ours.survival(ages), theirs.survival_function_at_times(ages), rtol=1e-3
    )
