"""Experiments begin and end as one change each; the due list follows, the old routine returns."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from pandas.testing import assert_frame_equal

from tests.hands import by
from tracker.decisions.due import due_list
from tracker.decisions.routine.experiment.crossover import TwoIntervals, crossover
from tracker.errors import RecordError, UsageError
from tracker.intake.exchange import read_folder, write_folder
from tracker.say.maintenance.due import task_line
from tracker.store import acts
from tracker.store.database import Store
from tracker.workshop.experiments import Experiment, experiment_named
from tracker.workshop.schedules import RoutineSchedules

NOW = datetime(2026, 9, 1, 8, 0)
TASK = "shake_dampers"
PLAN = crossover(
    "Autumn", TwoIntervals(TASK, "damper", 7.0, 30.0), {"P1": True, "P2": False},
    date(2026, 9, 7), 70,
).with_note("about 12 failures expected")  # fmt: skip
MIDDLE = date(2026, 12, 1)


def every(store: Store, printer: str, day: date) -> float:
    rule = RoutineSchedules(store.records()).on(TASK, printer, day)
    assert rule is not None
    return rule.every_days


def kept(store: Store) -> Experiment:
    return experiment_named(store.records(), "Autumn")


def test_an_experiment_begins_in_one_change_and_is_taken_back_whole(workshop: Store) -> None:
    before = workshop.records()
    number = acts.start_experiment(by(workshop, now=NOW), PLAN)
    assert kept(workshop) == PLAN
    assert [every(workshop, one, date(2026, 9, 7)) for one in ("P1", "P2")] == [7, 30]
    assert [every(workshop, one, MIDDLE) for one in ("P1", "P2")] == [30, 7]
    workshop.undo(number or 0)
    assert_frame_equal(workshop.records().experiments, before.experiments)
    assert_frame_equal(workshop.records().routines, before.routines)


def test_before_and_after_it_the_old_routine_holds(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    for day in (PLAN.starts_on - timedelta(days=1), PLAN.ends_on + timedelta(days=1)):
        assert [every(workshop, one, day) for one in ("P1", "P2")] == [15, 15]


def test_the_due_list_follows_it_and_says_so(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    due = due_list(workshop.records(), MIDDLE)
    own = {row.printer: row for row in due.itertuples() if row.task == TASK}
    assert (own["P1"].every_days, own["P2"].every_days) == (30, 7)
    assert own["P2"].phase.ends_on == date(2027, 4, 4)
    assert "every 7 days · for the experiment, until 4 Apr 2027" in task_line(own["P2"])
    after = due_list(workshop.records(), PLAN.ends_on + timedelta(days=1))
    assert after.loc[after["task"] == TASK, "phase"].isna().all()


def test_ended_early_the_old_routine_is_back_and_the_undo_brings_the_plan_back(
    workshop: Store,
) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    number = acts.end_experiment(by(workshop, now=NOW), "Autumn", MIDDLE)
    ended = kept(workshop)
    assert (ended.starts_on, ended.ends_on) == (PLAN.starts_on, MIDDLE)
    assert len(ended.phases) == 4  # the last quarter is gone, the running phases are cut
    assert [every(workshop, one, MIDDLE) for one in ("P1", "P2")] == [30, 7]
    assert [every(workshop, one, MIDDLE + timedelta(days=1)) for one in ("P1", "P2")] == [15, 15]
    workshop.undo(number or 0)
    assert kept(workshop) == PLAN
    assert every(workshop, "P2", MIDDLE + timedelta(days=1)) == 7


def test_ended_before_it_began_it_leaves_nothing_behind(workshop: Store) -> None:
    before = workshop.records().routines
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    acts.end_experiment(by(workshop, now=NOW), "Autumn", date(2026, 9, 1))
    assert_frame_equal(workshop.records().routines, before)
    with pytest.raises(UsageError, match="No experiment is called"):
        kept(workshop)


def test_what_is_over_cannot_be_ended(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    with pytest.raises(RecordError, match="there is nothing left to end"):
        acts.end_experiment(by(workshop, now=NOW), "Autumn", PLAN.ends_on)


def test_a_second_experiment_meanwhile_is_refused_with_the_mend(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    with pytest.raises(RecordError, match="give this one another name"):
        acts.start_experiment(by(workshop, now=NOW), PLAN.beginning(date(2028, 1, 3)))
    other = crossover(
        "Other", TwoIntervals(TASK, "damper", 10.0, 20.0), {"P1": True}, date(2026, 10, 5), 70
    )
    with pytest.raises(RecordError, match=r"falls into Autumn.*end that one first, or begin after"):
        acts.start_experiment(by(workshop, now=NOW), other)
    assert acts.start_experiment(by(workshop, now=NOW), other.beginning(date(2027, 7, 1)))


def test_a_routine_of_the_printers_own_that_begins_meanwhile_is_in_the_way(
    workshop: Store,
) -> None:
    own = {"task": TASK, "printer": "P2", "every_days": 5, "starts_on": date(2026, 10, 1)}
    by(workshop, now=NOW).add("routines", own)
    with pytest.raises(RecordError, match=r"P2 has a routine of its own.*2026-10-01"):
        acts.start_experiment(by(workshop, now=NOW), PLAN)


def test_an_unknown_printer_is_refused(workshop: Store) -> None:
    plan = crossover(
        "Autumn", TwoIntervals(TASK, "damper", 7.0, 30.0), {"P9": True}, date(2026, 9, 7), 70
    )
    with pytest.raises(RecordError, match="There is no printer 'P9'"):
        acts.start_experiment(by(workshop, now=NOW), plan)


def test_a_printer_that_retires_leaves_the_experiment(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    later = datetime.combine(MIDDLE, NOW.time())
    number = acts.retire_printer(by(workshop, now=later), "P1", MIDDLE)
    left = kept(workshop)
    assert max(phase.ends_on for phase in left.phases if phase.printer == "P1") == MIDDLE
    assert left.ends_on == PLAN.ends_on
    workshop.undo(number or 0)
    assert kept(workshop) == PLAN


def test_a_renamed_printer_stays_in_it(workshop: Store) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    acts.rename(by(workshop, now=NOW), "printer", ["P1"], "Front")
    assert kept(workshop).printers == ("Front", "P2")
    assert every(workshop, "Front", MIDDLE) == 30


def test_the_plan_goes_out_as_spreadsheets_and_comes_back(workshop: Store, tmp_path: Path) -> None:
    acts.start_experiment(by(workshop, now=NOW), PLAN)
    write_folder(workshop.records(), tmp_path / "out")
    back = read_folder(tmp_path / "out")
    assert experiment_named(back, "Autumn") == PLAN
    assert len(back.routines) == len(workshop.records().routines)
    again = by(workshop, now=NOW).load(back, "folder")
    assert again.added.get("experiments", 0) == 0
