"""Published data sets and the values they are known to give (sources in tests/reference)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tests.reference import reference_case, reference_data
from tracker.models.fit import compare_families, fit_life
from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.profile_limits import Estimate

TOLERANCE = 1e-4


def scale_limits(fit: LifeFit) -> Estimate:
    """The scale of a Weibull is the age by which 1 − 1/e have failed."""
    return fit.quantile(1 - math.exp(-1))


def readings(fit: LifeFit) -> dict[str, Any]:
    """Everything the reference cases state about a Weibull fit, by their names."""
    b10, b1 = fit.quantile(0.1), fit.quantile(0.01)
    shape, scale = fit.shape_interval(), scale_limits(fit)
    return {
        "shape": fit.shape,
        "scale": fit.scale,
        "loglik": fit.log_likelihood,
        "se_shape": fit.std_errors["shape"],
        "se_scale": fit.std_errors["scale"],
        "AIC": fit.aic,
        "B10": b10.estimate,
        "B10_fisher95": b10.wald,
        "B10_LR95": (b10.lower, b10.upper),
        "B1": b1.estimate,
        "B1_fisher95": b1.wald,
        "B1_LR95": (b1.lower, b1.upper),
        "shape_logWald95": shape.wald,
        "scale_logWald95": scale.wald,
        "shape_LR95": (shape.lower, shape.upper),
        "scale_LR95": (scale.lower, scale.upper),
        "MTTF": fit.mean_life,
        "median": fit.quantile(0.5).estimate,
    }


def lives_of(case: str) -> dict[str, Any]:
    """The lives of a reference case as fit_life takes them."""
    if case == "D2a":  # current status: failed by the inspection, or good at it
        turbine = reference_data("turbine_inspection.csv")
        good = turbine.inspected - turbine.failed
        count = len(turbine)
        return {
            "age": np.tile(turbine.hours.to_numpy(float), 2),
            "failed": np.repeat([True, False], count),
            "last_ok": np.repeat([0.0, np.nan], count),
            "weight": np.concatenate([turbine.failed, good]),
        }
    if case == "D1c":
        cage = reference_data("bearingcage.csv")
        return {
            "age": cage.hours.to_numpy(float),
            "failed": cage.event.to_numpy(bool),
            "weight": cage["count"].to_numpy(float),
        }
    name = {
        "D1a": "nist_weibull_20units.csv",
        "D1b": "genfan.csv",
        "D1d": "lieblein_zelen_ballbearing.csv",
        "D1e": "gehan_6mp.csv",
    }[case]
    table = reference_data(name)
    if case == "D1e":
        table = table[table.treat == "6-MP"]
    return {"age": table.time.to_numpy(float), "failed": table.event.to_numpy(bool)}


@pytest.mark.parametrize("case", ["D1a", "D1b", "D1c", "D1d", "D1e", "D2a"])
def test_weibull_fit_meets_the_published_values(case: str) -> None:
    expected = reference_case(case)
    found = readings(fit_life(**lives_of(case)))
    shared = found.keys() & expected.keys()
    assert {"shape", "scale", "loglik", "se_shape", "se_scale", "B10"} <= shared
    for name in shared:
        np.testing.assert_allclose(found[name], expected[name], rtol=TOLERANCE, err_msg=name)


@pytest.mark.parametrize("case", ["D1a", "D1b", "D1c", "D1d", "D1e", "D2a"])
def test_other_families_meet_the_published_values(case: str) -> None:
    expected = reference_case(case)
    lives = lives_of(case)
    checked = 0
    for family in ("lognormal", "loglogistic", "exponential"):
        fit = fit_life(**lives, family=family)
        found = {
            f"{family}_mu": fit.mu,
            f"{family}_sigma": fit.sigma,
            f"{family}_mean": fit.mean_life,
            f"{family}_loglik": fit.log_likelihood,
            f"AIC_{family}": fit.aic,
        }
        for name in found.keys() & expected.keys():
            np.testing.assert_allclose(found[name], expected[name], rtol=TOLERANCE, err_msg=name)
            checked += 1
    assert checked >= 3


@pytest.mark.parametrize("case", ["D1a", "D1b", "D1d"])
def test_families_are_ranked_as_published(case: str) -> None:
    table = compare_families(**lives_of(case))
    assert table.sort_values("aic").index.tolist() == reference_case(case)["AIC_rank"]
    assert table["aicc"].is_monotonic_increasing
    assert table["weight"].sum() == pytest.approx(1.0)


@pytest.mark.parametrize("sex", ["Male", "Female", None])
def test_delayed_entry_meets_channing_house(sex: str | None) -> None:
    house = reference_data("channing.csv")
    house = house[house.exit > house.entry]  # five records leave before they enter
    expected = reference_case("D2b")
    assert len(house) == expected["n_used"]
    prefix = f"LTWeibull_{sex.lower() if sex else 'all'}"
    if sex:
        house = house[house.sex == sex]
    fit = fit_life(house.exit, house.cens, entry=house.entry)
    assert fit.shape == pytest.approx(expected[f"{prefix}_shape"], rel=TOLERANCE)
    assert fit.scale == pytest.approx(expected[f"{prefix}_scale"], rel=TOLERANCE)
    assert fit.log_likelihood == pytest.approx(expected[f"{prefix}_loglik"], rel=TOLERANCE)
    if sex:
        errors = (fit.std_errors["shape"], fit.std_errors["scale"])
        np.testing.assert_allclose(errors, expected[f"{prefix}_se"], rtol=1e-3)
        ignored = fit_life(house.exit, house.cens)
        np.testing.assert_allclose(
            (ignored.shape, ignored.scale),
            expected[f"wrong_ignoring_entry_{sex.lower()}"],
            rtol=TOLERANCE,
        )


def test_aicc_adds_the_small_sample_term_by_hand() -> None:
    # Hurvich & Tsai 1989: 2 k (k + 1) / (n − k − 1) = 12 / 17 for 2 parameters and 20 lives
    fit = fit_life(**lives_of("D1a"))
    assert fit.aicc - fit.aic == pytest.approx(12 / 17)
    assert fit_life([1, 2, 4], [1, 1, 1]).aicc == np.inf
