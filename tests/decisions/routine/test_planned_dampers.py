"""Parts that a workshop changes by plan at an age: failures told against those of the long run."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tests.decisions.routine.planned_dampers import (
    AS_OF,
    TASK,
    changed_at,
    true_failures_per_year,
)
from tracker.decisions.routine.effect import RoutineEffect, routine_effect
from tracker.decisions.routine.whole_routine.least_cost import whole_routine

AGES = (150, 210)


@cache
def told(age_days: int) -> RoutineEffect:
    return routine_effect(changed_at(age_days, seed=3), AS_OF, "damper", TASK, 7, 28)


@pytest.mark.parametrize("age_days", AGES)
def test_failures_of_a_year_are_those_of_parts_changed_at_that_age(age_days: int) -> None:
    got = told(age_days)
    assert got.study.yearly.planned_age == pytest.approx(age_days, abs=2)
    assert got.study.yearly.other_removals_per_day == 0
    usual = got.study.yearly.failures_if_moved(np.zeros(len(got.study.yearly.effect)))
    # With 66 and 94 failures in the log a standard error of a tenth.
    assert got.study.yearly.draws.mean(usual) == pytest.approx(
        true_failures_per_year(age_days), rel=0.2
    )


@pytest.mark.parametrize("age_days", AGES)
def test_the_whole_routine_counts_them_alike(age_days: int) -> None:
    now = whole_routine(changed_at(age_days, seed=3), AS_OF).now
    assert now.failures["damper"] == pytest.approx(true_failures_per_year(age_days), rel=0.2)
    each = told(age_days).cost_of_failure.total
    assert now.failure_costs["damper"] == pytest.approx(each * now.failures["damper"], rel=0.1)


def test_of_parts_changed_young_a_lower_hazard_avoids_as_large_a_share_of_failures() -> None:
    # Run to failure a hazard r times as high means r^(1 / 2.5) times the failures.
    got = told(150)
    moved = np.full(len(got.study.yearly.effect), np.log(0.5))
    fewer = got.study.yearly.failures_if_moved(moved)
    usual = got.study.yearly.failures_if_moved(np.zeros(len(moved)))
    assert np.median(fewer / usual) == pytest.approx(0.51, abs=0.02)
