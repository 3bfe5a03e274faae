"""Missing nozzles with the channels across, and sheets that nobody has filled in yet."""

from __future__ import annotations

from tests.intake.sheets import read, taken
from tracker.intake.pieces import LEAVE_OUT

COLUMNS = ("printer", "checked_on", "position", "channel", "missing_nozzles")


def test_each_number_under_a_channel_is_a_check_and_a_dash_is_none() -> None:
    intake = read("Date,Printer,Head,K,W1,W2\n2026-03-02,Left,H1,0,4,-\n2026-03-09,Right,H1,2,,0\n")
    assert intake.questions == ()
    assert taken(intake, "nozzle_checks", *COLUMNS) == [
        ("Left", "2026-03-02", "H1", "K", "0"),
        ("Left", "2026-03-02", "H1", "W1", "4"),
        ("Right", "2026-03-09", "H1", "K", "2"),
        ("Right", "2026-03-09", "H1", "W2", "0"),
    ]


def test_the_head_of_each_check_stands_in_a_column_of_its_own() -> None:
    sheet = "March 2026 Left\nDay,Head,W1,W\n2026-03-02,H2,3,1\n2026-03-17,H1,0,0\n"
    assert taken(read(sheet), "nozzle_checks", *COLUMNS) == [
        ("Left", "2026-03-02", "H2", "W", "1"),
        ("Left", "2026-03-02", "H2", "W1", "3"),
        ("Left", "2026-03-17", "H1", "W", "0"),
        ("Left", "2026-03-17", "H1", "W1", "0"),
    ]


def test_a_count_that_is_no_whole_number_is_refused_at_its_place() -> None:
    intake = read("Date,Printer,Head,K,W1\n2026-03-02,Left,H1,0,1\n2026-03-09,Left,H1,2.5,1\n")
    assert [(r.row, r.header, r.value) for r in intake.refusals] == [(3, "K", "2.5")]


def test_days_under_channels_are_still_changes_of_dampers() -> None:
    intake = read("Printer,K,W1\nLeft,2026-03-02,2026-03-05\nRight,2026-03-03,2026-03-06\n")
    assert [piece.tables for piece in intake.pieces] != [("nozzle_checks",)]
    assert intake.records is None or intake.records.nozzle_checks.empty


def test_a_calendar_nobody_has_marked_holds_nothing() -> None:
    sheet = "March 2026 Left\nDay,Shake dampers,White stirred,Why\n1,,,planned\n2,,,planned\n"
    intake = read(sheet)
    assert (intake.questions, intake.refusals) == ((), ())
    assert intake.records is not None
    assert intake.records.maintenance.empty


def test_headings_with_nothing_below_them_ask_nothing() -> None:
    intake = read("Date,Printer,Remarks of the shift\n")
    assert intake.questions == ()
    assert [(piece.layout, piece.reason) for piece in intake.pieces] == [
        (LEAVE_OUT, "nothing stands below these headings")
    ]


def test_one_file_has_one_order_of_day_and_month_and_says_so() -> None:
    sheet = (
        "Left\n\nDay,Shake dampers,White stirred,Why\n11/3/2026,,,planned\n12/3/2026,x,,planned\n"
        "13/3/2026,,,planned\n\nLeft\n\nDate,Printer,Counter m2\n4/5/2026,Left,120\n"
    )
    intake = read(sheet)
    assert intake.questions == ()
    assert taken(intake, "maintenance", "done_on") == [("2026-03-12",)]
    assert taken(intake, "counters", "read_on") == [("2026-05-04",)]
    assert "log.csv: days are read day first, as its days in order show." in intake.notices
