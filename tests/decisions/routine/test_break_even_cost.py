"""From which cost of a failure on a change pays, worked out by hand from known draws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tracker.decisions.routine.break_even_cost import BreakEvenCost, break_even_cost


def found(avoided: list[float], rest: list[float] | float, off_by: float = 1.0) -> BreakEvenCost:
    draws = np.asarray(avoided, dtype=np.float64)
    ones = np.ones(len(draws))
    return break_even_cost("damper", 32.0, draws, off_by * ones, np.asarray(rest) * ones)


def test_work_of_162_that_avoids_two_failures_pays_from_81_each_on() -> None:
    got = found([2.0], -162.0)
    assert (got.cost, got.counted, got.is_least) == (pytest.approx(81.0), 32.0, True)


def test_a_cost_that_is_really_half_as_much_again_breaks_even_at_less() -> None:
    assert found([2.0], -162.0, off_by=1.5).cost == pytest.approx(54.0)


def test_the_break_even_is_the_draw_in_the_middle() -> None:
    # 120 of work: pays from 120, 60, 40, 30 and 24 on; at 40 three of five do.
    assert found([1.0, 2.0, 3.0, 4.0, 5.0], -120.0).cost == pytest.approx(40.0)
    # One draw with more failures never pays: the third of four that can is needed.
    assert found([-1.0, 2.0, 3.0, 4.0, 5.0], -120.0).cost == pytest.approx(40.0)
    assert found([-1.0, -2.0, 3.0, 4.0, 5.0], -120.0).cost == pytest.approx(40.0)


def test_what_the_other_kinds_already_pay_for_pays_whatever_this_one_costs() -> None:
    got = found([2.0, 2.0, 2.0], [10.0, 20.0, -30.0])
    assert (got.cost, got.is_least) == (0.0, True)


def test_less_work_pays_as_long_as_a_failure_costs_less() -> None:
    got = found([-2.0, -2.0, -2.0], 162.0)
    assert (got.cost, got.is_least) == (pytest.approx(81.0), False)


def test_more_failures_and_more_work_never_pay() -> None:
    got = found([-2.0, -1.0, -2.0], -5.0)
    assert math.isnan(got.cost)
    assert not got.is_least


def test_no_effect_at_all_pays_always_or_never() -> None:
    assert math.isinf(found([0.0, 0.0, 0.0], 5.0).cost)
    assert math.isnan(found([0.0, 0.0, 0.0], -5.0).cost)


def test_just_above_the_break_even_more_than_half_of_the_draws_pay() -> None:
    rng = np.random.default_rng(8)
    avoided, rest = rng.normal(1.0, 1.5, 2001), rng.normal(-100.0, 60.0, 2001)
    off_by = np.exp(0.3 * rng.normal(size=2001))
    got = break_even_cost("damper", 32.0, avoided, off_by, rest)

    def chance(cost: float) -> float:
        return float(np.mean(cost * off_by * avoided + rest > 0))

    assert chance(got.cost * 1.001) >= 0.5 > chance(got.cost * 0.999)
