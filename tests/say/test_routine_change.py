"""Before and after a change of schedule, in sentences."""

from __future__ import annotations

import pandas as pd

from tests.decisions.routine.test_change import (
    AS_OF,
    CHANGED,
    TASK,
    THREE_BEFORE_ONE_AFTER,
    fittings,
    made,
)
from tests.decisions.workshops import rows
from tracker.decisions.routine.change import routine_changes
from tracker.say.maintenance.change import TIME_CHANGED_TOO, history_remarks, history_sentences


def test_the_sentence_names_the_schedules_and_the_counts() -> None:
    records = made(
        CHANGED, *THREE_BEFORE_ONE_AFTER[:-1], ("A", "damper", "W2", "2025-01-01", None, "", None),
        *fittings("A", ("2025-09-01", "failed"), ("2025-10-01", "failed"))[1:-1],
    )  # fmt: skip
    history = routine_changes(records, AS_OF, "damper", TASK)
    (said,) = history_sentences(history)
    assert "A, from 1 Jul 2025 every 7 days instead of every 30 days" in said
    assert "3 damper failures" in said
    assert "2 failures" in said
    assert "usual at the parts’ ages" in said
    assert "Against the usual" in said
    assert "chance alone can do that" in said
    assert history_remarks(history)[0] == TIME_CHANGED_TOO
    assert "age" in TIME_CHANGED_TOO
    assert any("whole year" in remark for remark in history_remarks(history))


def test_few_failures_get_counts_and_no_ratio() -> None:
    history = routine_changes(made(CHANGED, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK)
    (said,) = history_sentences(history)
    assert "3 damper failures in 181 part-days before, 1 failure in 183 after" in said
    assert "Too few failures to compare" in said
    assert "times" not in said


def test_a_change_that_the_log_does_not_show_is_pointed_out() -> None:
    def history(every_after: str) -> tuple[str, ...]:
        days = [*pd.date_range("2025-01-05", "2025-06-30", freq="30D")]
        days += [*pd.date_range("2025-07-01", "2025-12-31", freq=every_after)]
        log = rows("printer task done_on why", *(("A", TASK, day, "planned") for day in days))
        records = made(CHANGED, *THREE_BEFORE_ONE_AFTER, maintenance=log)
        return history_remarks(routine_changes(records, AS_OF, "damper", TASK))

    assert any("hardly made" in remark for remark in history("28D"))
    assert not any("hardly made" in remark for remark in history("7D"))
