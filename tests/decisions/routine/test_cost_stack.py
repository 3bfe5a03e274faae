"""Of what the cost of an interval is made: the parts add up to the expected whole."""

from __future__ import annotations

import numpy as np
import pytest

from tests.decisions.routine.test_task_value import hand_worked, studied
from tracker.decisions.routine.cost_stack import cost_stack
from tracker.decisions.routine.interval import least_cost
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws

EVERY = np.array([7.0, 30.0])


def test_certain_costs_are_stacked_as_they_are() -> None:
    one = np.ones((1, 1000))
    stack = cost_stack(EVERY[:1], 12 * one, {"damper": 30 * one, "head": 500 * one})
    assert (stack.work[0], stack.by_kind["damper"][0], stack.by_kind["head"][0]) == pytest.approx(
        (12, 30, 500)
    )
    assert (stack.low[0], stack.together[0], stack.high[0]) == (542, 542, 542)


def test_the_parts_add_up_to_the_expected_whole_however_skew() -> None:
    rng = np.random.default_rng(3)
    size = (2, 4000)
    work, damper = np.full(size, 50.0), 100 * np.exp(0.2 * rng.standard_normal(size))
    head = 300 * np.exp(1.2 * rng.standard_normal(size))
    stack = cost_stack(EVERY, work, {"damper": damper, "head": head})
    whole = work + damper + head
    assert stack.together == pytest.approx(np.mean(whole, axis=1))
    assert stack.work + stack.by_kind["damper"] + stack.by_kind["head"] == pytest.approx(
        stack.together
    )
    # The mean of a lognormal is its median times exp(σ²/2): 300 · exp(0.72) = 616.
    assert stack.by_kind["head"] == pytest.approx(616.3, rel=0.06)
    assert stack.low == pytest.approx(np.quantile(whole, 0.1, axis=1))


def test_the_least_of_the_stack_is_the_interval_of_least_cost() -> None:
    for studies in (hand_worked(), studied()):
        stack = studies.cost_stack(9.0)
        assert 9.0 in stack.every_days
        tried = np.isin(stack.every_days, studies.least_cost.curve["every_days"])
        best = stack.every_days[tried][stack.together[tried].argmin()]
        assert best == studies.least_cost.every_days
        curve = studies.least_cost.curve["cost"].to_numpy()
        assert stack.together[tried] == pytest.approx(curve, rel=1e-3)


def test_between_two_intervals_the_whole_runs_straight_in_their_logarithm() -> None:
    one = np.ones((2, 10))
    stack = cost_stack(np.array([10.0, 1000.0]), one * [[200.0], [300.0]], {"damper": 0 * one})
    assert stack.at(100.0) == pytest.approx(250)


def test_intervals_that_cost_hardly_more_than_the_least_are_no_real_difference() -> None:
    one = np.ones((6, 10))
    costs = one * np.array([[1100.0], [1015.0], [1000.0], [1019.0], [1021.0], [1010.0]])
    stack = cost_stack(np.array([7.0, 14.0, 21.0, 30.0, 60.0, 90.0]), 0 * one, {"damper": costs})
    # Within 2 %: up to 1 020; beyond the dear 60 days nothing counts as near.
    assert stack.alike(21.0) == (14.0, 30.0)


def test_the_star_of_least_cost_is_never_above_another_interval_that_was_tried() -> None:
    rng = np.random.default_rng(8)
    every = np.array([7.0, 14.0, 21.0, 30.0])
    skew = np.exp(1.5 * rng.standard_normal(4000))
    # Medians fall up to 21 days while means are least at 14: the tail decides, and is drawn.
    costs = np.array([900 + 0 * skew, 600 + 60 * skew, 500 + 110 * skew, 480 + 200 * skew])
    stack = cost_stack(every, 0 * costs, {"head": costs})
    draws = WeightedDraws(np.full(4000, 1 / 4000))
    least = least_cost(draws, every, costs, costs).every_days
    assert np.median(costs, axis=1).argmin() != 1
    assert least == 14.0 == every[stack.together.argmin()]
