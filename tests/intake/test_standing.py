"""Hours beside a part change become a stoppage of that length, over on the day of the change."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.intake.sheets import read, workshop_of
from tracker.lives.stood_hours import stood_hours
from tracker.workshop.records import Records

CHANGE = "Date,Printer,Part,Why out,Hours down\n2026-03-11,Left,wiper,failed,{hours}\n"


def stops(text: str, known: Records | None = None) -> pd.DataFrame:
    records = read(text, known=known).records
    assert records is not None
    return records.stoppages


@pytest.mark.parametrize(
    ("hours", "began", "ended"),
    [
        ("2.5", "2026-03-11 00:00", "2026-03-11 02:30"),
        ("24", "2026-03-10 00:00", "2026-03-11 00:00"),
        ("30", "2026-03-10 00:00", "2026-03-11 06:00"),
        ("75", "2026-03-08 00:00", "2026-03-11 03:00"),
    ],
)
def test_it_is_as_long_as_told_and_over_on_the_day_of_the_change(
    hours: str, began: str, ended: str
) -> None:
    (stop,) = stops(CHANGE.format(hours=hours)).itertuples()
    assert (stop.began_at, stop.ended_at) == (pd.Timestamp(began), pd.Timestamp(ended))


def test_a_short_one_counts_all_its_hours_and_a_long_one_the_working_hours_of_each_day() -> None:
    for told, counted in (("2.5", [2.5]), ("30", [8.0, 6.0])):
        records = read(CHANGE.format(hours=told)).records
        assert records is not None
        assert records.number("hours_per_day") == 8
        assert stood_hours(records, date(2026, 3, 31))["hours"].tolist() == counted


def test_the_same_list_again_and_one_with_the_same_change_make_no_second_stoppage() -> None:
    known = workshop_of("Left", "Right")
    first = read(CHANGE.format(hours="3"), known=known).records
    assert first is not None
    known = known.with_table("stoppages", first.stoppages)
    pd.testing.assert_frame_equal(stops(CHANGE.format(hours="3"), known), first.stoppages)
    assert stops(CHANGE.format(hours="4"), known).empty


def test_what_was_written_down_with_its_times_counts_for_its_day() -> None:
    known = workshop_of("Left", "Right").with_table(
        "stoppages", stops(CHANGE.format(hours="3")).assign(
            began_at=pd.Timestamp("2026-03-11 09:00"), ended_at=pd.Timestamp("2026-03-11 12:00")
        ),
    )  # fmt: skip
    intake = read(CHANGE.format(hours="3"), known=known)
    assert intake.records is not None
    assert intake.records.stoppages.empty
    assert any("not added (Left, 2026-03-11)" in notice for notice in intake.notices)


def test_more_hours_than_a_year_has_are_refused() -> None:
    (refusal,) = read(CHANGE.format(hours="9000")).refusals
    assert refusal.header == "Hours down"
    assert "is more than 8784 h" in refusal.sentence()


def test_a_stop_of_a_list_counts_as_one_of_its_records() -> None:
    (piece,) = read(CHANGE.format(hours="3")).pieces
    assert piece.tables == ("fittings", "stoppages")
