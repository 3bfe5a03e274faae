"""Failures between two checks shared out over their possible days: every number by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.decisions.routine.task_effect.failure_days import on_possible_days
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Closed, Groups, History, Lives, Steps


def history(lives: Lives, closed: Closed | None = None) -> History:
    """One unit whose exposure is 0 up to day 8 and 1 from there on."""
    steps = Steps(
        np.zeros(2, np.int64), np.array([0.0, 8.0]), np.array([[0.0], [1.0]]), np.ones((1, 1), bool)
    )
    more = {} if closed is None else {"closed": closed}
    groups = Groups(np.zeros(1, np.int64), (LifeBelief(100),))
    return History(lives, groups, 50.0, 1, steps=steps, **more)  # type: ignore[arg-type]


def test_each_possible_day_counts_as_the_effect_makes_it() -> None:
    # Good at age 6, found at age 10: the days that end at 7 and 8 have exposure 0, 9 and 10 have 1.
    # With twice the hazard there they weigh 1, 1, 2, 2 sixths.
    told = on_possible_days(
        history(Lives.of(0, 0, [0.0], [10.0], [True], last_ok=[6.0])), np.array([np.log(2)])
    ).lives
    assert told.age == pytest.approx([(7 + 8 + 2 * 9 + 2 * 10) / 6, 7, 8, 9, 10])
    assert told.failed.tolist() == [False, True, True, True, True]
    assert told.weight == pytest.approx([1, 1 / 6, 1 / 6, 1 / 3, 1 / 3])
    assert told.began_on[1:] == pytest.approx([7, 8, 9, 10], abs=0.01)
    assert np.isnan(told.last_ok).all()


def test_without_an_effect_all_days_are_alike_and_an_exact_failure_stays() -> None:
    lives = Lives.of(0, 0, 0.0, [10.0, 5.0], True, last_ok=[7.0, np.nan])
    told = on_possible_days(history(lives), np.zeros(1)).lives
    assert told.age == pytest.approx([9, 5, 8, 9, 10])
    assert told.failed.tolist() == [False, True, True, True, True]
    assert told.weight == pytest.approx([1, 1, 1 / 3, 1 / 3, 1 / 3])
    exact = history(Lives.of(0, 0, 0.0, [5.0], True))
    assert on_possible_days(exact, np.zeros(1)) is exact


def test_closed_days_are_none_of_them() -> None:
    # Fitted on day 2, days 6 to 9 closed: age 5, reached on day 11, lies two open days after 3.
    closed = Closed(np.array([-1]), np.array([6.0]), np.array([9.0]))
    lives = Lives.of(0, 0, [2.0], [5.0], [True], last_ok=[3.0])
    told = on_possible_days(history(lives, closed), np.array([np.log(3)])).lives
    assert told.age[1:].tolist() == [4, 5]
    assert told.began_on[1:] == pytest.approx([6, 11], abs=0.01)
    # The fourth day of age is day 5 (exposure 0), the fifth is day 10 (exposure 1).
    assert told.weight[1:] == pytest.approx([1 / 4, 3 / 4])


def test_between_checks_far_apart_thirty_days_stand_for_all() -> None:
    lives = Lives.of(0, 0, [0.0], [45.5], [True], last_ok=[0.0])
    told = on_possible_days(history(lives), np.zeros(1)).lives
    assert len(told) == 31
    assert told.age[-1] == 45.5
    assert told.weight[1:].sum() == pytest.approx(1)
