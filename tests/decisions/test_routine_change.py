"""Failures before and after a change of schedule, counted by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tracker.decisions.routine_change import TIME_CHANGED_TOO, routine_changes
from tracker.models.recurrent import rate_ratio
from tracker.records.model import Records

AS_OF = date(2025, 12, 31)
ROUTINE = "task every_days every_m2 printer starts_on ends_on"
FITTING = "printer part_kind position fitted_on removed_on removal_reason last_ok_on"
TASK = "shake_dampers"


def fittings(printer: str, *removed: tuple[str, str], last: str = "") -> list[tuple[object, ...]]:
    """One damper after the other from 1 January 2025, each out on a day for a reason."""
    begun = "2025-01-01"
    found: list[tuple[object, ...]] = []
    for day, reason in removed:
        found.append((printer, "damper", "W1", begun, day, reason, last or None))
        begun = day
    found.append((printer, "damper", "W1", begun, None, "", None))
    return found


def made(routines: pd.DataFrame, *fitted: tuple[object, ...], **tables: pd.DataFrame) -> Records:
    names = sorted({str(row[0]) for row in fitted})
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, "2025-01-01") for name in names)),
            "fittings": rows(FITTING, *fitted),
            "routines": routines,
        }
        | tables
    )


def versions(task: str, before: float, after: float, day: str, printer: str = "A") -> pd.DataFrame:
    """A routine of that many days until the day, another from then on."""
    eve = pd.Timestamp(day) - pd.Timedelta(days=1)
    return rows(
        ROUTINE, (task, before, None, printer, None, eve), (task, after, None, printer, day, None)
    )


CHANGED = versions(TASK, 30, 7, "2025-07-01")
THREE_BEFORE_ONE_AFTER = fittings(
    "A", ("2025-02-01", "failed"), ("2025-03-01", "failed"), ("2025-04-01", "accident"),
    ("2025-07-01", "failed"), ("2025-07-02", "failed"),
)  # fmt: skip


def test_failures_and_days_are_counted_on_both_sides_of_the_change() -> None:
    (change,) = routine_changes(
        made(CHANGED, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK
    ).changes
    # 1 January to 1 July are 181 days, 1 July to the end of 31 December 184, of which the last
    # damper was watched to 31 December: 183. The failure on the day of the change counts before.
    assert change.changed_on == date(2025, 7, 1)
    assert (change.failures_before, change.failures_after) == (3, 1)
    assert (change.part_days_before, change.part_days_after) == (181, 183)
    known = rate_ratio(1, 183, 3, 181)
    assert change.rates == known
    assert not change.is_told


def test_the_sentence_names_the_schedules_and_the_counts() -> None:
    records = made(
        CHANGED, *THREE_BEFORE_ONE_AFTER[:-1], ("A", "damper", "W2", "2025-01-01", None, "", None),
        *fittings("A", ("2025-09-01", "failed"), ("2025-10-01", "failed"))[1:-1],
    )  # fmt: skip
    history = routine_changes(records, AS_OF, "damper", TASK)
    (said,) = history.sentences()
    assert "A, from 1 Jul 2025 every 7 days instead of every 30 days" in said
    assert "3 damper failures" in said
    assert "2 failures" in said
    assert "chance alone can do that" in said
    assert history.remarks()[0] == TIME_CHANGED_TOO
    assert any("whole year" in remark for remark in history.remarks())


def test_few_failures_get_counts_and_no_ratio() -> None:
    history = routine_changes(made(CHANGED, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK)
    (said,) = history.sentences()
    assert "3 damper failures in 181 part-days before, 1 failure in 183 after" in said
    assert "Too few failures to compare" in said
    assert "times" not in said


@pytest.mark.parametrize(
    "routines",
    [
        rows(ROUTINE, (TASK, 30, None, "A", None, None)),
        versions(TASK, 30, 30, "2025-07-01"),
        versions("stir_ink", 1, 2, "2025-07-01"),
        versions(TASK, 30, 7, "2026-01-01"),
    ],
    ids=["one version", "same pace again", "another task", "not yet"],
)  # fmt: skip
def test_nothing_is_said_where_nothing_changed(routines: pd.DataFrame) -> None:
    history = routine_changes(made(routines, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK)
    assert history.changes == ()
    assert history.sentences() == ()
    assert history.remarks() == ()


def test_a_rule_for_all_printers_that_changes_is_one_change() -> None:
    routines = versions(TASK, 30, 7, "2025-07-01", printer="")
    records = made(
        routines, *fittings("A", ("2025-03-01", "failed")), *fittings("B", ("2025-08-01", "failed"))
    )
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert change.printers == ("A", "B")
    assert (change.failures_before, change.failures_after) == (1, 1)
    assert (change.part_days_before, change.part_days_after) == (2 * 181, 2 * 183)


def test_parts_are_watched_only_from_the_begin_of_the_log() -> None:
    records = made(CHANGED, *fittings("A"), settings=setting(log_began_on="2025-05-01"))
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert change.part_days_before == 61  # May and June


def test_a_failure_found_late_counts_in_the_middle_of_where_it_can_lie() -> None:
    # Good on 11 June, found failed on 11 July: the middle, 26 June, lies before the change.
    records = made(CHANGED, *fittings("A", ("2025-07-11", "failed"), last="2025-06-11"))
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert (change.failures_before, change.failures_after) == (1, 0)


def test_a_change_that_the_log_does_not_show_is_pointed_out() -> None:
    def history(every_after: str) -> tuple[str, ...]:
        days = [*pd.date_range("2025-01-05", "2025-06-30", freq="30D")]
        days += [*pd.date_range("2025-07-01", "2025-12-31", freq=every_after)]
        log = rows("printer task done_on why", *(("A", TASK, day, "planned") for day in days))
        records = made(CHANGED, *THREE_BEFORE_ONE_AFTER, maintenance=log)
        return routine_changes(records, AS_OF, "damper", TASK).remarks()

    assert any("hardly made" in remark for remark in history("28D"))
    assert not any("hardly made" in remark for remark in history("7D"))


def test_several_changes_are_put_together_each_printer_against_itself() -> None:
    routines = pd.concat([CHANGED, versions(TASK, 7, 30, "2025-07-01", printer="B")])
    few = fittings("B", ("2025-08-01", "failed"), ("2025-09-01", "failed"))
    records = made(routines, *THREE_BEFORE_ONE_AFTER, *few)
    history = routine_changes(records, AS_OF, "damper", TASK)
    assert len(history.changes) == 2
    # Every 7 days: 1 failure in 183 days on A, none in 181 on B; every 30 days: 3 and 2.
    assert history.together is not None
    assert history.together.pairs == 2
    assert history.together.ratio == pytest.approx(0.2, abs=0.01)
    assert "All changes together" in history.sentences()[-1]
    assert history.as_dict()["shorter_against_longer"]["rate_ratio"] == history.together.ratio  # type: ignore[index]


def test_an_empty_workshop_has_no_changes() -> None:
    assert routine_changes(Records(), AS_OF, "damper", TASK).changes == ()
