"""The days ahead on which tasks are due: counted by hand on a calendar of June 2025."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.due import OFTEN_DAYS, due_ahead
from tracker.errors import UsageError
from tracker.workshop.records import Records

TODAY = date(2025, 6, 11)  # a Wednesday


def bench(*routines: tuple[str, float], closed: tuple[str, str] | None = None) -> Records:
    """Printer A; its dampers were shaken on 9 June, nothing else was ever done."""
    plan = rows(
        "task every_days printer starts_on ends_on",
        *((task, every, "", None, None) for task, every in routines),
    )
    tables = {
        "routines": plan,
        "maintenance": rows(
            "printer task done_on why", ("A", "shake_dampers", "2025-06-09", "planned")
        ),
    }
    if closed:
        tables["closures"] = rows("began_on ended_on site printer", (*closed, "", ""))
    return workshop(1, **tables)


def days_of(ahead: pd.DataFrame, task: str) -> list[tuple[int, str]]:
    """Each occasion's number and day."""
    mine = ahead[ahead["task"] == task]
    return [
        (int(n), f"{day:%m-%d}") for n, day in zip(mine["number"], mine["falls_on"], strict=True)
    ]


def test_each_occasion_follows_the_one_before_by_the_interval() -> None:
    ahead = due_ahead(bench(("shake_dampers", 10)), TODAY, 30)
    assert days_of(ahead, "shake_dampers") == [(1, "06-19"), (2, "06-29"), (3, "07-09")]


def test_an_overdue_task_falls_on_today_and_the_next_one_follows_from_it() -> None:
    ahead = due_ahead(bench(("flush_in_place", 30)), TODAY, 31)
    assert days_of(ahead, "flush_in_place") == [(1, "06-11"), (2, "07-11")]
    assert ahead["days_late"].iloc[0] > 100  # due 30 days after 1 January


def test_a_routine_that_begins_within_these_days_has_its_occasions_from_then_on() -> None:
    begins = rows(
        "task every_days printer starts_on ends_on",
        ("shake_dampers", 10, "", "2025-06-16", None),
        ("wipe_encoder", 10, "", "2025-06-16", None),
        ("clean_rollers", 10, "", "2025-08-01", None),
    )
    log = rows("printer task done_on why", ("A", "shake_dampers", "2025-06-09", "planned"))
    ahead = due_ahead(workshop(1, routines=begins, maintenance=log), TODAY, 20)
    assert days_of(ahead, "shake_dampers") == [(1, "06-19"), (2, "06-29")]
    assert days_of(ahead, "wipe_encoder") == [(1, "06-16"), (2, "06-26")]
    assert days_of(ahead, "clean_rollers") == []


def test_what_is_due_every_few_days_is_told_once() -> None:
    often = float(OFTEN_DAYS - 1)
    ahead = due_ahead(bench(("stir_ink", often), ("wipe_encoder", OFTEN_DAYS)), TODAY, 10)
    assert len(days_of(ahead, "stir_ink")) == 1
    assert days_of(ahead, "wipe_encoder") == [(1, "06-11"), (2, "06-16"), (3, "06-21")]


def test_no_occasion_falls_on_a_closed_day() -> None:
    # Due on 19 June, closed until 22 June: 23 June, and ten days later.
    ahead = due_ahead(bench(("shake_dampers", 10), closed=("2025-06-18", "2025-06-22")), TODAY, 30)
    routine = ahead[ahead["shutdown"].isna()]
    assert days_of(routine, "shake_dampers") == [(1, "06-23"), (2, "07-03")]


def test_a_shutdown_ahead_asks_for_its_tasks_on_the_days_around_it() -> None:
    # Five closed days from Wednesday 18 June on; the last three working days before them begin on
    # Friday the 13th, and the first working day after them is Monday the 23rd.
    ahead = due_ahead(bench(("shake_dampers", 10), closed=("2025-06-18", "2025-06-22")), TODAY, 30)
    around = ahead[ahead["shutdown"].notna()]
    before, after = ([*around[[s.side == side for s in around["shutdown"]]]["falls_on"]]
                     for side in ("before", "after"))  # fmt: skip
    assert {f"{day:%m-%d}" for day in before} == {"06-13"}
    assert len(before) == 3
    assert [f"{day:%m-%d}" for day in after] == ["06-23"]
    assert set(around["number"]) == {0}


def test_days_below_zero_are_refused() -> None:
    with pytest.raises(UsageError, match="days: -1 is below 0"):
        due_ahead(bench(("shake_dampers", 10)), TODAY, -1)
