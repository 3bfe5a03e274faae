"""Wide sheets: parts across, printers or positions down, and parts down with printers across."""

from __future__ import annotations

from tests.intake.sheets import read, taken, workshop_of

WIDE = """\
Printer,Installed head,Dampers changed,Wiper
Left,12.01.2026,3.3.2026,14.04.2026
Right,2.2.2026,,30.5.2026
"""
PART = ("printer", "part_kind", "position", "fitted_on")


def test_one_row_per_printer_and_one_column_per_part() -> None:
    rows = taken(read(WIDE), "fittings", *PART)
    places = ("C", "K", "M", "W1", "W2", "Y")
    dampers = [("Left", "damper", place, "2026-03-03") for place in places]
    assert rows == [
        *dampers,
        ("Left", "head", "H1", "2026-01-12"),
        ("Left", "wiper", "wiper", "2026-04-14"),
        ("Right", "head", "H1", "2026-02-02"),
        ("Right", "wiper", "wiper", "2026-05-30"),
    ]


def test_dampers_without_a_place_are_the_whole_set_and_that_is_said() -> None:
    said = "dampers of Left without a place were taken for all of them (C M Y K W1 W2)."
    assert any(said in notice for notice in read(WIDE).notices)


def test_where_no_channels_are_written_down_the_places_are_asked() -> None:
    known = workshop_of("Left", "Right", channels="")
    (question,) = read(WIDE, known=known).questions
    assert question.key == "log.csv|places|damper"
    answered = read(WIDE, answers={question.key: "C M Y K W"}, known=known)
    places = [row[2] for row in taken(answered, "fittings", *PART) if row[1] == "damper"]
    assert places == ["C", "K", "M", "W", "Y"]


def test_a_row_for_each_change_of_a_printer_ends_the_one_before() -> None:
    sheet = "Printer,Wiper changed\nLeft,2026-01-05\nLeft,2026-03-05\n"
    rows = taken(read(sheet), "fittings", "fitted_on", "removed_on", "removal_reason")
    assert rows == [("2026-01-05", "2026-03-05", "unknown"), ("2026-03-05", "", "")]


def test_a_cell_may_hold_several_days() -> None:
    sheet = "Printer;Wiper changed\nLeft;5.1.2026, 15.3.2026\n"
    rows = taken(read(sheet), "fittings", "fitted_on", "removed_on")
    assert rows == [("2026-01-05", "2026-03-15"), ("2026-03-15", "")]


def test_parts_down_and_printers_across() -> None:
    sheet = "Part,Left,Right\nHead,12.01.2026,13.2.2026\nDamper W1,3.3.2026,\nWiper,,1.5.2026\n"
    assert taken(read(sheet), "fittings", *PART) == [
        ("Left", "damper", "W1", "2026-03-03"),
        ("Left", "head", "H1", "2026-01-12"),
        ("Right", "head", "H1", "2026-02-13"),
        ("Right", "wiper", "wiper", "2026-05-01"),
    ]


def test_one_row_per_position_and_numbered_changes() -> None:
    sheet = (
        "Printer,Part,Position,Changed 1,Changed 2\n"
        "Left,damper,W1,2026-01-05,2026-04-05\nLeft,damper,W2,2026-02-05,\n"
    )
    rows = taken(read(sheet), "fittings", "position", "fitted_on", "removed_on")
    assert rows == [
        ("W1", "2026-01-05", "2026-04-05"),
        ("W1", "2026-04-05", ""),
        ("W2", "2026-02-05", ""),
    ]


def test_channels_alone_are_likely_dampers_and_asked() -> None:
    sheet = "Printer,W1,W2\nLeft,2026-03-01,2026-03-02\n"
    (question,) = read(sheet).questions
    assert question.examples == ("W1 = Damper changed (W1)", "W2 = Damper changed (W2)")
    answered = read(sheet, answers={question.key: "yes"})
    assert taken(answered, "fittings", "part_kind", "position") == [
        ("damper", "W1"),
        ("damper", "W2"),
    ]


def test_one_row_per_printer_and_month_asks_what_its_numbers_are() -> None:
    sheet = "Printer,Month,Wiper,Head\nLeft,March 2026,14,\nLeft,April 2026,,3\n"
    (question,) = read(sheet).questions
    assert question.choices[0] == "the day of the month"
    days = read(sheet, answers={question.key: "the day of the month"})
    assert taken(days, "fittings", "part_kind", "fitted_on") == [
        ("head", "2026-04-03"),
        ("wiper", "2026-03-14"),
    ]
    counts = read(sheet, answers={question.key: "how many, the day not known"})
    assert taken(counts, "fittings", "part_kind", "fitted_on", "note")[0] == (
        "head", "2026-04-15", "only the month is known",
    )  # fmt: skip


def test_a_day_that_cannot_be_read_is_refused_at_its_cell() -> None:
    (refusal,) = read(WIDE.replace("14.04.2026", "31.04.2026")).refusals
    assert (refusal.row, refusal.header, refusal.value) == (2, "Wiper", "31.04.2026")
    assert refusal.sentence().startswith("log.csv row 2, Wiper: 31.04.2026 is not a day")


def test_days_on_which_a_part_came_out_are_not_proposed_as_a_part_put_in() -> None:
    sheet = "Machine,Head in,Head out\nLeft,2026-01-12,2026-06-03\nLeft,2026-06-03,\n"
    (question,) = read(sheet).questions
    assert (question.column, question.suggested) == ("Head out", "leave out")
    intake = read(sheet, answers={question.key: question.suggested})
    assert taken(intake, "fittings", "fitted_on", "removed_on") == [
        ("2026-01-12", "2026-06-03"),
        ("2026-06-03", ""),
    ]
