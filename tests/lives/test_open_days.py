"""Closed days: whose they are, how many lie between two days, and gaps nobody has explained."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.lives.open_days import Closures, quiet_gaps
from tracker.workshop.records import Records

PRINTERS = pd.DataFrame(
    {"printer": ["Mill", "Yard"], "started_on": "2025-01-01", "site": ["North", "South"]}
)


def closed(*rows: tuple[str, str, str, str]) -> Records:
    """Records with closures of (first day, last day, site, printer)."""
    frame = pd.DataFrame(rows, columns=["began_on", "ended_on", "site", "printer"])
    return Records.of({"printers": PRINTERS, "closures": frame})


def number(day: str) -> int:
    return int(np.datetime64(day, "D").astype(np.int64))


def test_a_closure_holds_for_the_workshop_a_site_or_one_printer() -> None:
    closures = Closures.of(
        closed(
            ("2026-08-03", "2026-08-14", "", ""),
            ("2026-05-01", "2026-05-01", "South", ""),
            ("2026-06-08", "2026-06-10", "", "Mill"),
        )
    )
    assert closures.closed_on("Mill", date(2026, 8, 3))
    assert closures.closed_on("Yard", date(2026, 8, 14))
    assert not closures.closed_on("Mill", date(2026, 8, 15))
    assert closures.closed_on("Yard", date(2026, 5, 1))
    assert not closures.closed_on("Mill", date(2026, 5, 1))
    assert closures.closed_on("Mill", date(2026, 6, 9))
    assert not closures.closed_on("Yard", date(2026, 6, 9))


@settings(max_examples=60)
@given(
    spans=st.lists(st.tuples(st.integers(0, 60), st.integers(0, 12)), min_size=1, max_size=6),
    first=st.integers(-5, 80),
    length=st.integers(0, 80),
)
def test_closed_days_are_counted_as_one_by_one(
    spans: list[tuple[int, int]], first: int, length: int
) -> None:
    day = date(2026, 1, 1)
    rows = [
        (str(day + timedelta(begin)), str(day + timedelta(begin + more)), "", "")
        for begin, more in spans
    ]
    closures = Closures.of(closed(*rows))
    start = number("2026-01-01") + first
    one_by_one = sum(
        any(begin <= first + step <= begin + more for begin, more in spans)
        for step in range(length)
    )
    counted = closures.closed_days("Mill", np.array([start]), np.array([start + length]))
    assert counted.tolist() == [one_by_one]
    days = np.arange(start, start + length)
    assert closures.is_closed("Mill", days).sum() == one_by_one


def test_days_of_printers_that_close_apart_are_counted_together_as_one_by_one() -> None:
    rows = ("2026-01-05", "2026-01-08", "", ""), ("2026-01-07", "2026-01-12", "South", "")
    closures = Closures.of(closed(*rows))
    names = ["Yard", "Mill", "Yard", "nowhere"]
    days, many = np.full(4, number("2026-01-01")), np.array([3, 6, 10, 20])
    numbers = closures.open_numbers(names)
    reached = numbers.after_open_days(days, many)
    for name, first, last, open_days in zip(names, days, reached, many, strict=True):
        lived = np.arange(first, last)
        assert (~closures.is_closed(name, lived)).sum() == open_days
    shut = [
        int(closures.is_closed(names[i], np.arange(days[i], reached[i])).sum()) for i in range(4)
    ]
    assert numbers.closed_between(days, reached).tolist() == shut == [0, 4, 8, 0]


def test_a_silent_fortnight_is_asked_about_until_it_is_written_down_as_closed() -> None:
    done = pd.DataFrame(
        {
            "printer": "Mill", "task": "stir_ink", "why": "planned",
            "done_on": ["2026-07-30", "2026-07-31", "2026-08-17", "2026-08-18"],
        }
    )  # fmt: skip
    records = Records.of({"printers": PRINTERS, "maintenance": done})
    gaps = quiet_gaps(records, date(2026, 8, 31))
    assert [(row.began_on, row.ended_on, row.days) for row in gaps.itertuples()] == [
        (pd.Timestamp("2026-08-01"), pd.Timestamp("2026-08-16"), 16)
    ]
    worked = pd.DataFrame({"name": ["worked_through"], "value": ["2026-08-01/2026-08-16"]})
    assert quiet_gaps(records.with_table("settings", worked), date(2026, 8, 31)).empty
    closure = pd.DataFrame({"began_on": ["2026-08-03"], "ended_on": ["2026-08-14"]})
    assert quiet_gaps(records.with_table("closures", closure), date(2026, 8, 31)).empty


def test_a_log_written_once_a_week_is_not_silent_in_between() -> None:
    """Every seventh day, but for a gap of 13 days and one of 27."""
    days = pd.to_datetime(
        ["2026-03-02", "2026-03-09", "2026-03-16", "2026-03-30", "2026-04-06", "2026-05-04",
         "2026-05-11"]
    )  # fmt: skip
    done = pd.DataFrame({"printer": "Mill", "task": "stir_ink", "why": "planned", "done_on": days})
    gaps = quiet_gaps(Records.of({"printers": PRINTERS, "maintenance": done}), date(2026, 5, 31))
    assert gaps["began_on"].tolist() == [pd.Timestamp("2026-04-07")]


def test_the_time_before_the_log_is_no_gap() -> None:
    """A part fitted a year before the first entry."""
    fitted = pd.DataFrame(
        {"printer": ["Mill"], "part_kind": "cap", "position": "cap", "fitted_on": ["2025-01-01"]}
    )
    done = pd.DataFrame(
        {"printer": "Mill", "task": "stir_ink", "why": "planned",
         "done_on": ["2026-02-02", "2026-02-03"]}
    )  # fmt: skip
    records = Records.of({"printers": PRINTERS, "maintenance": done, "fittings": fitted})
    assert quiet_gaps(records, date(2026, 2, 28)).empty
    began = pd.DataFrame({"name": ["log_began_on"], "value": ["2025-12-01"]})
    assert quiet_gaps(records.with_table("settings", began), date(2026, 2, 28)).empty
