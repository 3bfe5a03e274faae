"""Files in words, before anything is kept."""

from __future__ import annotations

from tests.intake.sheets import read
from tracker.intake.questions import Question
from tracker.say.intake import (
    first_rows,
    intake_in_words,
    taken_for,
    totals,
    unread_in_words,
    what_loads,
)

SHEET = """\
November 2026 – Left
Day,Dampers shaken,Wiper changed,Weather
2,x,,sun
3,,1,rain
16,x,,sun
Total,2,1,
"""


def test_a_calendar_is_told_in_words_before_it_is_kept() -> None:
    answers = {"log.csv|why": "planned", "log.csv||1|Wiper changed": "part:wiper/"}
    intake = read(SHEET, answers=answers)
    assert intake.records is not None, intake.questions or intake.refusals
    (piece,) = intake.pieces
    assert taken_for(piece) == (
        "log.csv, rows 2 to 5: a calendar of tasks and part changes, for Left, November 2026: days "
        "go down its side, and marks stand under tasks or parts."
    )
    assert unread_in_words(piece) == [
        "Not read: “Weather” (3 cells); it is no task, part, printer or note."
    ]
    shaken = piece.roles[1]
    assert (shaken.header, shaken.role) == ("Dampers shaken", "task:shake_dampers")
    assert shaken.reason.startswith("reads like ")
    assert totals(intake.records) == [
        "1 part on 3 Nov 2026 (Left 1).",
        "2 tasks done from 2 Nov 2026 to 16 Nov 2026 (Left 2).",
    ]
    assert first_rows(intake.records) == [
        "Left: shake dampers, draw off air on 2 and 16 November 2026.",
        "Left: wiper blade put in on 3 November 2026.",
    ]
    assert intake_in_words(intake)[-1] == (
        "Set aside in log.csv, row 6 (“Total | 2 | 1”): a total of other rows."
    )


def test_the_button_counts_the_parts_that_were_in_there_already() -> None:
    sheet = (
        "Put in on,Printer,Part,Reason\n,Left,cap,\n,Left,pump,\nunknown,Left,head,\n"
        "2026-01-05,Left,cap,failed\n2026-02-05,Left,cap,failed\n"
    )
    intake = read(sheet)
    assert intake.records is not None, intake.questions or intake.refusals
    assert len(intake.records.fittings) == 5
    assert what_loads(intake.records) == (
        "Load 2 part changes and 3 parts in there already of Left, 5 January to 5 February 2026"
    )


def test_a_column_that_was_said_to_be_left_out_is_told_so() -> None:
    sheet = "Date,Printer,Task,Why,Weather\n2026-01-05,Left,stir ink,planned,sun\n"
    (piece,) = read(sheet).pieces
    (role,) = [role for role in piece.roles if role.header == "Weather"]
    (piece,) = read(sheet, answers={role.key: "leave out"}).pieces
    assert unread_in_words(piece) == ["Not read, as you said: “Weather” (1 cell)."]


def test_a_question_about_no_file_begins_without_a_colon() -> None:
    asked = Question("", "is all this right?", ("yes", "one by one"))
    assert asked.sentence() == 'is all this right? Answer "yes" or "one by one".'
