"""The search finds what trying everything finds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest

from tests.decisions.routine.whole_routine.hand_worked import TASKS, costs_of
from tracker.decisions.routine.whole_routine.routine_costs import TRIED, RoutineCosts
from tracker.decisions.routine.whole_routine.search import least_cost_choice, worth_changing

ALL = tuple(range(len(TRIED) + 1))


def starts(costs: RoutineCosts, options: Sequence[Sequence[int]]) -> list[tuple[int, ...]]:
    ends = (tuple(one[place] for one in options) for place in (1, len(ALL) // 2, -1))
    return [costs.as_now, *ends]


@pytest.mark.parametrize("tasks", [tuple(TASKS)[:2], tuple(TASKS)[1:], tuple(TASKS)])
def test_it_finds_the_least_of_the_full_grid(tasks: tuple[str, ...]) -> None:
    costs = costs_of(tasks)
    options = [ALL] * len(tasks)
    best = min(product(*options), key=costs.cost)
    found = least_cost_choice(costs.cost, options, starts(costs, options))
    assert costs.cost(found) == pytest.approx(costs.cost(best))
    assert found == best


def test_of_two_valleys_the_deeper_is_found_from_several_starts() -> None:
    depth = np.array([3.0, 1.0, 4.0, 5.0, 4.0, 0.5])  # another valley at the far end

    def cost(choice: tuple[int, ...]) -> float:  # along the diagonal; off it every step costs
        return float(depth[choice[0]] + 6 * abs(choice[0] - choice[1]))

    options = [range(6), range(6)]
    assert least_cost_choice(cost, options, [(1, 1), (5, 5)]) == (5, 5)
    assert least_cost_choice(cost, options, [(1, 1)]) == (1, 1), "one start may be caught"


def test_an_option_that_is_not_allowed_is_never_taken() -> None:
    costs = costs_of()
    options = [(0,), ALL, (0, 5, 6)]
    found = least_cost_choice(costs.cost, options, [costs.as_now])
    assert found[0] == 0
    assert found[2] in (0, 5, 6)
    assert found == min(product(*options), key=costs.cost)


def test_a_change_that_gains_less_than_the_habit_is_worth_is_left() -> None:
    def cost(choice: tuple[int, ...]) -> float:
        return 100.0 - 5.0 * (choice[0] == 2) - 50.0 * (choice[1] == 3)

    assert worth_changing(cost, (2, 3), 10.0) == (0, 3)
    assert worth_changing(cost, (2, 3), 4.0) == (2, 3)
