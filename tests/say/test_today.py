"""Today's sentences: what is late, the tasks due, the month's figures."""

from __future__ import annotations

import math
from datetime import date

import pandas as pd

from tracker.review.key_figures import Compared, MonthGlance
from tracker.say.today import late_orders, month_figures, month_heading, tasks_due


def test_orders_that_should_be_here_are_one_sentence() -> None:
    waiting = pd.DataFrame(
        {"part_kind": ["cap", "wiper", "pump"], "variant": ["", "", ""], "quantity": [1, 5, 1],
         "days_late": [9, 3, 0]}
    )  # fmt: skip
    assert late_orders(waiting) == (
        "Should be here by now: 1 × capping station and 5 × wiper blade, up to 9 days late."
    )
    assert late_orders(waiting.tail(1)) == ""


def test_tasks_due_are_counted_with_their_printers_and_the_longest_overdue() -> None:
    due = pd.DataFrame({"printer": ["A", "A", "B"], "days_late": [0, 4, 0]})
    assert tasks_due(due, "Mill Lane") == (
        "Mill Lane: 3 tasks due on 2 printers; the longest overdue by 4 days."
    )
    assert tasks_due(due.head(1), "") == "1 task due on 1 printer."


def test_the_month_is_told_in_two_figures_beside_what_is_usual() -> None:
    glance = MonthGlance(
        date(2026, 9, 1), True, 12, Compared(6, 20 / 3), Compared(6.8, 36.84), Compared(1060.8, 0)
    )
    assert month_heading(glance) == "September 2026, beside the mean of 12 months before"
    assert month_figures(glance, "EUR") == [
        ("Failures", "6", "usually 6.7"),
        ("Hours stood still", "6.8 h", "working hours; usually 37 h"),
        ("Cost", "1 100 €", "usually 0 €"),
    ]
    first = MonthGlance(date(2026, 9, 1), False, 0, *(Compared(1.0, math.nan) for _ in range(3)))
    assert month_heading(first) == "September 2026 so far; no whole month of the log lies before it"
    assert [usual for _, _, usual in month_figures(first, "EUR")] == ["", "working hours", ""]
