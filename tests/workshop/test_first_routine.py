"""When the tasks of a first routine fall due, from rough answers."""

from __future__ import annotations

from collections import Counter
from datetime import date

from tracker.workshop.age_guesses import NO_IDEA
from tracker.workshop.first_run.routine import LAST_DONE, FirstTask, first_due, usual_tasks

TODAY = date(2026, 10, 31)


def days_ahead(*tasks: FirstTask) -> dict[str, int]:
    return {task: (day - TODAY).days for task, day in first_due(tasks, TODAY).items()}


def test_a_task_done_today_is_due_an_interval_later() -> None:
    assert days_ahead(FirstTask("shake_dampers", 15, "Today")) == {"shake_dampers": 15}


def test_a_rough_answer_stands_for_the_middle_of_its_days() -> None:
    # This week: 1 to 7 days ago, the middle 4; this month: 8 to 30, the middle 19.
    assert days_ahead(FirstTask("clean_rollers", 30, "This week")) == {"clean_rollers": 26}
    assert days_ahead(FirstTask("clean_rollers", 30, "This month")) == {"clean_rollers": 11}


def test_an_answer_longer_ago_than_the_interval_makes_it_due_at_once() -> None:
    assert days_ahead(FirstTask("clean_wiper_cap", 3, "This month")) == {"clean_wiper_cap": 0}


def test_tasks_nobody_knows_of_are_spread_over_their_interval() -> None:
    three = [FirstTask(f"own_task_{number}", 30) for number in range(3)]
    # The middles of three thirds of 30 days.
    assert list(days_ahead(*three).values()) == [5, 15, 25]


def test_a_task_that_protects_people_is_due_at_once_where_nobody_knows() -> None:
    assert days_ahead(FirstTask("empty_waste", 7)) == {"empty_waste": 0}
    assert days_ahead(FirstTask("empty_waste", 7, "This week")) == {"empty_waste": 3}


def test_the_usual_routine_is_not_due_all_on_the_first_day() -> None:
    usual = usual_tasks()
    assert {task.last_done for task in usual} == {NO_IDEA}
    ahead = days_ahead(*usual)
    seldom = Counter(ahead[task.task] for task in usual if task.every_days >= 2)
    assert len(ahead) == 10
    assert max(seldom.values()) <= 2, "the waste tank, and one more, on one day"
    assert all(ahead[task.task] <= task.every_days for task in usual)


def test_every_answer_is_due_within_the_interval() -> None:
    for answer in LAST_DONE:
        for every in (1, 2, 7, 45):
            ahead = days_ahead(*(FirstTask(f"t{n}", every, answer) for n in range(5)))
            assert all(0 <= days <= every for days in ahead.values()), (answer, every)
