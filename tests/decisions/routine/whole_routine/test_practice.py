"""What is done now, by routine or by log; and what is never optimised away."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.routine.guard_rails import guarded
from tracker.decisions.routine.whole_routine.cases import cases, practice_of
from tracker.decisions.routine.whole_routine.practice import Practice, with_stand_ins
from tracker.say.maintenance.verdict import where_from
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules

AS_OF = date(2025, 12, 31)
ROUTINES = "task every_days printer starts_on ends_on demanded"


def actions(task: str, printer: str, every: int, days: int = 180) -> list[tuple[object, ...]]:
    """Done every so many days up to AS_OF, over the last so many days."""
    first = pd.Timestamp(AS_OF) - pd.Timedelta(days=days - 1)
    return [
        (printer, task, first + pd.Timedelta(days=back), "planned")
        for back in range(0, days, every)
    ]


def logged(*done: tuple[object, ...], **tables: pd.DataFrame) -> Records:
    maintenance = rows("printer task done_on why", *done) if done else pd.DataFrame()
    return workshop(**({"maintenance": maintenance} if done else {}), **tables).known_at(AS_OF)


@pytest.mark.parametrize(
    ("done", "told", "unkept"),
    [
        (30, 30.0, {"A": 7.0}),
        (9, 9.0, {"A": 7.0}),
        (8, 7.0, {}),  # 23 times for 25.7 meant: kept
        (4, 4.0, {"A": 7.0}),
        (90, 90.0, {"A": 7.0}),  # twice: that the log is kept the other printer says
    ],
)
def test_the_log_says_what_is_done_where_the_routine_in_force_is_not_kept(
    done: int, told: float, unkept: dict[str, float]
) -> None:
    records = logged(
        *actions("shake_dampers", "A", done),
        *actions("shake_dampers", "B", 10),
        routines=rows(
            ROUTINES,
            ("shake_dampers", 7.0, "A", "2025-01-01", None, ""),
            ("shake_dampers", 21.0, "B", "2025-01-01", "2025-06-30", ""),
        ),
    )
    practice = Practice.of(records, AS_OF, 0.0)
    assert practice.tasks == ("shake_dampers",)
    assert practice.days_on("shake_dampers") == pytest.approx({"A": told, "B": 10.0}, rel=0.03)
    assert practice.unkept("shake_dampers") == unkept


def test_one_time_that_falls_outside_of_the_half_year_makes_no_other_pace() -> None:
    done = actions("shake_dampers", "A", 30)
    monthly = rows("task every_days printer", ("shake_dampers", 30.0, "A"))
    for left, told in ((6, 30.0), (5, 30.0), (4, 30.0), (3, 60.0)):
        records = logged(*done[:left], *actions("shake_dampers", "B", 10), routines=monthly)
        found = Practice.of(records, AS_OF, 0.0).days_on("shake_dampers")
        assert found["A"] == pytest.approx(told)


def test_a_task_never_logged_is_not_done_where_other_work_is_logged() -> None:
    both = rows(
        "task every_days printer", ("shake_dampers", 7.0, ""), ("clean_wiper_cap", 3.0, "A")
    )
    found = logged(*actions("shake_dampers", "A", 7), routines=both)
    practice = Practice.of(found, AS_OF, 0.0)
    assert practice.days_on("clean_wiper_cap")["A"] == np.inf
    assert practice.unkept("clean_wiper_cap") == {"A": 3.0}
    assert not practice.is_done("clean_wiper_cap")
    # What is compared first is the routine that is meant.
    assert practice.paces("clean_wiper_cap") == [3.0]
    assert where_from(practice, "clean_wiper_cap") == "Filled in: your routine, every 3 days."
    # Nothing of the other printer is logged, so there the routine is all there is to go by.
    assert practice.days_on("shake_dampers") == {"A": 7.0, "B": 7.0}


@pytest.mark.parametrize(
    ("every", "others", "began"),
    [
        (45.0, 30, "2025-01-01"),  # due four times
        (3.0, 4, "2025-01-01"),  # no other work logged five times
        (3.0, 30, "2025-12-20"),  # due four times since it is meant to be done
    ],
)
def test_a_task_never_logged_is_taken_as_meant_where_the_log_says_too_little(
    every: float, others: int, began: str
) -> None:
    meant = rows(ROUTINES, ("clean_wiper_cap", every, "A", began, None, ""))
    records = logged(*actions("shake_dampers", "A", 6)[:others], routines=meant)
    assert Practice.of(records, AS_OF, 0.0).days_on("clean_wiper_cap")["A"] == every


def test_a_task_logged_now_and_then_is_no_task_never_logged() -> None:
    meant = rows("task every_days printer", ("clean_wiper_cap", 3.0, "A"))
    done = (*actions("shake_dampers", "A", 7), *actions("clean_wiper_cap", "B", 60))
    practice = Practice.of(logged(*done, routines=meant), AS_OF, 0.0)
    assert practice.days_on("clean_wiper_cap")["A"] == 3.0


def test_a_printer_on_which_other_tasks_are_logged_goes_without_this_one() -> None:
    weekly = rows("task every_days", ("shake_dampers", 7.0))
    elsewhere = actions("shake_dampers", "B", 7)
    noted = logged(*actions("stir_ink", "A", 30), *elsewhere, routines=weekly)
    assert Practice.of(noted, AS_OF, 0.0).days_on("shake_dampers")["A"] == np.inf
    # Where nothing of the printer is written down, the routine is all there is to go by.
    silent = logged(*elsewhere, routines=weekly)
    assert Practice.of(silent, AS_OF, 0.0).days_on("shake_dampers")["A"] == 7.0


@pytest.mark.parametrize(
    ("began", "told"),
    [
        ("2025-12-20", 7.0),  # twice meant since: too little to say else
        ("2025-10-01", 30.0),
    ],
)
def test_a_routine_is_held_against_the_log_since_it_began(began: str, told: float) -> None:
    records = logged(
        *actions("shake_dampers", "A", 30),
        *actions("shake_dampers", "B", 10),
        routines=rows(ROUTINES, ("shake_dampers", 7.0, "A", began, None, "")),
    )
    found = Practice.of(records, AS_OF, 0.0).days_on("shake_dampers")["A"]
    assert found == pytest.approx(told, rel=0.05)


def test_a_task_due_by_area_alone_is_counted_in_the_log() -> None:
    records = logged(
        *actions("flush_in_place", "A", 20),
        routines=rows("task every_days every_m2", ("flush_in_place", np.nan, 400.0)),
    )
    practice = Practice.of(records, AS_OF, 0.0)
    assert practice.days_on("flush_in_place") == {"A": pytest.approx(20.0), "B": np.inf}


def test_every_day_is_every_working_day() -> None:
    records = logged(routines=rows("task every_days", ("stir_ink", 1.0)))
    practice = Practice.of(records, AS_OF, 0.0)
    assert practice.per_day == pytest.approx(5 / 7)
    assert practice.usual_days == {"stir_ink": 1.0}


def test_closed_days_are_no_days_without_care() -> None:
    closed = rows("began_on ended_on", ("2025-07-05", "2025-10-02"))  # 90 of the last 180 days
    done = [one for one in actions("shake_dampers", "A", 5) if one[2] > pd.Timestamp("2025-10-02")]
    got = Practice.of(logged(*done, *done, closures=closed), AS_OF, 0.25)
    assert got.tasks == ("shake_dampers",)
    assert got.days_on("shake_dampers")["A"] == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("often", "paces", "filled_in"),
    [
        ((30, 60), [30, 60], "How often it is done differs: every 30 and 60 days;"),
        # Hardly apart: one pace, the one nearer the middle.
        ((30, 36), [30], "Filled in: every 30 days, as the log of the last half year has it; your"),
        ((7, 7), [7], "Filled in: your routine, every 7 days."),
        # On the other printer it is not done.
        ((7,), [7], "Filled in: your routine, every 7 days."),
    ],
)
def test_what_is_compared_first_is_what_is_done(
    often: tuple[int, ...], paces: list[float], filled_in: str
) -> None:
    task = "shake_dampers"
    done = [
        each for name, days in zip("AB", often, strict=False) for each in actions(task, name, days)
    ]
    noted = [*actions("stir_ink", "A", 7), *actions("stir_ink", "B", 7)]
    weekly = rows("task every_days", (task, 7.0))
    practice = Practice.of(logged(*done, *noted, routines=weekly), AS_OF, 0.0)
    assert practice.paces(task) == paces
    assert where_from(practice, task).startswith(filled_in)


def test_the_odd_printer_of_many_is_not_what_all_are_compared_with() -> None:
    rules = [
        ("shake_dampers", days, name)
        for name, days in zip("ABCDEFGHIJ", (2, *[7] * 4, *[14] * 4, 90), strict=True)
    ]
    records = workshop(10, routines=rows("task every_days printer", *rules))
    practice = Practice.of(records, AS_OF, 0.0)
    assert len(practice.printers) == 10
    assert practice.paces("shake_dampers") == [7, 14]


def test_a_printer_that_has_left_is_no_longer_counted() -> None:
    records = logged(routines=rows("task every_days", ("stir_ink", 1.0)))
    gone = records.printers.assign(retired_on=[pd.NaT, pd.Timestamp("2025-05-01")])
    assert Practice.of(records.with_table("printers", gone), AS_OF, 0.0).printers == ("A",)


def test_the_commonest_interval_stands_for_all_printers() -> None:
    records = logged(
        routines=rows(
            "task every_days printer",
            ("shake_dampers", 7.0, ""), ("shake_dampers", 30.0, "B"),
            ("clean_wiper_cap", 3.0, ""),
        )
    )  # fmt: skip
    usual = Practice.of(records, AS_OF, 0.0).usual_days
    assert usual == {"shake_dampers": 7.0, "clean_wiper_cap": 3.0}


def test_a_flush_of_the_head_taken_out_counts_as_one_in_place() -> None:
    records = logged(
        *actions("flush_removed", "A", 60),
        *actions("flush_in_place", "A", 30),
        routines=rows("task every_days", ("flush_in_place", 30.0)),
    )
    assert set(with_stand_ins(records).maintenance["task"]) == {"flush_in_place"}
    practice = Practice.of(records, AS_OF, 0.0)
    assert practice.besides[0] == pytest.approx([3 / 180, 0.0])
    # Once in 30 days and half a time besides, plus a half: log2 of 2.
    assert practice.exposure("flush_in_place", practice.per_day[0])[0] == pytest.approx(1.0)


def test_what_protects_people_and_what_the_maker_demands_is_kept() -> None:
    records = logged(
        *actions("polish_cover", "A", 5),
        routines=rows(
            ROUTINES,
            ("empty_waste", 7.0, "", None, None, ""),
            ("flush_in_place", 30.0, "A", None, None, "yes"),
            ("flush_in_place", 30.0, "B", None, None, "no"),
            ("shake_dampers", 15.0, "", None, "2025-06-30", "yes"),
            ("shake_dampers", 7.0, "", "2025-07-01", None, ""),
            ("nozzle_check", 1.0, "", None, None, ""),
        ),
    )
    practice = Practice.of(records, AS_OF, 0.0)
    assert guarded(records, AS_OF, practice.tasks, practice.printers) == {
        "empty_waste": "people",
        "flush_in_place": "maker",
        "nozzle_check": "no life",
        "polish_cover": "no life",
    }
    rules = RoutineSchedules(records)
    found = [rules.on("flush_in_place", name, AS_OF) for name in "AB"]
    assert [rule is not None and rule.demanded for rule in found] == [True, False]


def test_in_a_fleet_printers_cared_for_alike_stand_as_one() -> None:
    size = 80
    per_day = np.where(np.arange(size) < 60, 1 / 7, 1 / 30)[None, :]
    names = tuple(f"P{number}" for number in range(size))
    fleet = Practice(("shake_dampers",), names, per_day, np.full((1, size), np.inf),
                     np.zeros((1, size)), 5 / 7, 0.0)  # fmt: skip
    found = cases(fleet)
    assert [len(case.printers) for case in found] == [60, 20]
    assert practice_of(fleet, found).per_day == pytest.approx(np.array([[1 / 7, 1 / 30]]))
    few = Practice(fleet.tasks, names[:3], per_day[:, :3], fleet.rule_days[:, :3],
                   fleet.besides[:, :3], 5 / 7, 0.0)  # fmt: skip
    assert [case.printers for case in cases(few)] == [("P0",), ("P1",), ("P2",)]
