"""Names of printers: same letters are taken, likenesses asked once, new ones offered."""

from __future__ import annotations

import pytest

from tests.intake.sheets import read, taken, workshop_of
from tracker.intake.names import EVERY, NEW, match_names
from tracker.intake.talk import Talk

PRINTERS = ["Left", "Right"]


@pytest.mark.parametrize("text", ["Left", "LEFT ", "left", " L e f t"])
def test_the_same_letters_are_taken_without_a_question(text: str) -> None:
    talk = Talk()
    assert match_names({text: 1}, PRINTERS, talk, {}).of(text) == "Left"
    assert talk.questions == []


@pytest.mark.parametrize(
    ("text", "printer"),
    [
        ("R", "Right"),
        ("left one", "Left"),
        ("left printer", "Left"),
        ("Drucker Left", "Left"),
        ("Imprimante Right", "Right"),
        ("Rihgt", "Right"),
        ("middle", NEW),
        ("Printer 3", NEW),
    ],
)
def test_a_likeness_is_proposed_and_never_taken_unasked(text: str, printer: str) -> None:
    talk = Talk()
    names = match_names({text: 1}, PRINTERS, talk, {})
    assert names.open
    (question,) = talk.questions
    assert (question.key, question.suggested) == (f"name|{text}", printer)
    assert set(question.choices) == {"Left", "Right", NEW, EVERY}


def test_numbered_printers_are_no_slips_of_each_other() -> None:
    talk = Talk()
    match_names({"P3": 1}, ["P1", "P2"], talk, {})
    assert talk.questions[0].suggested == NEW


def test_several_writings_are_one_question_and_one_printer() -> None:
    sheet = "Date,Printer,Total m2\n2026-03-01,R,1\n2026-03-02,left one,1\n2026-03-03,right,2\n"
    first = read(sheet)
    (question,) = first.questions
    assert question.examples == ('"left one" = Left', '"R" = Right')
    intake = read(sheet, answers={question.key: "yes"})
    assert [row[0] for row in taken(intake, "counters", "printer")] == ["Left", "Right", "Right"]
    assert intake.to_remember["name|R"] == "Right"
    again = read(sheet.replace("2026-03", "2026-04"), "april.csv", remembered=intake.to_remember)
    assert len(taken(again, "counters", "printer")) == 3


def test_one_by_one_asks_for_each_name() -> None:
    sheet = "Date,Printer,Total m2\n2026-03-01,R,1\n2026-03-02,left one,1\n"
    (question,) = read(sheet).questions
    asked = read(sheet, answers={question.key: "one by one"}).questions
    assert [one.key for one in asked] == ["name|left one", "name|R"]
    answers = {question.key: "one by one", "name|R": "Left", "name|left one": NEW}
    intake = read(sheet, answers=answers)
    assert taken(intake, "printers", "printer", "started_on") == [("left one", "2026-03-02")]
    assert [row[0] for row in taken(intake, "counters", "printer")] == ["Left", "left one"]


def test_writings_of_a_printer_nobody_wrote_down_yet_become_one() -> None:
    sheet = "Date,Printer,Total m2\n2026-03-01,Yard,1\n2026-03-02,YARD,2\n2026-03-03,yard ,3\n"
    intake = read(sheet, answers={"name|Yard": NEW}, known=workshop_of("Left", "Right"))
    assert taken(intake, "printers", "printer") == [("Yard",)]
    assert {row[0] for row in taken(intake, "counters", "printer")} == {"Yard"}


def test_a_word_for_every_printer_is_kept_for_the_next_sheet() -> None:
    sheet = "Date,Printer,Task,Why\n2026-03-01,Both,stir ink,planned\n"
    (question,) = read(sheet).questions
    assert (question.key, question.suggested) == ("name|Both", EVERY)
    intake = read(sheet, answers={question.key: EVERY})
    assert taken(intake, "maintenance", "printer") == [("Left",), ("Right",)]
    again = read(sheet.replace("03-01", "04-01"), remembered=intake.to_remember)
    assert taken(again, "maintenance", "printer", "done_on") == [
        ("Left", "2026-04-01"),
        ("Right", "2026-04-01"),
    ]


def test_what_people_write_for_a_failure_is_read_as_one_and_longer_words_are_proposed() -> None:
    sheet = (
        "Printer,Part,Fitted,Removed,Why out\nLeft,wiper,2025-01-05,2025-06-05,clogged\n"
        "Left,cap,2025-01-05,2025-06-05,leaking; no suction\n"
        "Right,cap,2025-01-05,2025-07-05,leaking; no suction\n"
    )
    (question,) = read(sheet).questions
    assert question.suggested == "failed"
    intake = read(sheet, answers={question.key: "planned"})
    assert taken(intake, "fittings", "part_kind", "removal_reason") == [
        ("cap", "planned"), ("cap", "planned"), ("wiper", "failed"),
    ]  # fmt: skip


def test_a_closed_word_nobody_knows_is_asked_where_it_stands_twice_and_kept() -> None:
    sheet = (
        "Printer,Part,Fitted,Removed,Reason\nLeft,wiper,2025-01-05,2025-06-05,edge gone\n"
        "Right,wiper,2025-01-05,2025-07-05,edge gone\n"
    )
    (question,) = read(sheet).questions
    assert question.suggested == ""  # what drops a reason is never proposed
    intake = read(sheet, answers={question.key: "leave it empty"})
    assert taken(intake, "fittings", "removal_reason") == [("",), ("",)]
    again = read(sheet, remembered=intake.to_remember)
    assert taken(again, "fittings", "removal_reason") == [("",), ("",)]
