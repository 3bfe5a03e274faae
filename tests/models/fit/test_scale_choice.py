"""Days or printed area: one footing, and no verdict without evidence."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from tracker.errors import ModelError
from tracker.models.fit.scale_choice import ScaleChoice, choose_scale


def fleet(truth: str, count: int, seed: int) -> ScaleChoice:
    """Printers that print at different, steady rates; lives end by days or by area."""
    rng = np.random.default_rng(seed)
    rate = np.exp(rng.normal(1.0, 0.6, count))  # m² per day
    wear = 200 * rng.weibull(2.0, count)
    life = wear if truth == "days" else 3 * wear / rate
    end = rng.uniform(100, 500, count)
    age = np.minimum(life, end)
    return choose_scale(age, age * rate, life <= end, rate)


@pytest.mark.parametrize("truth", ["days", "area"])
def test_the_scale_that_lives_end_by_is_found(truth: str) -> None:
    found = fleet(truth, 150, 1)
    assert found.verdict == truth
    assert (found.difference > 0) == (truth == "area")
    assert f"{'Days' if truth == 'days' else 'Printed area'} explain" in found.sentence()


def test_the_same_steady_rate_everywhere_cannot_tell() -> None:
    # Area is then only another unit for days: the likelihood must be the same to the last digit.
    rng = np.random.default_rng(2)
    age, failed = np.ceil(200 * rng.weibull(2.0, 40)), rng.random(40) < 0.7
    found = choose_scale(age, 3.0 * age, failed, np.full(40, 3.0))
    assert found.difference == pytest.approx(0.0, abs=1e-7)
    assert found.verdict == "cannot tell"
    assert "cannot tell" in found.sentence()


def test_the_area_model_is_judged_by_its_density_on_the_calendar() -> None:
    # By hand from scipy's densities at the fitted parameters
    age = np.array([100.0, 150.0, 220.0, 300.0])
    area = np.array([300.0, 210.0, 640.0, 500.0])
    rate, failed = np.array([2.5, 1.5, 3.0, np.nan]), np.array([True, True, True, False])
    found = choose_scale(age, area, failed, rate)
    weibull = stats.weibull_min(found.area.shape, scale=found.area.scale)
    by_hand = (weibull.logpdf(area[:3]) + np.log(rate[:3])).sum() + weibull.logsf(area[3])
    assert found.log_likelihood_area == pytest.approx(by_hand)
    assert found.log_likelihood_days == pytest.approx(found.days.log_likelihood)
    assert found.aic_difference == pytest.approx(2 * (by_hand - found.days.log_likelihood))


def test_vuong_statistic_is_the_mean_gain_over_its_standard_error() -> None:
    age = np.array([100.0, 150.0, 220.0, 300.0])
    area = np.array([300.0, 210.0, 640.0, 500.0])
    rate = np.array([2.5, 1.5, 3.0, 2.0])
    found = choose_scale(age, area, np.ones(4), rate)
    days = stats.weibull_min(found.days.shape, scale=found.days.scale).logpdf(age)
    by_area = stats.weibull_min(found.area.shape, scale=found.area.scale).logpdf(area)
    gain = by_area + np.log(rate) - days
    assert found.statistic == pytest.approx(gain.sum() / (2 * gain.std()))
    assert found.p_value == pytest.approx(2 * stats.norm.sf(abs(found.statistic)))


def test_few_lives_that_hang_on_both_scales_seldom_get_a_verdict() -> None:
    # Truth half-way between the scales: at most one in six fleets may be told either.
    rng = np.random.default_rng(6)
    told = 0
    for _ in range(60):
        rate = np.exp(rng.normal(0, 0.5, 30))
        life = 200 * rng.weibull(2.0, 30) / np.sqrt(rate)
        end = rng.uniform(50, 400, 30)
        age = np.minimum(life, end)
        told += choose_scale(age, age * rate, life <= end, rate).verdict != "cannot tell"
    assert told <= 10


def test_failures_found_at_checks_need_no_rate() -> None:
    # The chance of failing between two checks is the same on either scale.
    found = choose_scale(
        [30, 60, 90, 50],
        [100, 150, 400, 90],
        [1, 1, 1, 0],
        [np.nan] * 4,
        last_ok_days=[15, 40, 70, np.nan],
        last_ok_area=[60, 120, 300, np.nan],
    )
    assert found.log_likelihood_area == pytest.approx(found.area.log_likelihood)


def test_missing_rates_and_unequal_lengths_are_refused_in_words() -> None:
    with pytest.raises(ModelError, match=r"area_per_day\[1\] is nan"):
        choose_scale([10, 20], [30, 50], [1, 1], [2.0, np.nan])
    with pytest.raises(ModelError, match="age_area has 1 values but age has 2"):
        choose_scale([10, 20], [30], [1, 1], [2.0, 2.0])
    with pytest.raises(ModelError, match="last_ok of life 0 is known on one scale only"):
        choose_scale([10, 20], [30, 40], [1, 1], [2.0, 2.0], last_ok_days=[5, np.nan])
