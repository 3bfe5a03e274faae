"""Nothing is due or missed on closed days, and what is due around a shutdown; by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.due import adherence, due_list
from tracker.workshop.records import Records

# August 2025: the workshop is closed from Monday the 4th to Friday the 15th, and works on
# Mondays to Fridays.
SHUT = rows("began_on ended_on", ("2025-08-04", "2025-08-15"))
DAILY = rows("task every_days starts_on", ("stir_ink", 1, "2025-06-02"))
WEEKLY = rows("task every_days starts_on", ("empty_waste", 7, "2025-06-02"))


def open_days(first: str, last: str, *, but: tuple[str, ...] = ()) -> list[str]:
    days = pd.bdate_range(first, last)
    shut = (days >= "2025-08-04") & (days <= "2025-08-15")
    return [str(day.date()) for day in days[~shut] if str(day.date()) not in but]


def done(task: str, days: list[str]) -> pd.DataFrame:
    return rows("printer task done_on why", *(("A", task, day, "planned") for day in days))


def made(routine: pd.DataFrame, *log: pd.DataFrame, shut: pd.DataFrame = SHUT) -> Records:
    return workshop(1, routines=routine, maintenance=pd.concat(log), closures=shut)


def kept(records: Records, first: date, last: date) -> tuple[int, int, int]:
    """Due, late and missed of the printer's task."""
    table = adherence(records.known_at(last), first, last)
    return tuple(int(table[name].sum()) for name in ("due", "late", "missed"))  # type: ignore[return-value]


AUGUST = date(2025, 8, 1), date(2025, 8, 31)


def test_a_shutdown_calls_nothing_missed() -> None:
    """Stirred on every open day: the 1st and the ten working days from the 18th to the 29th."""
    log = done("stir_ink", open_days("2025-06-02", "2025-08-29"))
    assert kept(made(DAILY, log), *AUGUST) == (11, 0, 0)
    without = made(DAILY, log, shut=SHUT.iloc[:0])
    assert kept(without, *AUGUST)[2] > 0


@pytest.mark.parametrize(
    "left_out", [(), ("2025-08-20",), ("2025-08-18", "2025-08-19"), ("2025-08-26", "2025-08-27")]
)
def test_adherence_is_that_of_the_same_log_without_the_shutdown(left_out: tuple[str, ...]) -> None:
    """The days after the shutdown move back by its fortnight, so weekdays stay weekdays."""
    days = open_days("2025-06-02", "2025-08-29", but=left_out)
    moved = [
        day if day < "2025-08-04" else str((pd.Timestamp(day) - pd.Timedelta(days=14)).date())
        for day in days
    ]
    with_shutdown = made(DAILY, done("stir_ink", days))
    cut = made(DAILY, done("stir_ink", moved), shut=SHUT.iloc[:0])
    assert kept(with_shutdown, *AUGUST) == kept(cut, AUGUST[0], date(2025, 8, 17))


def test_a_weekly_task_is_due_on_the_first_open_day_and_late_only_by_open_days() -> None:
    """Emptied on 30 July, due in the shutdown: on Monday the 18th, in time until the 19th."""
    before = done("empty_waste", ["2025-07-16", "2025-07-23", "2025-07-30"])
    stirred = done("stir_ink", open_days("2025-06-02", "2025-08-29"))
    records = made(WEEKLY, before, stirred)
    row = due_list(records, date(2025, 8, 18)).set_index("task").loc["empty_waste"]
    assert (row["due_on"], row["days_late"]) == (pd.Timestamp("2025-08-18"), 0)
    for day, expected in (("2025-08-19", (1, 0, 0)), ("2025-08-20", (1, 1, 0))):
        told = made(WEEKLY, before, done("empty_waste", [day]), stirred)
        assert kept(told, date(2025, 8, 1), date(2025, 8, 22)) == expected


def test_what_was_overdue_before_the_shutdown_is_not_later_for_it() -> None:
    """Due on Thursday 31 July and never done: on the 18th it is late by four open days."""
    log = done("empty_waste", ["2025-07-24"])
    stirred = done("stir_ink", open_days("2025-06-02", "2025-08-29"))
    records = made(WEEKLY, log, stirred)
    late = due_list(records, date(2025, 8, 18)).set_index("task").loc["empty_waste"]
    # 1, 2, 3, 16, 17 and 18 August are not closed.
    assert late["days_late"] == 6


def test_on_a_closed_day_nothing_is_due() -> None:
    records = made(DAILY, done("stir_ink", open_days("2025-06-02", "2025-07-31")))
    listed = due_list(records, date(2025, 8, 6))
    assert (listed["days_late"] < 0).all()
    assert set(listed["due_on"]) == {pd.Timestamp("2025-08-18")}


@pytest.mark.parametrize(
    ("day", "asked"),
    [
        (date(2025, 7, 29), False),  # Tuesday: the fourth working day before
        (date(2025, 7, 30), True),
        (date(2025, 8, 1), True),
        (date(2025, 8, 6), False),
    ],
)
def test_in_the_three_working_days_before_a_shutdown_a_flush_is_offered(
    day: date, asked: bool
) -> None:
    """Common practice, no source."""
    records = made(DAILY, done("stir_ink", open_days("2025-06-02", "2025-07-29")))
    listed = due_list(records, day)
    offered = listed[listed["shutdown"].notna()]
    flushes = offered[offered["task"].str.startswith("flush")]
    assert len(flushes) == asked
    if asked:
        assert (flushes["days_late"] == 0).all()
        assert flushes["shutdown"].iloc[0].began_on == date(2025, 8, 4)
        assert listed.index[listed["shutdown"].notna()].max() == len(offered) - 1  # they come first


def test_a_flush_done_for_the_shutdown_is_not_offered_again() -> None:
    stirred = done("stir_ink", open_days("2025-06-02", "2025-07-31"))
    flushed = [
        done(task, ["2025-07-31"])
        for task in ("flush_before_shutdown", "flush_in_place", "clean_wiper_cap",
                     "keep_tank_third")
    ]  # fmt: skip
    listed = due_list(made(DAILY, stirred, *flushed), date(2025, 8, 1))
    assert listed["shutdown"].isna().all()


def test_after_a_shutdown_the_nozzle_check_comes_first() -> None:
    """Common practice, no source."""
    records = made(DAILY, done("stir_ink", open_days("2025-06-02", "2025-08-01")))
    first = due_list(records, date(2025, 8, 18)).iloc[0]
    assert (first["task"], first["shutdown"].side, first["days_late"]) == (
        "nozzle_check",
        "after",
        0,
    )
    assert due_list(records, date(2025, 8, 19))["shutdown"].isna().all()


def test_a_long_weekend_is_no_shutdown() -> None:
    shut = rows("began_on ended_on", ("2025-08-01", "2025-08-04"))
    records = made(DAILY, done("stir_ink", open_days("2025-06-02", "2025-07-30")), shut=shut)
    assert due_list(records, date(2025, 7, 31))["shutdown"].isna().all()
