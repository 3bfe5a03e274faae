"""Where clocks change, times mean what they meant: expected by hand from UTC.

Europe/Berlin, 25 October 2026: at 03:00 summer time (UTC+2) clocks go back to 02:00 (UTC+1).
29 March 2026: at 02:00 (UTC+1) they go forward to 03:00 (UTC+2).
"""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from tracker.workshop.checks import notices, refusals
from tracker.workshop.clocks.changes import (
    comes_twice,
    is_between_changes,
    is_missing,
    true_time,
    true_times,
    true_times_of,
    which_pass,
    zone_named,
)
from tracker.workshop.records import Records

BERLIN = ZoneInfo("Europe/Berlin")
BACK, FORWARD = "2026-10-25", "2026-03-29"


def stoppages(*rows: tuple[str, str, str, str]) -> pd.DataFrame:
    """Rows of began at, pass, ended at, pass."""
    began, began_pass, ended, ended_pass = zip(*rows, strict=True)
    return pd.DataFrame(
        {
            "printer": "P1", "began_at": pd.to_datetime(list(began)), "began_pass": began_pass,
            "ended_at": pd.to_datetime(list(ended)), "ended_pass": ended_pass,
        }
    )  # fmt: skip


def minutes(row: tuple[str, str, str, str], zone: ZoneInfo | None = BERLIN) -> float:
    began, ended = true_times(stoppages(row), zone)
    return float((ended[0] - began[0]) / np.timedelta64(1, "m"))


@pytest.mark.parametrize(
    ("row", "lasted"),
    [
        # first 02:30 is 00:30 UTC, second 02:10 is 01:10 UTC
        ((f"{BACK} 02:30", "", f"{BACK} 02:10", ""), 40),
        ((f"{BACK} 02:30", "first", f"{BACK} 02:10", "second"), 40),
        ((f"{BACK} 02:10", "first", f"{BACK} 02:30", "first"), 20),
        ((f"{BACK} 02:10", "first", f"{BACK} 02:30", "second"), 80),
        ((f"{BACK} 02:10", "second", f"{BACK} 02:30", "second"), 20),
        ((f"{BACK} 02:10", "second", f"{BACK} 02:30", ""), 20),
        ((f"{BACK} 02:10", "", f"{BACK} 02:10", ""), 0),
        ((f"{BACK} 02:10", "second", f"{BACK} 02:10", "second"), 0),
        ((f"{BACK} 01:50", "", f"{BACK} 03:10", ""), 140),
        (("2026-10-24 12:00", "", "2026-10-26 12:00", ""), 49 * 60),
        ((f"{FORWARD} 01:50", "", f"{FORWARD} 03:10", ""), 20),
        (("2026-03-28 12:00", "", "2026-03-30 12:00", ""), 47 * 60),
        # a clock that nobody had put forward yet: 02:30 is 01:30 UTC, so 03:30 summer time
        ((f"{FORWARD} 02:30", "", f"{FORWARD} 03:40", ""), 10),
        ((f"{FORWARD} 02:10", "", f"{FORWARD} 02:30", "second"), 20),
        (("2026-07-01 08:00", "", "2026-07-01 09:30", ""), 90),
    ],
)
def test_a_stoppage_lasts_as_long_as_it_really_did(
    row: tuple[str, str, str, str], lasted: float
) -> None:
    assert minutes(row) == lasted


def test_without_a_time_zone_no_clock_changes() -> None:
    assert minutes((f"{BACK} 01:50", "", f"{BACK} 03:10", ""), None) == 80


@pytest.mark.parametrize(
    "name",
    ["Europe/Berlin", "Europe/Dublin", "America/Sao_Paulo", "Australia/Lord_Howe", "Africa/Cairo"],
)
def test_every_quarter_of_an_hour_of_two_years_agrees_with_pythons_own_reading(name: str) -> None:
    """Against datetime.astimezone, for both passes; Cairo changes at midnight, Lord Howe by half
    an hour, and Sao Paulo changed at midnight until 2019."""
    zone = ZoneInfo(name)
    first = 2017 if name == "America/Sao_Paulo" else 2025
    moments = np.arange(f"{first}-01-01", f"{first + 2}-01-01", 15, dtype="datetime64[m]")
    moments = moments.astype("datetime64[ns]")
    told = pd.to_datetime(moments).to_pydatetime()
    for fold in (0, 1):
        found = true_times_of(moments, zone, second=np.full(len(moments), bool(fold)))
        expected = [
            moment.replace(tzinfo=zone, fold=fold).astimezone(UTC).replace(tzinfo=None)
            for moment in told
        ]
        np.testing.assert_array_equal(found, np.array(expected, dtype="datetime64[ns]"))
    for moment in told[::7]:
        both = {
            moment.replace(tzinfo=zone, fold=fold).astimezone(UTC).astimezone(zone)
            .replace(tzinfo=None) for fold in (0, 1)
        }  # fmt: skip
        assert is_missing(moment, zone) == (moment not in both)


