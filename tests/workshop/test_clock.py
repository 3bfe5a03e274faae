"""A clock is doubted before the newest entry and long after it, and only there."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import pytest

from tests.workshop.small_workshop import small_workshop
from tracker.workshop.clocks.doubt import clock_doubt
from tracker.workshop.records import Records

NEWEST = date(2026, 8, 20)


def written_until(newest: date, **settings: str) -> Records:
    counters = pd.DataFrame(
        {"printer": ["P1"], "read_on": [pd.Timestamp(newest)], "area_m2": [10.0]}
    )
    pairs = pd.DataFrame(settings.items(), columns=["name", "value"], dtype=object)
    return Records.of({"counters": counters, "settings": pairs})


@pytest.mark.parametrize(
    ("days", "kind"), [(-1, "before"), (0, None), (60, None), (61, "long_after")]
)
def test_a_day_is_doubted_before_the_newest_entry_and_sixty_days_after(
    days: int, kind: str | None
) -> None:
    doubt = clock_doubt(written_until(NEWEST), NEWEST + timedelta(days=days))
    assert (doubt.kind if doubt else None) == kind
    if doubt:
        assert doubt.days == abs(days)


def test_invented_data_and_an_empty_workshop_have_no_clock_to_doubt() -> None:
    assert clock_doubt(written_until(NEWEST, demo="yes"), date(2030, 1, 1)) is None
    assert clock_doubt(Records(), date(2030, 1, 1)) is None


def test_a_printer_begun_with_today_shows_that_the_clock_is_right() -> None:
    old, today = written_until(NEWEST), date(2027, 3, 1)
    assert clock_doubt(old, today) is not None
    begun = pd.DataFrame({"printer": ["P2"], "started_on": [pd.Timestamp(today)]})
    assert clock_doubt(old.with_table("printers", begun), today) is None


def test_closed_days_ahead_are_no_newest_entry() -> None:
    closed = pd.DataFrame(
        {"began_on": [pd.Timestamp("2027-01-01")], "ended_on": [pd.Timestamp("2027-01-06")]}
    )
    records = small_workshop()
    records = Records.of({**{t: records.table(t) for t in ("printers", "counters")},
                          "closures": closed})  # fmt: skip
    last = records.last_day()
    assert last is not None
    assert clock_doubt(records, last) is None
