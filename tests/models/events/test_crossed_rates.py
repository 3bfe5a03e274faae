"""A ratio of rates from units seen under both treatments: by hand, and beside another program."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from tracker.errors import ModelError
from tracker.models.events.crossed_rates import crossed_ratio, standardized_scores

ABBA = np.array([[0.5, -0.5, -0.5, 0.5], [-0.5, 0.5, 0.5, -0.5]])
EVENTS = np.array([[3.0, 6.0, 8.0, 2.0], [8.0, 4.0, 1.0, 5.0]])
USUAL = np.array([[4.0, 5.0, 6.0, 3.0], [5.0, 5.0, 4.0, 4.0]])


def test_one_unit_is_two_poisson_rates() -> None:
    got = crossed_ratio(np.array([[4.0, 9.0]]), np.array([[10.0, 6.0]]), np.array([[0.5, -0.5]]))
    assert got.ratio == pytest.approx((4 / 10) / (9 / 6), rel=1e-6)
    # Given 13 events, those at +½ are binomial with share 10/16 where there is no difference.
    share = 10 / 16
    assert got.z == pytest.approx((4 - 13 * share) / math.sqrt(13 * share * (1 - share)))


def test_two_units_changing_in_opposite_directions_are_a_cross_ratio() -> None:
    got = crossed_ratio(
        np.array([[3.0, 6.0], [8.0, 4.0]]), np.ones((2, 2)), np.array([[0.5, -0.5], [-0.5, 0.5]])
    )
    assert got.ratio == pytest.approx(math.sqrt(3 * 4 / (6 * 8)))


def test_it_is_the_poisson_regression_with_a_level_per_unit_and_period() -> None:
    def loss(at: np.ndarray) -> float:
        unit, period = at[:2, None], np.concatenate(([0.0], at[2:5]))[None, :]
        log_mean = np.log(USUAL) + unit + period + at[5] * ABBA
        return float((np.exp(log_mean) - EVENTS * log_mean).sum())

    other = minimize(loss, np.zeros(6), method="BFGS", options={"gtol": 1e-9})
    got = crossed_ratio(EVENTS, USUAL, ABBA)
    assert math.log(got.ratio) == pytest.approx(other.x[5], abs=1e-4)
    assert got.events == 37


def test_a_level_of_a_unit_or_a_period_changes_nothing() -> None:
    got = crossed_ratio(EVENTS, USUAL, ABBA)
    levels = np.array([[0.2], [3.0]]) * np.array([[1.0, 2.0, 0.5, 4.0]])
    moved = crossed_ratio(EVENTS, USUAL * levels, ABBA)
    assert (moved.ratio, moved.z) == pytest.approx((got.ratio, got.z), rel=1e-5)


def test_exchanging_the_treatments_turns_the_ratio_over() -> None:
    got, other = (crossed_ratio(EVENTS, USUAL, sign * ABBA) for sign in (1, -1))
    assert other.ratio == pytest.approx(1 / got.ratio)
    assert (other.lower, other.upper, other.z) == pytest.approx(
        (1 / got.upper, 1 / got.lower, -got.z)
    )


def test_the_limits_leave_out_none_exactly_where_the_score_is_beyond_them() -> None:
    got = crossed_ratio(EVENTS, USUAL, ABBA)
    at_the_edge = crossed_ratio(EVENTS, USUAL, ABBA, limit=abs(got.z))
    assert max(at_the_edge.lower, min(at_the_edge.upper, 1.0)) == pytest.approx(1.0, abs=1e-6)
    assert crossed_ratio(EVENTS, USUAL, ABBA, limit=abs(got.z) + 0.1).upper > 1


def test_events_on_one_side_only_leave_that_limit_open() -> None:
    got = crossed_ratio(np.array([[0.0, 5.0]]), np.ones((1, 2)), np.array([[0.5, -0.5]]))
    assert got.ratio == 0.0
    assert got.lower == 0.0
    assert 0 < got.upper < 1


def test_without_a_unit_seen_at_both_nothing_can_be_told() -> None:
    got = crossed_ratio(
        np.array([[3.0, 2.0], [5.0, 1.0]]), np.ones((2, 2)), np.array([[0.5, 0.5], [-0.5, -0.5]])
    )
    assert math.isnan(got.ratio)
    assert got.z == 0.0
    assert crossed_ratio(np.zeros((2, 4)), USUAL, ABBA).z == 0.0


def test_events_where_none_can_be_expected_are_refused() -> None:
    with pytest.raises(ModelError, match="usual: is 0 where events happened"):
        crossed_ratio(EVENTS, USUAL * 0, ABBA)
    with pytest.raises(ModelError, match="below 0"):
        crossed_ratio(-EVENTS, USUAL, ABBA)


@pytest.mark.parametrize("per_cell", [1.0, 4.0])
def test_without_a_difference_five_in_a_hundred_scores_are_beyond_two(per_cell: float) -> None:
    rng = np.random.default_rng(31)
    levels = np.exp(0.5 * rng.standard_normal((4000, 4, 1)) + 0.4 * rng.standard_normal((1, 1, 4)))
    dose = np.concatenate((ABBA, ABBA))
    found = standardized_scores(rng.poisson(per_cell * levels).astype(float), np.ones((4, 4)), dose)
    # Binomial(4000, 0.05) has a standard error of 0.35 %.
    assert np.mean(np.abs(found) > 1.96) == pytest.approx(0.05, abs=0.011)
