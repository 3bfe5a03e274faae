"""What an experiment's answer is worth, and what it risks: by hand and in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from tests.decisions.routine.test_task_value import YEAR, hand_worked
from tracker.decisions.routine.experiment.information_value import information_value
from tracker.decisions.routine.experiment.money_at_risk import Course, money_at_risk


def truths(mean: float, spread: float) -> tuple[np.ndarray, np.ndarray]:
    """Equally likely log ratios, and savings of 100 for each unit by which the risk is less."""
    log_ratio = mean + spread * norm.ppf((np.arange(4000) + 0.5) / 4000)
    return -100 * log_ratio, log_ratio[None, :]


def best_of(mean: float, spread: float) -> float:
    """E max(0, X) of a normal X."""
    return float(mean * norm.cdf(mean / spread) + spread * norm.pdf(mean / spread))


@pytest.mark.parametrize("error", [0.1, 0.4, 2.0])
def test_the_value_of_a_result_is_that_of_the_normal_law(error: float) -> None:
    """Raiffa & Schlaifer 1961: a normal truth measured with a normal error. What one will think
    after it is normal about the mean with variance s⁴ / (s² + error²)."""
    saving, log_ratios = truths(-0.1, 0.5)
    got = information_value(
        saving, log_ratios, np.array([error]), 10.0, 2.0, np.random.default_rng(1)
    )
    spread = 100 * 0.5**2 / math.sqrt(0.5**2 + error**2)
    wanted = 10 * (best_of(10, spread) - 10)
    # 800 results: the error of the mean is about 0.6 of the spread / √800.
    assert got.gain == pytest.approx(wanted, abs=3 * 10 * 0.6 * spread / math.sqrt(800))
    assert got.with_truth == pytest.approx(10 * best_of(10, 50), rel=0.01)
    assert got.chance_of_change == pytest.approx(norm.cdf(-10 / spread), abs=0.05)
    assert got.cost == pytest.approx(2 * 10 / 2, rel=0.02)


def test_a_result_that_cannot_change_the_decision_is_worth_nothing() -> None:
    saving, log_ratios = truths(-3.0, 0.3)
    got = information_value(
        saving, log_ratios, np.array([0.3]), 10.0, 2.0, np.random.default_rng(2)
    )
    assert got.gain == pytest.approx(0.0, abs=1e-6)
    assert got.chance_of_change == 0.0
    assert got.net == pytest.approx(-got.cost)


def test_no_result_is_worth_more_than_the_truth_and_a_sharper_one_is_worth_more() -> None:
    saving, log_ratios = truths(0.0, 0.5)
    gains = [
        information_value(saving, log_ratios, np.array([error]), 1.0, 1.0, np.random.default_rng(3))
        for error in (3.0, 0.5, 0.05)
    ]
    assert gains[0].gain < gains[1].gain < gains[2].gain < gains[2].with_truth


def test_the_money_at_risk_is_what_both_intervals_cost_beyond_going_on_as_now() -> None:
    """Two printers for a year, now every 60 days; failures and work as in the hand-worked task:
    dampers fail in proportion to 1 / (actions in 30 days + ½), heads to its root."""
    got = money_at_risk(hand_worked(), 6, 60, Course(365, 2, 60))
    years = 2 * 365 / YEAR
    damper, head = 6 * YEAR / 300, YEAR / 400
    assert got.failures_at_longer == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert got.cost_at_longer == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    work = years / 2 * 12 * YEAR * (1 / 6 - 1 / 60)
    assert got.work_at_shorter == pytest.approx((work,) * 3)
    fewer = 30 * damper * (1 - 1 / 5.5) + 500 * head * (1 - 1 / math.sqrt(5.5))
    assert got.total == pytest.approx((work - years / 2 * fewer,) * 3, rel=5e-3)


def test_more_failures_at_the_longer_interval_are_told_and_priced() -> None:
    got = money_at_risk(hand_worked(), 6, 60, Course(730, 3, 6))
    half = 3 * 730 / YEAR / 2
    dampers = half * 6 * YEAR / 300 * (1 - 1 / 5.5)
    heads = half * YEAR / 400 * (1 - 1 / math.sqrt(5.5))
    assert got.failures_at_longer == pytest.approx((dampers + heads,) * 3, rel=5e-3)
    assert got.cost_at_longer == pytest.approx((30 * dampers + 500 * heads,) * 3, rel=5e-3)
    assert got.work_at_shorter == pytest.approx((0.0,) * 3)
