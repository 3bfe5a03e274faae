"""Likelihood-ratio limits: what they mean, and that they find it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy import optimize, stats

from tests.models.fit.test_libraries import random_lives
from tests.reference import reference_data
from tracker.models.fit.families import FAMILIES
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.life_curve import LifeCurve
from tracker.models.fit.likelihood import log_likelihood_by_life
from tracker.models.outcomes import check_outcomes

TWO_PARAMETERS = ["weibull", "lognormal", "loglogistic"]
DROP = stats.chi2.ppf(0.95, 1) / 2


def log_likelihood(lives: dict[str, Any], family: str, log_shape: float, log_scale: float) -> float:
    """The sum over lives, by the per-life formula and not by counts."""
    each = log_likelihood_by_life(
        check_outcomes(**lives), FAMILIES[family], math.exp(log_shape), math.exp(log_scale)
    )
    return float(each.sum()) if np.isfinite(each).all() else -1e9


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_the_peak_is_where_a_direct_search_finds_it(family: str) -> None:
    lives = random_lives(11, 60)
    fit = fit_life(**lives, family=family)
    found = optimize.minimize(
        lambda at: -log_likelihood(lives, family, *at),
        (0.3, 5.0),
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 2000},
    )
    assert fit.log_likelihood == pytest.approx(-found.fun, abs=1e-8)
    assert (math.log(fit.shape), fit.mu) == pytest.approx(tuple(found.x), abs=1e-5)


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_at_the_limits_of_a_quantile_the_best_likelihood_has_fallen_by_half_chi_square(
    family: str,
) -> None:
    lives = random_lives(12, 40)
    fit = fit_life(**lives, family=family)
    b10 = fit.quantile(0.1)
    z = float(FAMILIES[family].standard_quantile(0.1))
    for limit in (b10.lower, b10.upper):
        best = optimize.minimize_scalar(
            lambda at, limit=limit: (
                -log_likelihood(lives, family, at, math.log(limit) - z / math.exp(at))
            ),
            bounds=(math.log(fit.shape) - 2, math.log(fit.shape) + 2),
            method="bounded",
            options={"xatol": 1e-10},
        )
        assert fit.log_likelihood + best.fun == pytest.approx(DROP, abs=1e-6)


@pytest.mark.parametrize("family", list(FAMILIES))
def test_limits_of_survival_are_limits_of_quantiles_read_the_other_way(family: str) -> None:
    # The set of (age, chance) pairs not refused is one set, whichever way it is cut.
    fit = fit_life(**random_lives(14, 50), family=family)
    age = fit.quantile(0.25).upper
    assert fit.survival_interval(age).upper == pytest.approx(0.75, abs=1e-6) or (
        fit.survival_interval(age).lower == pytest.approx(0.75, abs=1e-6)
    )
    assert 1 - fit.survival_interval(age).upper == pytest.approx(0.25, abs=1e-6)


def test_exponential_limits_are_the_roots_of_the_known_equation() -> None:
    # r failures in total time T: 2 r (T/(r m) − 1 − log(T/(r m))) = chi-square, m the mean
    fit = fit_life([10, 30, 50, 70], [1, 1, 0, 1], family="exponential")
    limits = fit.quantile(1 - math.exp(-1))  # of the exponential: its scale, the mean
    for mean in (limits.lower, limits.upper):
        ratio = 160 / (3 * mean)
        assert 3 * (ratio - 1 - math.log(ratio)) == pytest.approx(DROP, rel=1e-7)
    b10 = fit.quantile(0.1)
    assert b10.lower == pytest.approx(limits.lower * -math.log(0.9))
    assert fit.survival_interval(40.0).lower == pytest.approx(math.exp(-40 / limits.lower))
    assert fit.shape_interval().upper == 1.0


def test_limits_that_the_lives_do_not_set_are_open_and_said_so() -> None:
    # One check per life, at 100 or 200: a share failed that hardly hangs on age is possible too.
    age, failed = [100, 100, 100, 200, 200, 200], [1, 0, 0, 1, 1, 0]
    shape = fit_life(age, failed, last_ok=[0, np.nan, np.nan, 0, 0, np.nan]).shape_interval()
    assert shape.lower == 0.0
    assert 0.0 < shape.estimate < shape.upper < math.inf
    assert shape.open
    b1 = fit_life(age, failed, last_ok=[0, np.nan, np.nan, 0, 0, np.nan]).quantile(0.999)
    assert b1.upper == math.inf
    assert str(b1).endswith("to no upper limit)")


def test_wider_levels_give_wider_limits() -> None:
    fit = fit_life(**random_lives(16, 30))
    widths = [
        fit.quantile(0.1, level).upper - fit.quantile(0.1, level).lower
        for level in (0.5, 0.8, 0.95)
    ]
    assert widths == sorted(widths)
    band = fit.survival_band([50.0, 100.0])
    assert (band["lower"] < band["survival"]).all()
    assert (band["survival"] < band["upper"]).all()


@pytest.mark.parametrize("family", TWO_PARAMETERS)
def test_wald_and_likelihood_ratio_agree_with_many_lives(family: str) -> None:
    fit = fit_life(**random_lives(17, 20_000), family=family)
    for estimate in (fit.quantile(0.1), fit.shape_interval(), fit.quantile(0.5)):
        assert (estimate.lower, estimate.upper) == pytest.approx(estimate.wald, rel=2e-3)
    chance = fit.survival_interval(80.0)
    assert (chance.lower, chance.upper) == pytest.approx(chance.wald, rel=2e-3)


def test_limits_with_ten_failures_cover_the_truth_as_often_as_promised() -> None:
    # 300 samples of 20 lives watched up to the truth's median: band of 3.5 standard errors.
    truth = LifeCurve("weibull", 2.0, 100.0)
    rng = np.random.default_rng(20261)
    b10, end = truth.remaining_life(0.1, 0.0), truth.remaining_life(0.5, 0.0)
    shape_in = b10_in = count = 0
    while count < 300:
        life = 100 * rng.weibull(2.0, 20)
        if (life <= end).sum() < 3:
            continue
        count += 1
        fit = fit_life(np.minimum(life, end), life <= end)
        shape, quantile = fit.shape_interval(level=0.9), fit.quantile(0.1, level=0.9)
        shape_in += shape.lower <= 2.0 <= shape.upper
        b10_in += quantile.lower <= b10 <= quantile.upper
    band = 3.5 * math.sqrt(0.9 * 0.1 / 300)
    assert abs(shape_in / 300 - 0.9) < band
    assert abs(b10_in / 300 - 0.9) < band


def test_wald_limits_of_the_bearing_cage_stay_above_zero() -> None:
    # A plain estimate ± 1.96 standard errors would begin at −7510 hours.
    cage = reference_data("bearingcage.csv")
    fit = fit_life(cage.hours, cage.event, weight=cage["count"])
    scale = fit.quantile(1 - math.exp(-1))
    assert scale.wald == pytest.approx((2294.7, 60599), rel=1e-4)
