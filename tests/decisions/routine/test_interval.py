"""The interval of least cost and the one that breaks even, where both are known in closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.decisions.routine.test_yearly_counts import yearly_counts
from tracker.decisions.routine.interval import BreakEven, CostsByInterval
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws

YEAR = 365.25


def costs(*intervals: float, effect: float = -1.0) -> CostsByInterval:
    """Lives without memory of mean 200 days at exposure 0, three positions; hazard falls with the
    rate of actions plus half a one, to the power −effect / log 2."""
    return CostsByInterval.of(yearly_counts(1.0, 200, effect=effect * math.log(2)), intervals)


def yearly(every: float, failure: float, task: float) -> float:
    """With effect −1 per doubling the hazard is divided by (30/every + ½)."""
    return failure * 3 * YEAR / 200 / (30 / every + 0.5) + task * YEAR / every


def test_costs_are_failures_and_actions() -> None:
    got = costs(5, 10).costs(failure_cost=100, task_cost=4)
    assert got[:, 0] == pytest.approx([yearly(5, 100, 4), yearly(10, 100, 4)], rel=2e-3)


def test_the_least_cost_is_where_the_derivative_vanishes() -> None:
    # d/dr of F·c/(30 r + ½) + w·r at r = 1/every: (30 r + ½)² = 30 F c / w.
    failure, task = 100.0, 12.0
    rate = (math.sqrt(30 * failure * 3 / 200 / task) - 0.5) / 30
    least = costs(*range(1, 60)).least_cost(failure, task)
    assert least.every_days == pytest.approx(1 / rate, abs=1)
    assert not least.at_edge
    # One certain draw: nothing is uncertain.
    assert least.lower_days == least.upper_days == least.every_days
    assert least.curve["cost"].min() == pytest.approx(yearly(1 / rate, failure, task), rel=1e-2)


def test_the_end_of_what_was_tried_is_said_to_be_the_end() -> None:
    assert costs(2, 5, 10, 20).least_cost(1.0, 50.0).at_edge
    assert costs(2, 5, 10, 20).least_cost(1.0, 50.0).every_days == 20


def break_even(instead: float, failure: float, task: float) -> BreakEven:
    return costs(*range(1, 91)).break_even(instead, failure, task)


def test_break_even_lies_beyond_the_least_cost_at_the_same_cost() -> None:
    got = break_even(45, 100, 12)
    assert not got.none
    assert not got.open
    assert got.to_days == 45
    assert 1 < got.every_days < 30
    assert yearly(got.every_days, 100, 12) == pytest.approx(yearly(45, 100, 12), rel=5e-3)
    assert got.lower_days == got.upper_days == pytest.approx(got.every_days)


def test_from_the_short_side_break_even_lies_on_the_long_one() -> None:
    short = break_even(45, 100, 12).every_days
    back = break_even(short, 100, 12)
    assert back.from_days == short
    assert back.every_days == pytest.approx(45, rel=0.02)


def test_no_interval_is_cheaper_than_the_cheapest() -> None:
    least = costs(*range(1, 91)).least_cost(100, 12).every_days
    got = break_even(least, 100, 12)
    assert got.none
    assert math.isnan(got.every_days)


def test_a_task_without_effect_is_cheaper_the_less_it_is_done_without_end() -> None:
    got = costs(*range(1, 91), effect=0.0).break_even(10, 100, 12)
    assert got.open
    assert not got.none
    assert (got.from_days, got.to_days) == (10, 90)
    assert math.isnan(got.every_days)


def test_draws_that_disagree_widen_both() -> None:
    plan = yearly_counts(1.0, 200)
    three = replace(
        plan,
        draws=WeightedDraws(np.array([0.3, 0.4, 0.3])),
        effect=np.array([-1.2, -1.0, -0.8]) * math.log(2),
        groups=tuple(
            replace(group, log_rate=np.zeros(3), shape=np.ones(3)) for group in plan.groups
        ),
    )
    by_interval = CostsByInterval.of(three, tuple(range(1, 91)))
    least, even = by_interval.least_cost(100, 12), by_interval.break_even(45, 100, 12)
    assert least.lower_days < least.upper_days
    assert even.lower_days < even.every_days < even.upper_days
