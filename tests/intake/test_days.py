"""Days as people type them: read one way by the whole column, or asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import pytest

from tracker.errors import UsageError
from tracker.intake.cells.days import read_days
from tracker.intake.cells.typed import Cell


def days(column: Sequence[Cell], **more: object) -> list[str]:
    reading = read_days(column, "done_on", source="log.csv", **more)  # type: ignore[arg-type]
    assert reading.question is None
    assert reading.problems == {}
    return [str(day)[:10] for day in reading.values]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2026-03-01", "2026-03-01"),
        ("2026/3/1", "2026-03-01"),
        ("20260301", "2026-03-01"),
        ("2026-03-01T14:30:05Z", "2026-03-01"),
        ("31.12.2025", "2025-12-31"),
        ("31/12/2025", "2025-12-31"),
        ("12/31/2025", "2025-12-31"),
        ("31-12-25", "2025-12-31"),
        ("31. 12. 2025", "2025-12-31"),
        ("Mi, 31.12.2025", "2025-12-31"),
        ("Wednesday 31/12/2025", "2025-12-31"),
        ("31.12.2025 14:30", "2025-12-31"),
        ("5/5/2025", "2025-05-05"),
        ("3 Mar 2026", "2026-03-03"),
        ("03-Mar-2026", "2026-03-03"),
        ("03-Mar-26", "2026-03-03"),
        ("3. März 2026", "2026-03-03"),
        ("Mar 3, 2026", "2026-03-03"),
        ("March 3rd, 2026", "2026-03-03"),
        ("1. Mai 2026", "2026-05-01"),
        ("45717", "2025-03-01"),
        ("45717,75", "2025-03-01"),
        ("-", "NaT"),
        ("n/a", "NaT"),
        ("", "NaT"),
    ],
)
def test_each_style_is_read(typed: str, meant: str) -> None:
    assert days([typed]) == [meant]


def test_serial_numbers_count_from_1900_and_in_some_workbooks_from_1904() -> None:
    # The serial of 2000-01-01 is 36526 in the 1900 system and 35064 in the 1904 system: the
    # difference of 1462 days is documented by the makers of spreadsheet programs.
    assert days([36526.0]) == ["2000-01-01"]
    assert days([35064.0], from_1904=True) == ["2000-01-01"]


def test_one_cell_that_reads_one_way_decides_for_the_whole_column() -> None:
    assert days(["1/2/2026", "13/2/2026"]) == ["2026-02-01", "2026-02-13"]
    assert days(["1/2/2026", "2/13/2026"]) == ["2026-01-02", "2026-02-13"]
    assert days(["01.02.2026", "2026-05-06", "28.02.2026"])[0] == "2026-02-01"


@pytest.mark.parametrize("separator", ["/", ".", "-"])
def test_a_column_that_reads_both_ways_is_asked_and_never_guessed(separator: str) -> None:
    column = [separator.join(parts) for parts in (("03", "04", "2026"), ("5", "5", "2026"))]
    reading = read_days(column, "done_on", source="log.csv")
    question = reading.question
    assert question is not None
    assert question.choices == ("day first", "month first")
    assert question.key == "log.csv:done_on"
    assert question.examples == (f"{column[0]} is 2026-04-03 or 2026-03-04",)
    assert str(reading.values[0]) == "NaT"
    assert days(column, answers={"done_on": "day first"}) == ["2026-04-03", "2026-05-05"]
    assert days(column, answers={"dates": "MONTH-first"}) == ["2026-03-04", "2026-05-05"]


def test_an_answer_that_is_no_choice_is_refused() -> None:
    with pytest.raises(UsageError, match="'year' is no answer"):
        read_days(["1/2/2026"], "done_on", answers={"dates": "year"})


def test_an_answer_for_all_dates_leaves_a_column_alone_that_shows_its_order() -> None:
    assert days(["12/31/2025"], answers={"dates": "day first"}) == ["2025-12-31"]


def test_a_column_with_both_orders_is_refused_cell_by_cell() -> None:
    reading = read_days(["31/12/2025", "30/12/2025", "12/29/2025", "1/2/2025", "5/5/2025"], "d")
    assert sorted(reading.problems) == [2, 3]
    assert (
        reading.problems[2].problem == "is month first while most rows of this column are day first"
    )
    assert reading.problems[3].problem.startswith("reads both ways")
    assert reading.problems[3].mend == "write it as 2026-03-01"


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("2025-02-30", "is not a day of the calendar"),
        ("31/13/2025", "is not a day of the calendar"),
        ("0025-03-01", "is not a day of the calendar"),
        ("last spring", "is not a day"),
        ("03/2025", "is not a day"),
        ("12", "is not a day"),
        ("#####", "is what a too narrow column shows"),
        ("#N/A", "is a formula's error"),
    ],
)
def test_what_is_no_day_is_told(typed: str, problem: str) -> None:
    reading = read_days([typed, "2026-01-01"], "done_on")
    assert reading.problems[0].problem == problem
    assert list(reading.problems) == [0]


def test_times_of_day_are_kept_where_moments_are_meant() -> None:
    reading = read_days(
        [
            "31.12.2025 14:30",
            "2025-12-31T14:30:15.5",
            "Dec 31, 2025 2:30 pm",
            "2025-12-31",
            "12:00",
        ],
        "began_at",
        moments=True,
    )
    assert [str(moment) for moment in reading.values[:4]] == [
        "2025-12-31T14:30:00.000000000",
        "2025-12-31T14:30:15.500000000",
        "2025-12-31T14:30:00.000000000",
        "2025-12-31T00:00:00.000000000",
    ]
    assert reading.problems[4].problem == "is not a day"
    impossible = read_days(["2025-12-31 25:00", "2025-12-31 10:00Z"], "began_at", moments=True)
    assert "does not exist" in impossible.problems[0].problem
    assert impossible.problems[1].mend == "write the workshop's local time without it"


def test_real_dates_that_a_program_may_have_swapped_are_asked_about() -> None:
    column = [datetime(2026, 4, 3), datetime(2026, 6, 5), "31/04/2026", "25/06/2026"]
    # 31 April does not exist; 25 June shows that the text is day first.
    reading = read_days(column, "done_on", source="log.xlsx")
    assert reading.question is not None
    assert reading.question.choices == ("as they stand", "swapped")
    swapped = read_days(
        column, "done_on", source="log.xlsx", answers={reading.question.key: "swapped"}
    )
    assert [str(day)[:10] for day in swapped.values[:2]] == ["2026-03-04", "2026-05-06"]
    assert swapped.problems[2].problem == "is not a day of the calendar"
