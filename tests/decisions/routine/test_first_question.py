"""Which task the page asks about first: the one whose interval moves most money."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd

from tests.decisions.routine.test_task_value import TASK, plan_with
from tests.decisions.workshops import rows, workshop
from tests.simulation.simulator import simulate_workshop
from tracker.decisions.routine.first_question import (
    LONG_LOG,
    Question,
    first_intervals,
    first_question,
    first_value,
    tasks_known,
)
from tracker.decisions.routine.task_value import task_value
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.intake.exchange import read_folder
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[3] / "sample_data"
DAY = date(2026, 10, 31)


@cache
def simulated(damper: float) -> tuple[Records, date]:
    plan = plan_with(damper, 0.0)
    records, _ = simulate_workshop(plan, np.random.default_rng(302))
    return records, plan.log_ends_on + timedelta(days=1)


def test_the_task_whose_effect_the_log_shows_goes_before_costlier_guesses() -> None:
    # In the demo only shaking dampers is told; wiper and cap, stirring and flushing are belief,
    # and belief about printheads is worth more money.
    demo = read_folder(SAMPLE)
    assert first_question(demo, DAY) == Question("shake_dampers", 7.0, 30.0)


def test_the_answer_unasked_is_the_one_asked_for() -> None:
    records, day = simulated(-0.6)
    asked = first_question(records, day)
    assert asked is not None
    assert asked.task == TASK
    unasked = first_value(records, day)
    assert unasked is not None
    same = task_value(records, day, asked.task, asked.every_days, asked.instead_of_days)
    assert unasked.saving == same.saving


def test_a_log_too_long_or_too_short_is_not_read_unasked() -> None:
    records, day = simulated(-0.6)
    times = LONG_LOG // len(records.maintenance) + 1
    log = pd.concat([records.maintenance] * times, ignore_index=True)
    assert first_value(records.with_table("maintenance", log), day) is None
    assert first_value(records, date(2023, 1, 1)) is None
    assert first_question(Records(), day) is None


def test_tasks_that_protect_a_fitted_part_come_first() -> None:
    routines = rows("task every_days", ("nozzle_check", 1), ("shake_dampers", 15), ("own_task", 9))
    records = workshop(1, routines=routines)
    assert tasks_known(records) == ("shake_dampers", "nozzle_check", "own_task")
    asked = first_question(records, date(2025, 12, 31))
    assert asked == Question("shake_dampers", 8.0, 15.0)


def test_where_routines_differ_the_shortest_is_compared_with_the_longest() -> None:
    demo = practice_now(read_folder(SAMPLE), DAY)
    assert first_intervals(demo, "shake_dampers") == (7, 30)
    # One interval for all: twice as often; every day: half as often.
    assert first_intervals(demo, "wipe_encoder") == (15, 30)
    assert first_intervals(demo, "stir_ink") == (2, 1)
    # Without a routine the trade's 15 days (common practice, no source), and twice as often.
    assert first_intervals(practice_now(Records(), DAY), "shake_dampers") == (8, 15)


def test_a_routine_that_is_not_kept_is_not_what_is_compared() -> None:
    # On one printer of the demo the rollers are cleaned every 56 days; its routine says 30.
    practice = practice_now(read_folder(SAMPLE), DAY)
    assert first_intervals(practice, "clean_rollers") == (30, 56)
