"""What a fitted curve says about lives still running (Meeker & Escobar 1998, chapter 12)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.life_curve import LifeCurve
from tracker.models.fit.prediction import failures_ahead

CAGE = LifeCurve("weibull", 2.0353186, 11792.178)


def test_bearing_cage_expects_five_failures_in_the_next_300_hours() -> None:
    cage = reference_data("bearingcage.csv")
    running = cage[cage.event == 0]
    fit = fit_life(cage.hours, cage.event, weight=cage["count"])
    ahead = failures_ahead(fit, running.hours, 300.0, running["count"])
    expected = reference_case("D10a")
    assert ahead.expected == pytest.approx(expected["expected"], rel=1e-3)
    hours = running.hours.tolist()
    for age, failures in expected["by_age"].items():
        assert ahead.expected_each[hours.index(int(age))] == pytest.approx(failures, rel=1e-4)
    for age, chance in expected["rho"].items():
        # printed to six decimals
        assert ahead.chance_each[hours.index(int(age))] == pytest.approx(chance, abs=6e-7)
    shares = {"q025": 0.025, "q05": 0.05, "q95": 0.95, "q975": 0.975}
    found = {name: ahead.quantile(share) for name, share in shares.items()}
    assert found == expected["plug_in_quantiles"]


def test_ten_survivors_at_500_hours_expect_four_failures() -> None:
    table = reference_data("nist_weibull_20units.csv")
    ahead = failures_ahead(fit_life(table.time, table.event), [500.0] * 10, 200.0)
    assert ahead.expected == pytest.approx(reference_case("D10c")["expected"], rel=1e-4)
    # Ten equal chances: the binomial distribution
    binomial = stats.binom.pmf(np.arange(11), 10, ahead.expected / 10)
    np.testing.assert_allclose(ahead.chance, binomial, atol=1e-12)
    assert ahead.chance_of_more_than(4) == pytest.approx(binomial[5:].sum())


def test_conditional_reliability_and_remaining_life_meet_closed_forms() -> None:
    expected = reference_case("D10b")
    wear, mild = LifeCurve("weibull", 2.0, 1000.0), LifeCurve("weibull", 1.5, 5000.0)
    found = {
        "cage_R1500_given1000": CAGE.conditional_survival(1500.0, 1000.0),
        "cage_MRL_1000": CAGE.mean_remaining_life(1000.0),
        "cage_median_RL_1000": CAGE.remaining_life(0.5, 1000.0),
        "w2_1000_R700_given500": wear.conditional_survival(700.0, 500.0),
        "w2_MRL_500": wear.mean_remaining_life(500.0),
        "w2_median_RL_500": wear.remaining_life(0.5, 500.0),
        "w2_10pct_RL_500": wear.remaining_life(0.1, 500.0),
        "w15_5000_R2000_given1000": mild.conditional_survival(2000.0, 1000.0),
        "w15_MRL_1000": mild.mean_remaining_life(1000.0),
        "w15_median_RL": mild.remaining_life(0.5, 1000.0),
        "w15_10pct_RL": mild.remaining_life(0.1, 1000.0),
    }
    assert found.keys() == expected.keys()
    for name, value in found.items():
        assert value == pytest.approx(expected[name], rel=1e-4), name


def test_unequal_chances_agree_with_adding_one_life_at_a_time() -> None:
    curve = LifeCurve("lognormal", 2.0, 300.0)
    ages = np.array([10.0, 150.0, 150.0, 420.0, 900.0])
    by_hand = np.array([1.0])
    for chance in 1 - curve.conditional_survival(ages + 60.0, ages):
        by_hand = np.convolve(by_hand, [1 - chance, chance])
    np.testing.assert_allclose(failures_ahead(curve, ages, 60.0).chance, by_hand, atol=1e-14)


def test_nobody_running_means_no_failure_and_nonsense_is_refused() -> None:
    assert failures_ahead(CAGE, [], 100.0).chance.tolist() == [1.0]
    assert failures_ahead(CAGE, [50.0], 0.0).expected == 0.0
    with pytest.raises(ModelError, match="whole numbers"):
        failures_ahead(CAGE, [50.0], 10.0, weight=[1.5])
    with pytest.raises(ModelError, match="horizon is -1"):
        failures_ahead(CAGE, [50.0], -1.0)
