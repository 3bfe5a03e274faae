"""Hours lost in the months in which clocks change; 25 October and 29 March 2026 are Sundays."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.workshop.test_clock_changes import stoppages
from tracker.lives.printer_history import printer_history
from tracker.lives.stood_hours import stood_hours
from tracker.review.happened import downtime_hours
from tracker.review.period import period_of
from tracker.workshop.records import Records


def kept(rows: pd.DataFrame) -> Records:
    printer = pd.DataFrame({"printer": ["P1"], "started_on": [pd.Timestamp("2026-01-05")]})
    settings = pd.DataFrame(
        {"name": ["time_zone", "hours_per_day"], "value": ["Europe/Berlin", "24"]}
    )
    return Records.of({"printers": printer, "stoppages": rows, "settings": settings})


@pytest.mark.parametrize(
    ("row", "by_day"),
    [
        # from 00:00 to 24:00 a Sunday of 25 and one of 23 hours; the log's entries make them worked
        (("2026-10-24 18:00", "", "2026-10-25 20:00", ""), {"2026-10-25": 21.0}),
        (("2026-10-25 01:00", "", "2026-10-26 06:00", ""), {"2026-10-25": 24.0, "2026-10-26": 6}),
        (("2026-10-25 02:30", "", "2026-10-25 02:10", ""), {"2026-10-25": 40 / 60}),
        (("2026-10-25 01:30", "", "2026-10-25 02:30", "second"), {"2026-10-25": 2.0}),
        (("2026-03-29 00:00", "", "2026-03-30 06:00", ""), {"2026-03-29": 23.0, "2026-03-30": 6}),
        (("2026-03-29 01:30", "", "2026-03-29 03:30", ""), {"2026-03-29": 1.0}),
        (("2026-03-28 22:00", "", "2026-03-29 12:00", ""), {"2026-03-29": 11.0}),
    ],
)
def test_each_day_counts_with_the_hours_it_really_had(
    row: tuple[str, str, str, str], by_day: dict[str, float]
) -> None:
    found = stood_hours(kept(stoppages(row)), date(2026, 11, 30))
    told = dict(zip(found["day"].dt.strftime("%Y-%m-%d"), found["hours"], strict=True))
    told = {day: told[day] for day in told if day in by_day}
    assert told == pytest.approx(by_day)


def test_a_months_lost_hours_are_those_really_lost() -> None:
    """October: 40 minutes in the double hour, then 21 hours to midnight. March: from Sunday's
    midnight to Monday's, 23 hours."""
    records = kept(
        stoppages(
            ("2026-03-29 00:00", "", "2026-03-30 00:00", ""),
            ("2026-10-25 02:30", "", "2026-10-25 02:10", ""),
            ("2026-10-25 03:00", "", "2026-10-26 00:00", ""),
        )
    )
    for month, hours in ((3, 23.0), (10, 21 + 40 / 60)):
        period = period_of(records, date(2026, month, 1), date(2026, 11, 30))
        lost = downtime_hours(records, period)
        lost = lost[lost["day"] >= pd.Timestamp(period.first)]
        assert lost["hours"].sum() == pytest.approx(hours)


def test_a_printers_own_page_tells_the_same_length() -> None:
    history = printer_history(
        kept(stoppages(("2026-10-25 02:30", "", "2026-10-25 02:10", ""))), date(2026, 10, 31), "P1"
    )
    (row,) = history.stoppages.itertuples()
    assert row.ended_truly - row.began_truly == pd.Timedelta(minutes=40)
    assert history.stood_days == pytest.approx(40 / 60 / 24)
