"""Who does the task when: balanced, every printer at both; and when it may be believed."""

from __future__ import annotations

from datetime import date
from itertools import combinations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from tracker.decisions.routine.experiment.crossover import (
    TwoIntervals,
    balanced_order,
    crossover,
    doses,
)
from tracker.decisions.routine.experiment.stopping_rule import (
    END_LIMIT,
    FALSE_ANSWER,
    LOOK_LIMIT,
    answers,
)

COMPARED = TwoIntervals("shake_dampers", "damper", 7.0, 30.0)
PLAN = crossover("Trial", COMPARED, {"A": True, "B": False}, date(2026, 1, 5), 70)


def test_every_printer_is_as_long_at_either_interval() -> None:
    for printer in PLAN.printers:
        days = {7.0: 0, 30.0: 0}
        for phase in PLAN.phases:
            if phase.printer == printer:
                days[phase.every_days] += (phase.ends_on - phase.starts_on).days + 1
        assert days == {7.0: 140, 30.0: 140}
    assert (PLAN.starts_on, PLAN.ends_on) == (date(2026, 1, 5), date(2026, 10, 11))


def test_at_the_look_every_printer_has_been_as_long_at_either_interval() -> None:
    assert PLAN.look_on == date(2026, 5, 24)  # the 140th of 280 days
    assert doses(PLAN).tolist() == [[0.5, -0.5, -0.5, 0.5], [-0.5, 0.5, 0.5, -0.5]]
    assert PLAN.bounds()[2] == date(2026, 5, 25)


def test_begun_later_everything_moves_along() -> None:
    later = PLAN.beginning(date(2026, 2, 4))
    assert later.look_on == date(2026, 6, 23)
    assert (later.days, later.bounds()[1]) == (PLAN.days, date(2026, 4, 15))


@pytest.mark.parametrize("seed", range(8))
def test_both_groups_expect_nearly_the_same_number_of_failures(seed: int) -> None:
    rng = np.random.default_rng(seed)
    failures = np.exp(0.5 * rng.standard_normal(8))
    first = balanced_order(failures, rng)
    assert first.sum() == 4
    gap = abs(failures[first].sum() - failures[~first].sum())
    every_way = [
        abs(2 * failures[list(four)].sum() - failures.sum()) for four in combinations(range(8), 4)
    ]
    assert gap <= np.quantile(every_way, 0.15)  # drawn from the best tenth of 400 ways tried


def test_the_lot_decides_and_an_odd_printer_joins_either_side() -> None:
    rng = np.random.default_rng(4)
    drawn = [tuple(balanced_order(np.ones(3), rng).tolist()) for _ in range(200)]
    assert {sum(way) for way in drawn} == {1, 2}
    assert len(set(drawn)) == 6
    assert {bool(balanced_order(np.ones(1), rng)[0]) for _ in range(50)} == {True, False}


def test_two_looks_together_are_false_one_time_in_twenty() -> None:
    """Jennison & Turnbull 2000, table 2.3: two looks, 0.05 two-sided, constant 1.977."""
    root = np.sqrt(0.5)
    law = multivariate_normal([0, 0], [[1, root], [root, 1]])
    a, b = LOOK_LIMIT, END_LIMIT
    within = law.cdf([a, b], lower_limit=[-a, -b])
    assert 1 - within == pytest.approx(FALSE_ANSWER, abs=3e-4)


def test_an_answer_at_the_look_stands_whatever_comes_after() -> None:
    at_look = np.array([-3.0, 2.0, 0.0, 2.9])
    at_end = np.array([0.0, -2.5, 1.9, -3.0])
    assert answers(at_look, at_end).tolist() == [-1, -1, 0, 1]
