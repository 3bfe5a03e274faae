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


LIST = "Date,Printer,Hours down,Reason\n"


def times(frame: pd.DataFrame) -> list[tuple[str, str]]:
    return [
        (f"{row.began_at:%Y-%m-%d %H:%M}", f"{row.ended_at:%Y-%m-%d %H:%M}")
        for row in frame.itertuples()
    ]


def test_a_list_of_stoppages_may_tell_how_long_each_was() -> None:
    found = stops(
        f"{LIST}2026-03-11,Left,2.5,no film\n2026-03-12,Right,1:30,power\n2026-03-14,Left,26,jam\n"
    )
    assert times(found) == [
        ("2026-03-11 00:00", "2026-03-11 02:30"),
        ("2026-03-12 00:00", "2026-03-12 01:30"),
        ("2026-03-14 00:00", "2026-03-15 02:00"),
    ]
    assert found["cause"].tolist() == ["no film", "power", "jam"]


def test_stops_of_one_day_without_times_come_one_after_the_other() -> None:
    found = stops(f"{LIST}2026-03-11,Left,2,no film\n2026-03-11,Left,1,power\n")
    assert times(found) == [
        ("2026-03-11 00:00", "2026-03-11 02:00"),
        ("2026-03-11 02:00", "2026-03-11 03:00"),
    ]


def test_a_time_of_day_and_an_end_that_are_written_down_stay() -> None:
    found = stops(
        "Began,Ended,Printer,Downtime (min)\n2026-03-11 09:00,,Left,90\n"
        "2026-03-12 09:00,2026-03-12 10:00,Left,45\n"
    )
    assert times(found) == [
        ("2026-03-11 09:00", "2026-03-11 10:30"),
        ("2026-03-12 09:00", "2026-03-12 10:00"),
    ]
    assert found["note"].tolist() == ["", ""]


def test_a_stop_of_no_length_is_left_out_and_one_of_years_is_refused() -> None:
    intake = read(f"{LIST}2026-03-11,Left,0,false alarm\n2026-03-12,Left,1,power\n")
    assert intake.records is not None
    assert intake.records.stoppages["cause"].tolist() == ["power"]
    assert any("lasted 0 hours; it was left out" in notice for notice in intake.notices)
    (refusal,) = read(f"{LIST}2026-03-11,Left,9000,fire\n").refusals
    assert refusal.sentence().startswith("log.csv row 2, Hours down: 9000 is more than 8784 h")
