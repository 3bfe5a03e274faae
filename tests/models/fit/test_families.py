"""The family functions against calculus, quadrature and published point values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate

from tests.reference import reference_case
from tracker.errors import ModelError, UsageError
from tracker.models.fit.families import FAMILIES, family_named
from tracker.models.fit.life_curve import LifeCurve

Z = np.array([-6.0, -2.5, -0.7, 0.0, 0.4, 1.3, 2.2])
CURVES = [
    LifeCurve("exponential", 1.0, 240.0),
    LifeCurve("weibull", 0.7, 300.0),
    LifeCurve("weibull", 2.4, 300.0),
    LifeCurve("lognormal", 1.8, 150.0),
    LifeCurve("loglogistic", 2.6, 90.0),
]


def area_ahead(curve: LifeCurve, age: float) -> float:
    """∫ S(age + s) / S(age) ds by quadrature over log s, where the long tail is short."""

    def slice_of(log_time: float) -> float:
        time = math.exp(log_time)
        return float(curve.conditional_survival(age + time, age)) * time

    return float(integrate.quad(slice_of, -20.0, 25.0, limit=400)[0])


@pytest.mark.parametrize("name", FAMILIES)
def test_slope_of_log_survival_is_minus_the_hazard(name: str) -> None:
    family, step = family_named(name), 1e-6
    slope = (family.log_survival(Z + step) - family.log_survival(Z - step)) / (2 * step)
    np.testing.assert_allclose(-slope, family.terms(Z).hazard, rtol=1e-5, atol=1e-10)


@pytest.mark.parametrize("name", FAMILIES)
def test_log_hazard_has_the_stated_derivatives(name: str) -> None:
    family, step = family_named(name), 1e-5
    terms = family.terms(Z)
    up, down = family.terms(Z + step), family.terms(Z - step)
    slope = (up.log_hazard - down.log_hazard) / (2 * step)
    np.testing.assert_allclose(terms.slope, slope, rtol=1e-6, atol=1e-8)
    curvature = (up.slope - down.slope) / (2 * step)
    np.testing.assert_allclose(terms.curvature, curvature, rtol=1e-5, atol=1e-8)
    np.testing.assert_allclose(np.log(terms.hazard), terms.log_hazard, rtol=1e-10, atol=1e-12)


@pytest.mark.parametrize("name", FAMILIES)
def test_standard_age_is_where_the_cumulative_hazard_is_reached(name: str) -> None:
    family = family_named(name)
    hazard = np.array([1e-12, 1e-3, 0.1, 0.7, 2.0, 9.0])
    np.testing.assert_allclose(-family.log_survival(family.standard_age(hazard)), hazard, rtol=1e-9)


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: f"{c.family} {c.shape:g}")
def test_mean_life_is_the_area_under_survival(curve: LifeCurve) -> None:
    area = area_ahead(curve, 0.0)
    assert curve.mean_life == pytest.approx(area, rel=1e-6)


def test_a_log_logistic_with_shape_up_to_one_has_no_mean() -> None:
    curve = LifeCurve("loglogistic", 0.9, 100.0)
    assert curve.mean_life == math.inf


def test_weibull_point_values_meet_the_handbook() -> None:
    expected = reference_case("D8e")  # NIST/SEMATECH e-Handbook 8.1.6.2
    curve = LifeCurve("weibull", 1.5, 5000.0)
    assert curve.density(1000.0) == pytest.approx(expected["pdf"], rel=1e-4)
    assert 1 - curve.survival(1000.0) == pytest.approx(expected["cdf"], rel=1e-4)
    assert curve.hazard(1000.0) == pytest.approx(expected["hazard"], rel=1e-4)
    assert curve.mean_life == pytest.approx(expected["MTTF"], rel=1e-4)


def test_survival_starts_at_one_and_ends_at_nothing() -> None:
    for curve in CURVES:
        ages = np.array([0.0, 1e-300, 10.0, 1e4, 1e300])
        chance = curve.survival(ages)
        assert chance[0] == chance[1] == 1.0
        assert (np.diff(chance) <= 0).all()
        assert chance[-1] < 1e-300 or curve.family == "loglogistic"


def test_an_unknown_family_and_impossible_parameters_are_refused() -> None:
    with pytest.raises(UsageError, match="'gamma' is no life family here"):
        LifeCurve("gamma", 1.0, 1.0)
    with pytest.raises(ModelError, match="shape is -1"):
        LifeCurve("weibull", -1.0, 1.0)
    with pytest.raises(ModelError, match="lies before the age now"):
        LifeCurve("weibull", 1.0, 1.0).conditional_survival(10.0, age=20.0)