def test_which_of_two_is_said_only_where_there_are_two() -> None:
    twice, missing = datetime(2026, 10, 25, 2, 10), datetime(2026, 3, 29, 2, 10)
    plain = datetime(2026, 7, 1, 2, 10, fold=1)
    assert (comes_twice(twice, BERLIN), is_missing(twice, BERLIN)) == (True, False)
    assert (comes_twice(missing, BERLIN), is_missing(missing, BERLIN)) == (False, True)
    assert which_pass(twice, BERLIN) == "first"
    assert which_pass(twice.replace(fold=1), BERLIN) == "second"
    assert [which_pass(one, BERLIN) for one in (missing, plain)] == ["", ""]
    assert which_pass(twice, None) == ""
    assert true_time(twice.replace(fold=1), BERLIN) == datetime(2026, 10, 25, 1, 10)
    assert is_between_changes(plain, plain, BERLIN)
    assert not is_between_changes(datetime(2026, 10, 24), datetime(2026, 10, 26), BERLIN)
    assert is_between_changes(datetime(2026, 10, 24), datetime(2026, 10, 26), None)


def kept(rows: pd.DataFrame, zone: str) -> Records:
    printer = pd.DataFrame({"printer": ["P1"], "started_on": [pd.Timestamp("2026-01-05")]})
    setting = pd.DataFrame({"name": ["time_zone"], "value": [zone]})
    return Records.of({"printers": printer, "stoppages": rows, "settings": setting})


def test_going_backwards_is_possible_in_the_double_hour_alone() -> None:
    rows = stoppages((f"{BACK} 02:30", "", f"{BACK} 02:10", ""))
    assert refusals(kept(rows, "Europe/Berlin")) == []
    (refused,) = refusals(kept(rows, "America/Bogota"))
    assert "ended_at" in refused.sentence()
    for wrong in (
        (f"{BACK} 02:30", "second", f"{BACK} 02:10", "first"),
        (f"{BACK} 02:30", "", f"{BACK} 01:50", ""),
        ("2026-10-26 02:30", "", "2026-10-26 02:10", ""),
    ):
        assert len(refusals(kept(stoppages(wrong), "Europe/Berlin"))) == 1


def test_two_stoppages_in_the_two_passes_of_one_hour_do_not_overlap() -> None:
    one = (f"{BACK} 02:10", "first", f"{BACK} 02:40", "first")
    again = (f"{BACK} 02:15", "second", f"{BACK} 02:35", "second")
    assert refusals(kept(stoppages(one, again), "Europe/Berlin")) == []
    same = (f"{BACK} 02:15", "first", f"{BACK} 02:35", "first")
    assert len(refusals(kept(stoppages(one, same), "Europe/Berlin"))) == 1


def test_a_time_zone_that_does_not_exist_is_refused() -> None:
    (refused,) = refusals(kept(stoppages((BACK, "", BACK, "")), "Europe/Atlantis"))
    assert "is not the name of a time zone" in refused.sentence()
    assert zone_named("") is None
    assert zone_named("../etc/passwd") is None


def test_a_time_that_can_mean_two_is_told_of() -> None:
    rows = stoppages(
        (f"{BACK} 02:10", "", f"{BACK} 02:30", "second"),
        (f"{FORWARD} 02:10", "", f"{FORWARD} 04:00", ""),
        ("2026-07-01 02:10", "", "2026-07-01 04:00", ""),
    )
    found = [told for told in notices(kept(rows, "Europe/Berlin")) if "clocks were put" in told]
    assert len(found) == 2
    assert found[0].startswith("stoppages row 0: began_at came twice")
    assert found[1].startswith("stoppages row 1: began_at never was")
    assert not [told for told in notices(kept(rows, "")) if "clocks were put" in told]
