"""What is due today, and how well the routine was kept."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.due import ADHERENCE_COLUMNS, COLUMNS, adherence, due_list
from tracker.errors import UsageError
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.working_days import EVERY_DAY, WorkingDays

TODAY = date(2025, 6, 11)  # a Wednesday
ROUTINE = "task every_days every_m2 printer starts_on ends_on"
DONE = "printer task done_on why"


def routine(*values: tuple[object, ...]) -> pd.DataFrame:
    return rows(ROUTINE, *values)


def done(*values: tuple[object, ...]) -> pd.DataFrame:
    return rows(DONE, *values)


def due(records: Records, as_of: date = TODAY) -> Any:
    return due_list(records, as_of).set_index(["task", "printer"])


def shaking(every: float = 15, **tables: pd.DataFrame) -> Records:
    plan = routine(("shake_dampers", every, None, "", None, None))
    return workshop(1, **({"routines": plan} | tables))


def test_a_task_falls_due_an_interval_after_it_was_last_done() -> None:
    row = due(shaking(maintenance=done(("A", "shake_dampers", "2025-05-20", "planned")))).loc[
        ("shake_dampers", "A")
    ]
    assert row["due_on"].date() == date(2025, 6, 4)
    assert row["days_late"] == 7
    assert row["last_done"].date() == date(2025, 5, 20)
    assert row["label"] == "Shake dampers, draw off air"
    assert row["minutes"] == 25  # common practice, no source


def test_an_action_for_a_symptom_counts_and_one_of_tomorrow_does_not() -> None:
    log = done(
        ("A", "shake_dampers", "2025-05-20", "planned"),
        ("A", "shake_dampers", "2025-06-10", "symptom"),
        ("A", "shake_dampers", "2025-06-12", "planned"),
    )
    row = due(shaking(maintenance=log)).loc[("shake_dampers", "A")]
    assert row["last_done"].date() == date(2025, 6, 10)
    assert row["days_late"] == -14


def test_a_task_never_done_counts_from_the_printers_first_day_or_the_logs() -> None:
    assert due(shaking()).iloc[0]["due_on"].date() == date(2025, 1, 16)
    late_log = shaking(settings=setting(log_began_on="2025-06-01"))
    row = due(late_log).iloc[0]
    assert row["due_on"].date() == date(2025, 6, 16)
    assert pd.isna(row["last_done"])


def test_a_routine_begun_today_is_due_today_and_not_late_from_before_it_began() -> None:
    plan = routine(
        ("stir_ink", 1, None, "", "2025-06-11", None),
        ("shake_dampers", 15, None, "", "2025-06-11", None),
        ("wipe_encoder", 30, None, "", "2025-06-11", None),
    )
    log = done(
        ("A", "shake_dampers", "2025-01-20", "planned"),
        ("A", "wipe_encoder", "2025-06-01", "planned"),
    )
    found = due(workshop(1, routines=plan, maintenance=log))["days_late"]
    assert found["stir_ink", "A"] == 0  # never done: due on the first day
    assert found["shake_dampers", "A"] == 0  # done five months ago, but not asked for until today
    assert found["wipe_encoder", "A"] == -20
    tomorrow = due(workshop(1, routines=plan, maintenance=log), date(2025, 6, 12))
    assert tomorrow["days_late"]["stir_ink", "A"] == 1


@pytest.mark.parametrize(
    ("last", "falls_due"),
    [
        (None, "2025-06-16"),  # never done: on its first day
        ("2025-05-01", "2025-06-16"),  # an interval ended before the routine begins
        ("2025-06-10", "2025-06-25"),  # and after it: an interval after it was done
    ],
)
def test_a_routine_that_begins_later_stands_ahead_by_when_it_was_last_done(
    last: str | None, falls_due: str
) -> None:
    plan = routine(("shake_dampers", 15, None, "", "2025-06-16", None))
    log = done(("A", "shake_dampers", last, "planned")) if last else done()
    row = due(workshop(1, routines=plan, maintenance=log)).loc[("shake_dampers", "A")]
    assert str(row["due_on"].date()) == falls_due
    assert row["days_late"] == (TODAY - date.fromisoformat(falls_due)).days < 0


def test_a_printers_own_routine_goes_before_the_one_for_all() -> None:
    plan = routine(
        ("shake_dampers", 15, None, "", None, None),
        ("shake_dampers", 30, None, "B", None, None),
    )
    found = due(workshop(2, routines=plan))
    assert found.loc[("shake_dampers", "A"), "every_days"] == 15
    assert found.loc[("shake_dampers", "B"), "every_days"] == 30


def test_only_the_version_of_a_routine_in_force_counts() -> None:
    plan = routine(
        ("shake_dampers", 15, None, "", None, "2025-03-31"),
        ("shake_dampers", 7, None, "", "2025-04-01", None),
        ("wipe_encoder", 30, None, "", None, "2025-05-31"),
        ("clean_rollers", 30, None, "", "2025-07-01", None),
    )
    found = due(workshop(1, routines=plan))
    # Rollers come in from July on; the encoder's routine is over.
    assert found.index.tolist() == [("shake_dampers", "A"), ("clean_rollers", "A")]
    assert found.iloc[0]["every_days"] == 7
    assert due(workshop(1, routines=plan), date(2025, 3, 1)).iloc[0]["every_days"] == 15


def test_area_decides_where_the_routine_says_so() -> None:
    plan = routine(("flush_in_place", None, 100, "", None, None))
    # 10 m² a day throughout: 100 m² were printed by 11 May after the flush on 1 May.
    counters = rows(
        "printer read_on area_m2", ("A", "2025-05-01", 0), ("A", "2025-05-31", 300),
        ("A", "2025-06-11", 410),
    )  # fmt: skip
    log = done(("A", "flush_in_place", "2025-05-01", "planned"))
    row = due(workshop(1, routines=plan, counters=counters, maintenance=log)).iloc[0]
    assert row["due_on"].date() == date(2025, 5, 11)
    assert row["days_late"] == 31
    assert row["area_since_m2"] == pytest.approx(410)
    ahead = done(("A", "flush_in_place", "2025-06-07", "planned"))
    row = due(workshop(1, routines=plan, counters=counters, maintenance=ahead)).iloc[0]
    # 40 m² printed since, 60 to go at 10 m² a day.
    assert row["due_on"].date() == date(2025, 6, 17)


def test_without_counter_readings_an_area_routine_has_no_due_day() -> None:
    plan = routine(("flush_in_place", None, 100, "", None, None))
    row = due(workshop(1, routines=plan)).iloc[0]
    assert pd.isna(row["due_on"])
    assert np.isnan(row["days_late"])


def test_with_both_measures_the_earlier_counts() -> None:
    plan = routine(("flush_in_place", 30, 100, "", None, None))
    counters = rows("printer read_on area_m2", ("A", "2025-05-01", 0), ("A", "2025-06-11", 41))
    log = done(("A", "flush_in_place", "2025-05-01", "planned"))
    row = due(workshop(1, routines=plan, counters=counters, maintenance=log)).iloc[0]
    assert row["due_on"].date() == date(2025, 5, 31)


def daily_log(last: str, skipped: tuple[str, ...] = ()) -> pd.DataFrame:
    days = pd.bdate_range("2025-04-01", last)
    kept = [day for day in days if str(day.date()) not in skipped]
    return done(*(("A", "stir_ink", day, "planned") for day in kept))


def stirring(log: pd.DataFrame) -> Records:
    return workshop(1, routines=routine(("stir_ink", 1, None, "", None, None)), maintenance=log)


def test_a_daily_task_is_not_late_on_monday_where_nobody_works_at_weekends() -> None:
    records = stirring(daily_log("2025-06-06"))  # a Friday
    assert WorkingDays.of(records, TODAY).weekdays == {0, 1, 2, 3, 4}
    assert due(records, date(2025, 6, 8)).iloc[0]["days_late"] == -1
    assert due(records, date(2025, 6, 9)).iloc[0]["days_late"] == 0
    assert due(records, date(2025, 6, 10)).iloc[0]["days_late"] == 1


def test_with_a_short_log_every_day_is_a_working_day() -> None:
    assert len(WorkingDays.of(workshop(), TODAY, unknown=EVERY_DAY).weekdays) == 7


def test_retired_printers_and_printers_of_tomorrow_have_nothing_due() -> None:
    printers = rows(
        "printer started_on retired_on", ("A", "2025-01-01", "2025-06-01"),
        ("B", "2025-07-01", None), ("C", "2025-01-01", "2025-08-01"),
    )  # fmt: skip
    records = shaking().with_table("printers", printers)
    assert due(records).index.get_level_values("printer").tolist() == ["C"]


def test_own_minutes_replace_the_usual_ones_and_an_own_task_needs_no_vocabulary() -> None:
    noted = [("A", "shake_dampers", f"2025-05-0{n}", "planned", 40 + n) for n in (1, 2, 3)]
    log = rows("printer task done_on why minutes", *noted)
    plan = routine(("shake_dampers", 15, None, "", None, None), ("dust", 30, None, "", None, None))
    found = due(workshop(1, routines=plan, maintenance=log))
    assert found.loc[("shake_dampers", "A"), "minutes"] == 42
    assert found.loc[("dust", "A"), "label"] == "Dust"
    assert np.isnan(found.loc[("dust", "A"), "minutes"])


def test_cautions_stand_beside_the_tasks_and_the_latest_comes_first() -> None:
    plan = routine(*((task, 30, None, "", None, None) for task in words.BUILT_IN_TASKS))
    found = due_list(workshop(2, routines=plan), TODAY)
    assert tuple(found.columns) == COLUMNS
    for task, cautions in zip(found["task"], found["cautions"], strict=True):
        assert cautions == words.TASKS[task].cautions
        assert set(cautions) <= set(words.CAUTIONS)
    assert found["days_late"].is_monotonic_decreasing


def test_no_routine_or_no_printer_gives_an_empty_list() -> None:
    assert due_list(workshop(), TODAY).empty
    assert due_list(Records(), TODAY).empty


def kept(records: Records, start: str, end: str) -> Any:
    last = date.fromisoformat(end)
    found = adherence(records.known_at(last), date.fromisoformat(start), last)
    assert tuple(found.columns) == ADHERENCE_COLUMNS
    return found.set_index(["printer", "task"])


def test_a_daily_task_skipped_twice_is_missed_twice() -> None:
    records = stirring(daily_log("2025-06-30", skipped=("2025-06-04", "2025-06-05")))
    row = kept(records, "2025-06-02", "2025-06-27").iloc[0]
    assert row[["due", "in_time", "late", "missed"]].tolist() == [20, 18, 0, 2]
    assert row["share"] == pytest.approx(0.9)


def test_a_fifth_of_the_interval_is_grace_and_beyond_it_is_late() -> None:
    log = done(
        ("A", "shake_dampers", "2025-03-01", "planned"),
        ("A", "shake_dampers", "2025-03-19", "planned"),  # due 16th, 3 days' grace: in time
        ("A", "shake_dampers", "2025-04-07", "planned"),  # due 3rd, grace to the 6th: late
        ("A", "shake_dampers", "2025-04-15", "planned"),  # early: in time
    )
    row = kept(shaking(maintenance=log), "2025-03-02", "2025-04-20").iloc[0]
    assert row[["due", "in_time", "late", "missed"]].tolist() == [3, 2, 1, 0]


def test_a_task_left_undone_is_missed_once_for_every_interval() -> None:
    log = done(("A", "shake_dampers", "2025-03-01", "planned"))
    # Due on 16 and 31 March and 15 April; 30 April is still open on its own day.
    row = kept(shaking(maintenance=log), "2025-03-02", "2025-04-30").iloc[0]
    assert row[["due", "missed"]].tolist() == [3, 3]


def test_what_was_done_after_the_period_does_not_change_it() -> None:
    log = [("A", "shake_dampers", "2025-03-01", "planned")]
    later = [*log, ("A", "shake_dampers", "2025-05-03", "planned")]
    before = kept(shaking(maintenance=done(*log)), "2025-03-02", "2025-04-30")
    after = kept(shaking(maintenance=done(*later)), "2025-03-02", "2025-04-30")
    pd.testing.assert_frame_equal(before, after)


@pytest.mark.parametrize("first_ends", ["2025-03-31", None])
def test_a_change_of_routine_is_followed_from_its_first_day(first_ends: str | None) -> None:
    plan = routine(
        ("shake_dampers", 30, None, "", None, first_ends),
        ("shake_dampers", 7, None, "", "2025-04-01", None),
    )
    log = done(("A", "shake_dampers", "2025-03-15", "planned"))
    # Under the old rule due 14 April; the new one asks for it on its first day, then weekly:
    # 1, 8, 15 and 22 April are missed, 29 April is in its grace until the 30th.
    row = kept(workshop(1, routines=plan, maintenance=log), "2025-04-01", "2025-04-29").iloc[0]
    assert row[["due", "missed"]].tolist() == [4, 4]


def test_a_pause_in_the_routine_is_not_counted_against_anyone() -> None:
    plan = routine(
        ("shake_dampers", 10, None, "", None, "2025-02-28"),
        ("shake_dampers", 10, None, "", "2025-05-01", None),
    )
    found = adherence(workshop(1, routines=plan), date(2025, 3, 1), date(2025, 5, 5))
    assert found.empty


def test_an_end_before_the_start_is_refused() -> None:
    with pytest.raises(UsageError, match="swap them"):
        adherence(workshop(), date(2025, 2, 1), date(2025, 1, 1))
