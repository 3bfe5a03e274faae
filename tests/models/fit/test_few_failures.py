"""Assumed-shape bounds against published formulas and tables (sources in tests/reference)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.fit.few_failures import assumed_shape, assumed_shapes, unbiasing_factor
from tracker.models.fit.fitting import fit_life


def test_no_failure_among_64_units_gives_the_published_lower_bounds() -> None:
    # Nelson 1985; ages of the case as recorded beside it in expected.json (D7a)
    ages = [500, 1000, 1500, 2000, 2500, 3000, 3500, 4000]
    units = [10, 12, 8, 9, 7, 9, 6, 3]
    expected = reference_case("D7a")
    found = assumed_shape(ages, np.zeros(8), shape=2, weight=units)
    assert found.scale == math.inf
    assert found.exposure == expected["sum_t_b"]
    for confidence, name in ((0.5, "50"), (0.632, "632"), (0.9, "90"), (0.95, "95")):
        bound = found.lower_bounds[confidence]
        assert bound == pytest.approx(expected[f"etaL_{name}"], rel=1e-4)
    assert found.quantile_lower(0.1, 0.95) == pytest.approx(expected["B10L_95"], rel=1e-4)
    assert found.scale_interval().upper == math.inf


def test_two_failures_among_seven_give_the_published_bounds() -> None:
    times = [1200, 950, 2100, 700, 1800, 300, 2500]
    expected = reference_case("D7b")
    found = assumed_shape(times, [t in (700, 1800) for t in times], shape=1.5)
    assert found.scale == pytest.approx(expected["eta_hat"], rel=1e-4)
    assert found.scale_lower(0.9) == pytest.approx(expected["etaL_90"], rel=1e-4)
    assert found.scale_lower(0.95) == pytest.approx(expected["etaL_95"], rel=1e-4)


def test_bearing_cage_with_given_shapes_meets_the_published_scales() -> None:
    cage = reference_data("bearingcage.csv")
    expected = reference_case("D7c")
    lives: dict[str, Any] = {"age": cage.hours, "failed": cage.event, "weight": cage["count"]}
    for shape, name in ((1.5, "eta_b1_5"), (2.0, "eta_b2"), (3.0, "eta_b3")):
        assert assumed_shape(**lives, shape=shape).scale == pytest.approx(expected[name], rel=1e-4)
    field = assumed_shape(**lives, shape=2.0)
    assert field.quantile(0.1) == pytest.approx(expected["B10_b2"], rel=1e-4)
    assert field.quantile_lower(0.1) == pytest.approx(expected["B10_b2_L95_2rplus2"], rel=1e-4)
    stopped = assumed_shape(**lives, shape=2.0, ended_at_failure=True)
    assert stopped.quantile_lower(0.1) == pytest.approx(expected["B10_b2_L95_2r"], rel=1e-4)


def test_exponential_factors_meet_the_handbook_table() -> None:
    # NIST/SEMATECH e-Handbook 8.4.5.1: factors on total time (no failure) or total time / failures
    expected = reference_case("D7d")
    for failures in (0, 1, 2, 5):
        lives = assumed_shape(np.ones(10), np.arange(10) < failures, shape=1.0)
        centre = 10.0 / max(failures, 1)
        limits = [lives.scale_interval(level) for level in (0.6, 0.8, 0.9, 0.95)]
        lower = [limit.lower / centre for limit in limits]
        np.testing.assert_allclose(lower, expected["lower"][str(failures)], rtol=1e-4)
        if str(failures) in expected["upper"]:
            upper = [limit.upper / centre for limit in limits]
            np.testing.assert_allclose(upper, expected["upper"][str(failures)], rtol=1e-4)


def test_the_unbiasing_factor_meets_the_published_values() -> None:
    for count, factor in reference_case("D7e")["ross_factor"].items():
        assert unbiasing_factor(int(count)) == pytest.approx(factor, rel=1e-4)
    with pytest.raises(NotEnoughData, match="from 3 failures on"):
        unbiasing_factor(2)


def test_assuming_the_fitted_shape_gives_the_fitted_scale_under_delayed_entry() -> None:
    house = reference_data("channing.csv")
    house = house[house.exit > house.entry]
    fit = fit_life(house.exit, house.cens, entry=house.entry)
    assumed = assumed_shape(house.exit, house.cens, fit.shape, entry=house.entry)
    assert assumed.scale == pytest.approx(fit.scale, rel=1e-9)


def test_a_failure_found_late_counts_up_to_its_last_good_check() -> None:
    found = assumed_shape([30.0, 50.0], [True, False], 1.0, last_ok=[20.0, np.nan])
    assert found.exposure == 70.0


def test_a_table_shows_how_much_hangs_on_the_assumed_shape() -> None:
    table = assumed_shapes([100, 200, 300], [0, 0, 1], shapes=(1.0, 2.0))
    assert table.index.tolist() == [1.0, 2.0]
    # By hand: 600 / 1 failure, and the root of 100² + 200² + 300²
    assert table["scale"].tolist() == pytest.approx([600.0, math.sqrt(140_000)])


def test_impossible_questions_are_refused_in_words() -> None:
    with pytest.raises(ModelError, match="shape is 0"):
        assumed_shape([10], [0], 0)
    with pytest.raises(NotEnoughData, match="no life was watched"):
        assumed_shape([], [], 2)
    with pytest.raises(ModelError, match="between 0 and 1"):
        assumed_shape([10], [0], 2).scale_lower(95)
    with pytest.raises(NotEnoughData, match="r-th failure"):
        assumed_shape([10], [0], 2, ended_at_failure=True).scale_lower()
