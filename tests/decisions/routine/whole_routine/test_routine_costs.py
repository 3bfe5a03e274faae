"""What a routine costs, worked out on paper; stops shared; and the table of failures."""

from __future__ import annotations

import numpy as np
import pytest

from tests.decisions.routine.test_yearly_counts import yearly_counts
from tests.decisions.routine.whole_routine.hand_worked import NOW, TASKS, costs_of, yearly_cost
from tracker.decisions.routine.whole_routine.kind_losses import KindLosses, log_failures, together
from tracker.decisions.routine.whole_routine.routine_costs import TRIED
from tracker.decisions.routine.whole_routine.stops import Work, stop_minutes


def option(days: float) -> int:
    return 1 + TRIED.index(days)


def test_a_routine_costs_its_work_and_all_failures_under_all_intervals_at_once() -> None:
    costs = costs_of()
    every = dict(zip(TASKS, (14.0, 5.0, 30.0), strict=True))
    choice = tuple(option(days) for days in every.values())
    assert costs.cost(choice) == pytest.approx(yearly_cost(every), rel=2e-3)
    assert costs.figures(choice).total == pytest.approx([yearly_cost(every)] * 2, rel=2e-3)


def test_as_now_each_printer_keeps_its_own_intervals() -> None:
    costs = costs_of(levels=(0.0, 0.7))
    mine = [{task: NOW[task][at] for task in TASKS} for at in (0, 1)]
    expected = [yearly_cost(mine[0]), yearly_cost(mine[1], level=0.7)]
    assert costs.expected(costs.as_now) == pytest.approx(expected, rel=2e-3)
    assert costs.cost(costs.as_now) == pytest.approx(np.mean(expected), rel=2e-3)


def test_what_two_tasks_avoid_on_one_kind_together_is_less_than_each_alone_added_up() -> None:
    costs = costs_of(("shake_dampers", "flush_in_place"))
    seldom, often = option(60.0), option(6.0)

    def heads(*choice: int) -> float:
        return float(costs.figures(choice).failures["head"][0])

    none = heads(seldom, seldom)
    # Of 60 and 6 days: 1 and 5.5 times in 30 days and a half; divided by 5.5^0.5 and 5.5^0.4.
    assert heads(often, seldom) == pytest.approx(none / 5.5**0.5, rel=2e-3)
    assert heads(often, often) == pytest.approx(none / 5.5**0.9, rel=2e-3)
    added_up = (none - heads(often, seldom)) + (none - heads(seldom, often))
    assert none - heads(often, often) < 0.75 * added_up


def test_the_parts_of_a_routine_add_up_to_its_whole() -> None:
    costs = costs_of()
    figures = costs.figures(costs.as_now)
    parts = figures.work + sum(figures.failure_costs.values()) + figures.drop_out_costs
    assert figures.total == pytest.approx(parts)
    assert figures.total.mean() == pytest.approx(costs.cost(costs.as_now))
    assert figures.failure_costs["head"] == pytest.approx(500 * figures.failures["head"])


def test_tasks_done_in_one_stop_switch_the_printer_off_once() -> None:
    # 100 stops for cleaning a year; shaking 20 times and flushing 10 times along with them;
    # stirring needs no stop. 100 · 4 + 20 · 12 + 10 · 20 + 250 · 2, less 20 · 3 and 10 · 3.
    work = Work(
        once=np.array([[4.0], [12.0], [20.0], [2.0]]),
        in_stop=np.array([[3.0], [3.0], [3.0], [0.0]]),
    )
    times = np.array([[100.0], [20.0], [10.0], [250.0]])
    assert work.per_year(times)[0, 0] == pytest.approx(400 + 240 + 200 + 500 - 60 - 30)


def test_what_a_stop_takes_is_never_most_of_a_short_task() -> None:
    # Minutes of common practice, no source.
    assert stop_minutes("flush_in_place", 40, 5) == 5
    assert stop_minutes("wipe_encoder", 5, 5) == 2.5
    assert stop_minutes("nozzle_check", 3, 5) == 0
    assert stop_minutes("a task of one's own", 30, 5) == 0


@pytest.mark.parametrize(("shape", "other_per_day"), [(0.8, 0.0), (1.8, 0.002), (3.0, 0.01)])
def test_failures_read_off_the_table_are_those_worked_out_for_the_move(
    shape: float, other_per_day: float
) -> None:
    yearly = yearly_counts(shape, 200, rho=other_per_day)
    losses = KindLosses(
        "damper", ("shake_dampers",), log_failures(yearly), np.array([[0.37]]), np.zeros(1),
        np.zeros((1, 1)), np.ones(1), np.ones(1),
    )  # fmt: skip
    for exposure in (-9.3, -2.2, 0.0, 0.71, 4.4):
        exact = yearly.failures_if_moved(np.array([0.37 * exposure]))[0]
        got = losses.failures(np.array([[exposure]]))[0, 0]
        assert got == pytest.approx(exact, rel=1e-2)


def test_printers_as_one_fail_as_often_as_on_average() -> None:
    shape = np.array([2.0])
    level = together([np.array([0.0]), np.array([2 * np.log(3)])], shape)
    # One fails once, the other three times as often: twice on average, e^(level / 2).
    assert np.exp(level / 2) == pytest.approx([2.0])
