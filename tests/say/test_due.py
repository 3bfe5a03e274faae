"""What is due and what was kept, in words, on lists written by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tests.decisions.workshops import rows, workshop
from tracker.decisions.due import due_list
from tracker.say.maintenance.due import due_sentence, printer_line, task_line, weekdays
from tracker.say.maintenance.kept import month_sentence, months_sentence, shares_table
from tracker.workshop.working_days import EVERY_DAY, WorkingDays

TODAY = date(2025, 6, 11)
ROUTINE = "task every_days every_m2 printer starts_on ends_on"
DONE = "printer task done_on why"


def listed(last_shaken: str) -> pd.DataFrame:
    """Shaking every 15 days and one log entry; a task by area without a counter beside it."""
    plan = rows(
        ROUTINE, ("shake_dampers", 15, None, "", None, None), ("dust", None, 100, "", None, None)
    )
    log = rows(DONE, ("A", "shake_dampers", last_shaken, "planned"))
    return due_list(workshop(1, routines=plan, maintenance=log), TODAY)


def test_the_first_sentence_counts_the_tasks_and_names_the_longest_overdue() -> None:
    # Done on 20 May, due on 4 June; 25 minutes is common practice, no source.
    assert due_sentence(listed("2025-05-20"), TODAY) == (
        "11 Jun 2025: 1 task due on 1 printer, about 25 minutes of work; longest overdue: shake "
        "dampers, draw off air on A, 7 days late."
    )


def test_with_nothing_due_the_next_task_is_named() -> None:
    assert due_sentence(listed("2025-06-10"), TODAY) == (
        "11 Jun 2025: nothing is due; next comes shake dampers, draw off air on A, 25 Jun 2025."
    )
    assert due_sentence(listed("2025-06-10").iloc[:0], TODAY) == "11 Jun 2025: nothing is due."


def test_a_tasks_line_says_how_often_when_last_and_how_late() -> None:
    by_task = {row.task: task_line(row) for row in listed("2025-05-20").itertuples()}
    assert by_task["shake_dampers"] == (
        "Shake dampers, draw off air · 25 min · every 15 days · last done 20 May 2025 · "
        "**7 days late**"
    )
    assert by_task["dust"] == "Dust · minutes not known · every 100 m² · never logged"


def test_a_printers_line_counts_its_tasks_until_all_are_done() -> None:
    due = listed("2025-05-20").iloc[:1]
    assert printer_line("A", due) == "**A** – 1 task, about 25 minutes"
    assert printer_line("A", due.iloc[:0]) == "**A** – all done"


KEPT = pd.DataFrame(
    {
        "printer": ["A", "B", "A"],
        "task": ["stir_ink", "shake_dampers", "shake_dampers"],
        "due": [20, 4, 2],
        "in_time": [20, 1, 2],
        "late": [0, 1, 0],
        "missed": [0, 2, 0],
        "month": [date(2025, 5, 1), date(2025, 5, 1), date(2025, 6, 1)],
    }
)


def test_a_months_routine_is_said_with_what_was_kept_worst() -> None:
    assert month_sentence(KEPT) == (
        "88 % of the routine was kept: 23 of 26 due tasks were done in time. Most often late or "
        "skipped: “Shake dampers, draw off air” on B (3 of 4 times)."
    )
    assert month_sentence(KEPT.iloc[:0]) == "No routine task was due."


def test_shares_by_month_stand_worst_first_and_say_all_and_none() -> None:
    assert months_sentence(KEPT) == (
        "88 % of 26 actions due since 1 May 2025 were done in time, 1 late, 2 missed."
    )
    table = shares_table(KEPT, "printer")
    assert table.index.tolist() == ["B", "A"]
    assert table.loc["B"].tolist() == ["25 %", "25 %", "–"]
    assert table.loc["A"].tolist() == ["all", "all", "all"]


def test_the_weekdays_of_the_routine_are_told_with_how_they_are_known() -> None:
    records = workshop(1)
    assert weekdays(WorkingDays(EVERY_DAY), records) == ""
    by_log = weekdays(WorkingDays(frozenset({1, 2, 3, 4, 5})), records)
    assert by_log == (
        "Tasks fall due from Tuesday to Saturday: by the log, work is done on these days."
    )
    said = records.with_table("settings", rows("name value", ("weekdays_worked", "1 4")))
    assert weekdays(WorkingDays(frozenset({0, 3})), said) == (
        "Tasks fall due on Monday and Thursday, as set."
    )
