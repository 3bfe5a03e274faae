"""What a month asks for: due days counted by hand on a calendar of 2026."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import pandas as pd
import pytest

from tracker.decisions.printer_month import PrinterMonth, printer_months
from tracker.errors import UsageError
from tracker.workshop.records import Records

AS_OF = date(2026, 10, 30)  # a Friday
NOVEMBER = date(2026, 11, 1)  # a Sunday


def month_of(
    routines: Sequence[dict[str, Any]],
    done: Sequence[tuple[str, str]] = (),
    **tables: pd.DataFrame,
) -> PrinterMonth:
    """November of a printer whose workshop works every day, as far as the log says."""
    actions = pd.DataFrame(done, columns=["task", "done_on"]).assign(printer="Bench", why="planned")
    records = Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["Bench"], "started_on": "2026-01-05", "channels": "K W1"}
            ),
            "routines": pd.DataFrame(list(routines)),
            "maintenance": actions,
            **tables,
        }
    )
    (one,) = printer_months(records, AS_OF, NOVEMBER)
    return one


def days_of(one: PrinterMonth, task: str) -> list[int]:
    return sorted(day.day for day in one.due[task])


def test_a_task_is_due_again_an_interval_after_each_time() -> None:
    one = month_of([{"task": "shake_dampers", "every_days": 7}], [("shake_dampers", "2026-10-29")])
    assert days_of(one, "shake_dampers") == [5, 12, 19, 26]


def test_what_is_overdue_is_due_on_the_first_day() -> None:
    one = month_of(
        [{"task": "flush_in_place", "every_days": 30}], [("flush_in_place", "2026-08-01")]
    )
    assert days_of(one, "flush_in_place") == [1]


def test_a_closed_day_moves_what_is_due_to_the_next_open_one() -> None:
    closed = pd.DataFrame({"began_on": ["2026-11-04"], "ended_on": ["2026-11-08"]})
    one = month_of(
        [{"task": "shake_dampers", "every_days": 7}], [("shake_dampers", "2026-10-29")],
        closures=closed,
    )  # fmt: skip
    assert days_of(one, "shake_dampers") == [9, 16, 23, 30]
    assert sorted(day.day for day in one.closed) == [4, 5, 6, 7, 8]


def test_a_rule_that_changes_in_mid_month_counts_from_its_day() -> None:
    one = month_of(
        [
            {"task": "shake_dampers", "every_days": 10, "ends_on": "2026-11-14"},
            {"task": "shake_dampers", "every_days": 3, "starts_on": "2026-11-15"},
        ],
        [("shake_dampers", "2026-10-26")],
    )
    assert days_of(one, "shake_dampers") == [5, 15, 18, 21, 24, 27, 30]


def test_a_rule_that_ends_leaves_the_rest_of_the_month_free() -> None:
    one = month_of(
        [{"task": "shake_dampers", "every_days": 5, "ends_on": "2026-11-12"}],
        [("shake_dampers", "2026-10-28")],
    )
    assert days_of(one, "shake_dampers") == [2, 7, 12]


def test_what_is_done_in_the_month_does_not_change_its_page() -> None:
    routine = [{"task": "shake_dampers", "every_days": 7}]
    before = month_of(routine, [("shake_dampers", "2026-10-01")])
    records = Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["Bench"], "started_on": "2026-01-05", "channels": "K W1"}
            ),
            "routines": pd.DataFrame(routine),
            "maintenance": pd.DataFrame(
                {"task": "shake_dampers", "done_on": ["2026-10-01", "2026-11-03"],
                 "printer": "Bench", "why": "planned"}
            ),
        }
    )  # fmt: skip
    (again,) = printer_months(records, date(2026, 11, 10), NOVEMBER)
    assert again.due == before.due


def test_the_most_frequent_task_stands_first() -> None:
    one = month_of(
        [{"task": "flush_in_place", "every_days": 30}, {"task": "stir_ink", "every_days": 1}]
    )
    assert list(one.due) == ["stir_ink", "flush_in_place"]


def test_without_a_routine_the_usual_tasks_stand_there_and_none_is_due() -> None:
    one = month_of([])
    assert "shake_dampers" in one.due
    assert not any(one.due.values())


def test_a_printer_that_is_not_there_is_refused_by_name() -> None:
    records = Records.of(
        {"printers": pd.DataFrame({"printer": ["Bench"], "started_on": "2026-01-05"})}
    )
    with pytest.raises(UsageError, match="'Nook' is not at work in 2026-11; at work are: Bench"):
        printer_months(records, AS_OF, NOVEMBER, "Nook")
    with pytest.raises(UsageError, match="No printer is at work in 2025-11"):
        printer_months(records, AS_OF, date(2025, 11, 1))
