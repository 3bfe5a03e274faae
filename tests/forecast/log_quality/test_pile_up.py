"""The days before failures, and whether entries pile up in them: every number by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, on, suspicion, year
from tracker.arrays import Array, Ints
from tracker.forecast.log_quality.failure_runs import failures_in_runs
from tracker.forecast.log_quality.pile_up import pile_ups
from tracker.forecast.log_quality.run_counts import RunCounts, run_counts
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.lives.life_table import life_table
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

THURSDAYS = (73, 143, 213, 283)


def runs(records: Records):  # type: ignore[no-untyped-def]
    known = records.known_at(AS_OF)
    failed = (life_table(known, AS_OF)["outcome"] == "failed").to_numpy(dtype=bool)
    return failures_in_runs(known, failed, "damper").all()


def plain(tasks: TaskDays) -> Callable[[str, Ints], Array]:
    """Each entry counts once."""
    return lambda task, at: tasks.done[tasks.tasks.index(task), at][None].astype(float)


def test_days_before_a_failure_are_counted_from_the_last_good_check() -> None:
    records = year({"A": WEEKLY}, {"A": (100,)})
    good = records.fittings["last_ok_on"].where(
        records.fittings["last_ok_on"].isna(), np.datetime64(on(96))
    )
    (run,) = runs(records.with_table("fittings", records.fittings.assign(last_ok_on=good)))
    # Failed on any of days 97 to 100; 96 is one day before the first of them, 83 fourteen.
    assert run.days.tolist() == [day_number(on(day)) for day in range(83, 100)]
    assert np.bincount(run.bin).tolist() == [6, 4, 7]
    assert run.failed_on.tolist() == [day_number(on(100))]


def test_failures_close_together_are_one_run_and_the_day_of_a_failure_is_in_none() -> None:
    (run,) = runs(year({"A": WEEKLY}, {"A": (100, 110)}))
    days = run.days - day_number(on(0))
    assert days.tolist() == [*range(86, 100), *range(101, 110)]
    assert run.bin[days == 101].tolist() == [2]  # nine days before the second failure
    assert run.bin[days == 99].tolist() == [0]


def test_entries_before_failures_are_set_against_the_same_weekdays_of_other_weeks() -> None:
    before = [day - 1 for day in THURSDAYS]
    records = year({"A": (*WEEKLY, *before)}, {"A": THURSDAYS}).known_at(AS_OF)
    tasks = TaskDays.of(records, AS_OF)
    rng = np.random.default_rng(1)
    counts = run_counts(tasks, ("shake_dampers",), runs(records), plain(tasks), rng)
    assert counts is not None
    # Per failure: the Wednesday and the Monday before it, and the Monday ten days before.
    assert counts.observed.tolist() == [[8, 0, 4]]
    assert counts.expected.tolist() == [[4, 0, 4]]
    (found,) = pile_ups({"damper": counts}, rng)
    assert (found.lag_days, found.entries, found.expected) == (0, 8, 4)
    # Each own week is the fullest of nine: (1/9)^4 = 0.00015.
    assert found.p_value < 0.003


def test_a_task_always_done_on_the_eve_of_failing_weekdays_is_no_pile_up() -> None:
    # Failures are found on Tuesdays, shaking is on Mondays: in every other week just the same.
    found = suspicion(year({"A": WEEKLY}, {"A": [day - 2 for day in THURSDAYS]}))
    assert found.suspects == ()
    assert found.pile_ups == ()
    assert found.lag_by_task == {"shake_dampers": 0}


@pytest.mark.parametrize("closed", [False, True])
def test_a_run_that_touches_closed_days_is_no_fair_case(closed: bool) -> None:
    from tests.decisions.workshops import rows

    tables = {"closures": rows("began_on ended_on", (on(66), on(68)))} if closed else {}
    records = year({"A": WEEKLY}, {"A": (73,)}, tables=tables).known_at(AS_OF)
    tasks = TaskDays.of(records, AS_OF)
    counts = run_counts(
        tasks, ("shake_dampers",), runs(records), plain(tasks), np.random.default_rng(1)
    )
    assert (counts is None) is closed


def test_printers_side_by_side_count_as_each_alone() -> None:
    # B came fifty days after A, and left sixty before the end of the log.
    done = {"A": (*WEEKLY, 72, 142), "B": (*range(50, 300, 5), 119)}
    failed = {"A": THURSDAYS, "B": (120, 127, 190, 250)}
    records = year(done, failed)
    came = records.printers.assign(
        started_on=pd.to_datetime([on(-100), on(50)]),
        retired_on=pd.to_datetime([None, on(304)]),
    )
    both = records.with_table("printers", came)

    def counts(printers: str) -> RunCounts:
        kept = {
            name: both.table(name)[both.table(name)["printer"].isin(list(printers))]
            for name in ("printers", "fittings", "maintenance")
        }
        known = both
        for name, frame in kept.items():
            known = known.with_table(name, frame)
        known = known.known_at(AS_OF)
        tasks = TaskDays.of(known, AS_OF)
        found = run_counts(
            tasks, ("shake_dampers",), runs(known), plain(tasks), np.random.default_rng(1)
        )
        assert found is not None
        return found

    alone, together = [counts("A"), counts("B")], counts("AB")
    assert together.times.tolist() == [*alone[0].times, *alone[1].times]
    np.testing.assert_array_equal(together.counts, np.concatenate([one.counts for one in alone]))
    # Of B, shaken every five days: its failures on days 120 and 127 are one run.
    assert len(alone[1].times) == 3
    assert alone[1].observed.sum() > 0
