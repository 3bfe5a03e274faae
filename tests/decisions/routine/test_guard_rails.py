"""What is never tried out or advised, whatever it would save."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.routine.experiment.proposal import propose_experiment
from tracker.decisions.routine.guard_rails import Demand, check_may_be_tried, demand
from tracker.decisions.routine.interval import least_cost
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.errors import UsageError
from tracker.workshop.records import Records

AS_OF = date(2025, 12, 31)


def with_rules(*rules: tuple[object, ...]) -> Records:
    names = "task every_days every_m2 printer demanded starts_on"
    return workshop(routines=rows(names, *rules)).known_at(AS_OF)


def test_the_strictest_demand_of_the_maker_holds_and_no_trial_takes_it_away() -> None:
    records = with_rules(
        ("shake_dampers", 15.0, None, "", "yes", None),
        ("shake_dampers", 10.0, None, "B", "yes", None),
        ("shake_dampers", 30.0, None, "A", "", "2025-12-01"),
    )
    assert demand(records, AS_OF, "shake_dampers", ["A"]) == Demand(15.0)
    assert demand(records, AS_OF, "shake_dampers", ["A", "B"]) == Demand(10.0)
    assert demand(records, AS_OF, "flush_in_place", ["A"]) is None
    check_may_be_tried(records, AS_OF, "shake_dampers", 15.0, ["A"])
    with pytest.raises(UsageError, match=r"every 15 days; every 30 days is less often\. Ask about"):
        check_may_be_tried(records, AS_OF, "shake_dampers", 30.0, ["A"])


def test_a_demand_by_printed_area_leaves_no_interval_in_days_to_try() -> None:
    records = with_rules(("flush_in_place", None, 500.0, "", "yes", None))
    assert demand(records, AS_OF, "flush_in_place", ["A"]) == Demand(None)
    with pytest.raises(UsageError, match="by printed area"):
        check_may_be_tried(records, AS_OF, "flush_in_place", 7.0, ["A"])


def test_an_experiment_is_refused_for_what_protects_people_and_what_the_maker_forbids() -> None:
    records = with_rules(("shake_dampers", 15.0, None, "", "yes", None))
    with pytest.raises(UsageError, match="protects people, so nothing is tried out with it"):
        propose_experiment(records, AS_OF, "empty_waste", 7, 14)
    with pytest.raises(UsageError, match="The maker demands “Shake dampers"):
        propose_experiment(records, AS_OF, "shake_dampers", 7, 30)


def test_the_interval_of_least_cost_is_that_of_the_least_expected_one() -> None:
    # Medians 10 and 12, means 10 + 90/3 = 40 and 12: what may cost very much is the dearer for it.
    costs = np.array([[10.0, 10.0, 100.0], [12.0, 12.0, 12.0]])
    draws = WeightedDraws(np.full(3, 1 / 3))
    found = least_cost(draws, np.array([30.0, 7.0]), costs, costs)
    assert found.every_days == 7.0
