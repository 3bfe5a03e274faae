"""The intervals in sentences: that of least cost, the one that breaks even, the one filled in."""

from __future__ import annotations

from tests.decisions.routine.test_interval import break_even, costs
from tests.workshop.test_schedules import DAY, SAMPLE
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.intake.exchange import read_folder
from tracker.say.maintenance.verdict import break_even_sentence, least_cost_sentence, where_from
from tracker.workshop.records import Records


def test_both_intervals_are_said_in_words() -> None:
    least = costs(*range(1, 91)).least_cost(100, 12)
    every = f"every {least.every_days:g} days"
    inside = least_cost_sentence(least, "damper failures only", (7, 30))
    assert inside.startswith(f"Least cost: {every}, 80 % sure: no other")
    assert "guess" not in inside
    assert "beyond what was done in the log" in least_cost_sentence(
        least, "damper failures only", (40, 90)
    )
    at_edge = least_cost_sentence(costs(2, 5).least_cost(1, 50), "damper failures only", (1, 9))
    assert "the end of what was tried" in at_edge
    shorter = break_even_sentence(break_even(45, 100, 12))
    assert shorter.startswith("Any shorter interval down to every ")
    assert break_even_sentence(break_even(least.every_days, 100, 12)) == (
        f"No other interval costs less than {every}."
    )
    useless = break_even_sentence(costs(*range(1, 91), effect=0.0).break_even(10, 100, 12))
    assert useless.startswith("Every longer interval tried costs less than every 10")


def test_where_the_interval_filled_in_comes_from_is_said() -> None:
    demo, none = practice_now(read_folder(SAMPLE), DAY), practice_now(Records(), DAY)
    assert where_from(demo, "shake_dampers") == (
        "Your printers' routines differ: every 7, 10, 21 and 30 days; the shortest and the longest "
        "are filled in."
    )
    assert where_from(none, "shake_dampers") == (
        "No routine is set up; 15 days is the usual interval (common practice)."
    )
    assert "only to begin with" in where_from(none, "own_task")
