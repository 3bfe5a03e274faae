"""Which layout and table a sheet is taken for, and where it is asked instead."""

from __future__ import annotations

import pytest

from tests.intake.sheets import read, taken, workshop_of
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_sheet_with_the_contracts_header_is_recognised(table) -> None:  # type: ignore[no-untyped-def]
    (piece,) = read(",".join(table.names) + "\n", f"{table.name}.csv").pieces
    assert (piece.layout, piece.tables) == ("long", (table.name,))
    assert {role.role for role in piece.roles} == set(table.names)


def test_the_files_name_helps_to_tell_tables_apart() -> None:
    sheet = "Datum;Teil;Menge\n2026-03-02;Wischer;2\n"
    assert read(sheet, "Orders 2025.csv").pieces[0].tables == ("orders",)
    assert read(sheet, "Stock.csv").pieces[0].tables == ("stock",)


def test_a_sheet_of_which_most_would_go_unread_is_asked_about_with_the_reason() -> None:
    """Ticks under words of which few are known once became stoppages."""
    sheet = "Printer,Start,Weather,Mood,Coffee\nLeft,2026-03-02,sun,good,yes\n"
    intake = read(sheet)
    (question,) = intake.questions
    assert (question.topic, question.key) == ("layout", "log.csv||1|is")
    assert "not read would be: Weather, Mood, Coffee" in question.sentence()
    assert question.examples == ("row 2: Left | 2026-03-02 | sun | good | yes",)
    assert intake.records is None
    answered = read(sheet, answers={question.key: "stoppages"})
    assert taken(answered, "stoppages", "printer", "began_at") == [("Left", "2026-03-02")]
    assert [role.header for role in answered.pieces[0].unread] == ["Weather", "Mood", "Coffee"]
    left_out = read(sheet, answers={question.key: "leave out"})
    assert left_out.records is not None
    assert left_out.records.stoppages.empty


def test_what_a_sheet_is_is_remembered_by_its_headings() -> None:
    sheet = "Printer,Start,Weather,Mood,Coffee\nLeft,2026-03-02,sun,good,yes\n"
    first = read(sheet, answers={"log.csv||1|is": "stoppages"})
    again = read(sheet, "april.csv", remembered=first.to_remember)
    assert taken(again, "stoppages", "printer", "began_at") == [("Left", "2026-03-02")]


def test_a_first_file_of_a_new_workshop_offers_its_printers() -> None:
    sheet = "Drucker;Datum;qm\nP1;31.12.2025;1234,5\np1;31.1.2026;1300\nP2;31.1.2026;44,5\n"
    intake = read(sheet, known=Records())
    (question,) = intake.questions
    assert question.examples == ('"P1" = a new printer', '"P2" = a new printer')
    answered = read(sheet, answers={question.key: "yes"}, known=Records())
    assert taken(answered, "printers", "printer", "started_on") == [
        ("P1", "2025-12-31"),
        ("P2", "2026-01-31"),
    ]
    assert len(taken(answered, "counters", "printer", "area_m2")) == 3


def test_one_printer_alone_is_never_asked_about() -> None:
    sheet = "Datum;qm\n31.12.2025;10\n31.1.2026;20\n"
    intake = read(sheet, known=workshop_of("Left"))
    assert taken(intake, "counters", "printer", "area_m2") == [("Left", "10"), ("Left", "20")]
    assert any("all rows are of Left, the only one" in notice for notice in intake.notices)
