"""Lists of events: mixed logs, change logs, sections, several tables in one sheet."""

from __future__ import annotations

from tests.intake.sheets import read, taken, workshop_of

WHY = {"log.csv|why": "planned"}


def test_a_log_of_tasks_and_changed_parts_goes_to_both_tables() -> None:
    sheet = (
        "Wann;Drucker;Was;Wer\n31.12.2025;Left;Dämpfer geschüttelt;AB\n"
        "02.01.2026;Right;Wischer gewechselt;AB\n03.01.2026;Left;Dämpfer W2 getauscht;\n"
    )
    intake = read(sheet, answers=WHY)
    assert taken(intake, "maintenance", "printer", "task", "done_on", "done_by") == [
        ("Left", "shake_dampers", "2025-12-31", "AB")
    ]
    assert taken(intake, "fittings", "printer", "part_kind", "position", "fitted_on") == [
        ("Left", "damper", "W2", "2026-01-03"),
        ("Right", "wiper", "wiper", "2026-01-02"),
    ]


def test_what_a_change_log_says_of_a_failure_is_said_of_the_part_that_came_out() -> None:
    sheet = (
        "Date;Printer;Part;Position;Reason;Supplier\n5.1.2026;Left;Damper;W1;failed;North\n"
        "15.3.2026;Left;Damper;W1;planned;South\n1.2.2026;Left;Wischer;;kaputt;\n"
    )
    columns = ("part_kind", "position", "fitted_on", "removed_on", "removal_reason", "supplier")
    assert taken(read(sheet), "fittings", *columns) == [
        ("damper", "W1", "", "2026-01-05", "failed", ""),
        ("damper", "W1", "2026-01-05", "2026-03-15", "planned", "North"),
        ("damper", "W1", "2026-03-15", "", "", "South"),
        ("wiper", "wiper", "", "2026-02-01", "failed", ""),
        ("wiper", "wiper", "2026-02-01", "", "", ""),
    ]


HISTORY = """\
Date,Printer,Part,Position,Reason,Failure,Claim,Note
2026-01-05,Left,damper,W1,,,,from the spare box
2026-02-05,Left,damper,W1,failed,,sent,leaked
2026-03-05,Left,damper,W1,,,,looked tired
2026-02-06,Left,damper,W2,failed,,,torn
2026-02-07,Left,damper,K,,clogged,,
2024-01-01,Left,cap,,,,,
"""


def test_a_note_of_a_change_goes_to_the_part_that_came_out_and_the_first_to_its_own() -> None:
    columns = ("position", "fitted_on", "removal_reason", "failure_mode", "claim", "note")
    assert taken(read(HISTORY), "fittings", *columns) == [
        ("K", "", "unknown", "clogged", "", ""),
        ("K", "2026-02-07", "", "", "", ""),
        ("W1", "2026-01-05", "failed", "", "sent", "from the spare box; leaked"),
        ("W1", "2026-02-05", "unknown", "", "", "looked tired"),
        ("W1", "2026-03-05", "", "", "", ""),
        ("W2", "", "failed", "", "", "torn"),
        ("W2", "2026-02-06", "", "", "", ""),
        ("cap", "2024-01-01", "", "", "", ""),
    ]


def test_a_note_of_a_later_change_goes_to_the_known_part_unless_that_has_its_own() -> None:
    known = read(HISTORY).records
    assert known is not None
    known = known.with_table("printers", workshop_of("Left", "Right").printers)
    later = "Date,Printer,Part,Position,Reason,Note\n2026-06-05,Left,damper,W1,failed,leaked too\n"
    columns = ("fitted_on", "removed_on", "note")
    assert taken(read(later, known=known), "fittings", *columns) == [
        ("2026-03-05", "2026-06-05", "leaked too"),
        ("2026-06-05", "", ""),
    ]
    fittings = known.fittings
    own = known.with_table("fittings", fittings.assign(note="gluey"))
    assert taken(read(later, known=own), "fittings", *columns) == [
        ("2026-03-05", "2026-06-05", "gluey"),
        ("2026-06-05", "", "leaked too"),
    ]


def test_a_first_change_without_a_reason_is_told_for_nothing_is_kept_of_what_came_out() -> None:
    told = [notice for notice in read(HISTORY).notices if "first one told" in notice]
    assert len(told) == 1
    assert told[0].startswith("1 part is the first one told of its place (Left: Damper W1)")
    mended = HISTORY.replace("W1,,,,from", "W1,unknown,,,from")
    intake = read(mended)
    assert not any("told of its place" in notice for notice in intake.notices)
    first = taken(intake, "fittings", "position", "fitted_on", "removed_on", "note")
    assert ("W1", "", "2026-01-05", "from the spare box") in first
    known = intake.records
    assert known is not None
    known = known.with_table("printers", workshop_of("Left", "Right").printers)
    again = read(HISTORY, known=known)
    assert not any("told of its place" in notice for notice in again.notices)


def test_a_printer_as_a_line_of_its_own_holds_for_the_rows_below() -> None:
    sheet = (
        "Date,Task,Why\nLeft,,\n2026-03-02,stir ink,planned\n2026-03-03,shake dampers,planned\n"
        "Right,,\n2026-03-02,stir ink,planned\nTotal,3,\n"
    )
    intake = read(sheet)
    assert taken(intake, "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-03-03"),
        ("Left", "stir_ink", "2026-03-02"),
        ("Right", "stir_ink", "2026-03-02"),
    ]
    assert [(row.row, row.text) for row in intake.set_aside] == [
        (2, "Left"), (5, "Right"), (7, "Total | 3"),
    ]  # fmt: skip


def test_several_tables_below_and_beside_each_other_are_read_each() -> None:
    below = (
        "Maintenance\nDate,Printer,Task,Reason\n2026-03-02,Left,stir ink,planned\n\n"
        "Counter\nDate,Printer,Total m2\n2026-03-02,Left,120\n"
    )
    beside = (
        "Date,Printer,Task,Reason,,Date,Printer,Total m2\n"
        "2026-03-02,Left,stir ink,planned,,2026-03-02,Left,120\n"
    )
    for sheet in (below, beside):
        intake = read(sheet)
        assert [piece.tables for piece in intake.pieces] == [("maintenance",), ("counters",)]
        assert taken(intake, "maintenance", "task", "done_on") == [("stir_ink", "2026-03-02")]
        assert taken(intake, "counters", "printer", "area_m2") == [("Left", "120")]


def test_the_header_again_a_comment_and_a_sum_are_set_aside() -> None:
    sheet = (
        "Date,Printer,Total m2\n2026-03-02,Left,120\nDate,Printer,Total m2\n"
        "2026-03-09,Left,180\nread by Ada from the screen,,\nSumme,,300\n"
    )
    intake = read(sheet)
    assert len(taken(intake, "counters", "area_m2")) == 2
    assert [(row.row, row.why) for row in intake.set_aside] == [
        (3, "the header again"),
        (5, "a comment, for nothing else stands in the row"),
        (6, "a total of other rows"),
    ]


def test_a_place_in_the_parts_cell_is_its_position() -> None:
    sheet = (
        "Printer,Part,Fitted,Removed\nLeft,W1 damper,2026-01-05,2026-02-05\nLeft,cap,2026-01-05,\n"
    )
    assert taken(read(sheet), "fittings", "part_kind", "position") == [
        ("cap", "cap"),
        ("damper", "W1"),
    ]


def test_free_words_that_mean_no_task_surely_are_asked_together_and_remembered() -> None:
    sheet = (
        "Printer,Date,What was done,Why\nLeft,2026-03-02,cleaned everything,planned\n"
        "Left,2026-03-03,stir ink,planned\nLeft,2026-03-04,looked at it,planned\n"
    )
    (question,) = read(sheet).questions
    assert question.examples == (
        '"cleaned everything" = Normal head clean',
        '"looked at it" = a word of our own',
    )
    intake = read(sheet, answers={question.key: "yes"})
    assert [row[0] for row in taken(intake, "maintenance", "task")] == [
        "head_clean", "looked at it", "stir_ink",
    ]  # fmt: skip
    again = read(sheet, "april.csv", remembered=intake.to_remember)
    assert len(taken(again, "maintenance", "task")) == 3


def test_a_list_without_a_header_is_read_by_what_stands_in_it() -> None:
    sheet = "2026-03-02;Left;stir ink;planned\n2026-03-03;Right;shake dampers;symptom\n"
    assert taken(read(sheet), "maintenance", "printer", "task", "done_on", "why") == [
        ("Left", "stir_ink", "2026-03-02", "planned"),
        ("Right", "shake_dampers", "2026-03-03", "symptom"),
    ]


def test_times_in_columns_of_their_own_are_joined_to_the_day_beside_them() -> None:
    sheet = "date,printer,reason,from,to\n2026-03-02,Left,no ink,08:00,10:30\n"
    intake = read(sheet)
    assert taken(intake, "stoppages", "printer", "began_at", "cause") == [
        ("Left", "2026-03-02", "no ink")
    ]
    assert intake.records is not None
    (row,) = intake.records.stoppages.itertuples()
    assert (str(row.began_at), str(row.ended_at)) == ("2026-03-02 08:00:00", "2026-03-02 10:30:00")
    assert "log.csv: from and to: the time of day was joined to its day." in intake.notices


def test_times_without_a_day_anywhere_are_refused_at_their_cells() -> None:
    intake = read("printer,reason,from,to\nLeft,no ink,08:00,10:30\n")
    told = [(refusal.header, refusal.value, refusal.problem) for refusal in intake.refusals]
    assert told == [("from", "08:00", "is not a day"), ("to", "10:30", "is not a day")]


def test_two_columns_of_one_name_are_told_apart_by_their_place() -> None:
    sheet = "Date,Date,Printer,Total m2\n2026-03-02,x,Left,12\n"
    intake = read(sheet)
    assert taken(intake, "counters", "read_on") == [("2026-03-02",)]
    assert [role.header for role in intake.pieces[0].unread] == ["Date (column 2)"]
