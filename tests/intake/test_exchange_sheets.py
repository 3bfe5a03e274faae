"""A workshop's own sheet: what is asked, what is told, and what comes back when it is refused."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pandas as pd
import pytest

from tests.intake.sheets import read, read_as, workshop_of
from tracker.errors import LoadRefused, UsageError
from tracker.intake.exchange import read_folder
from tracker.intake.mistakes import refused_rows_csv
from tracker.intake.questions import parse_answers
from tracker.workshop.checks import Refusal


def test_dates_that_read_both_ways_are_asked_and_the_answer_is_taken() -> None:
    data = b"printer,read_on,area_m2\nP1,03/04/2025,10\nP1,05/04/2025,20\n"
    reading = read_as("c.csv", data, "counters")
    assert reading.frame is None
    (question,) = reading.questions
    assert (question.column, question.topic) == ("read_on", "dates")
    assert "03/04/2025 is 2025-04-03 or 2025-03-04" in question.sentence()
    for answer, days in (("day first", ["2025-04-03", "2025-04-05"]),
                         ("month first", ["2025-03-04", "2025-05-04"])):  # fmt: skip
        frame = read_as("c.csv", data, "counters", answers={question.key: answer}).frame
        assert frame is not None
        assert frame["read_on"].dt.strftime("%Y-%m-%d").tolist() == days


def test_another_column_of_the_file_suggests_the_answer_but_does_not_give_it() -> None:
    data = (
        b"printer,part_kind,position,fitted_on,removed_on,removal_reason\n"
        b"P1,head,H1,03/04/2025,31/12/2025,failed\n"
    )
    (question,) = read_as("f.csv", data, "fittings").questions
    assert (question.column, question.suggested) == ("fitted_on", "day first")


def test_a_folder_with_open_questions_is_refused_with_them(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_text("printer,started_on\nP1,01/02/2025\n")
    with pytest.raises(LoadRefused, match=r"1 question to answer first. printers.csv, started_on"):
        read_folder(tmp_path)
    answers = parse_answers(["dates=day first"])
    assert read_folder(tmp_path, answers).printers["started_on"][2] == pd.Timestamp("2025-02-01")


def test_an_answer_on_the_command_line_without_equals_sign_is_refused() -> None:
    with pytest.raises(UsageError, match="'dates' is not an answer"):
        parse_answers(["dates"])


def test_columns_that_are_not_sure_are_asked_and_a_mapping_answers_them() -> None:
    data = b"Geraet X,read on,Areal\nP1,2025-04-30,10\n"
    reading = read_as("c.csv", data, "counters")
    assert reading.frame is None
    assert {question.column for question in reading.questions} == {"printer", "area_m2"}
    assert reading.unused == ("Geraet X",)
    confirmed = {**reading.mapping, "Geraet X": "printer"}
    assert confirmed["Areal"] == "area_m2"  # the proposal, taken by passing it in
    again = read_as("c.csv", data, "counters", mapping=confirmed)
    assert again.frame is not None
    assert again.frame.iloc[0].dropna().tolist() == ["P1", pd.Timestamp("2025-04-30"), 10.0]
    answers = {question.key: question.choices[0] for question in reading.questions}
    answered = read_as("c.csv", data, "counters", answers=answers)
    assert answered.frame is not None
    assert answered.mapping == confirmed  # what the store remembers


def test_a_proposal_that_is_denied_leaves_the_header_out() -> None:
    data = b"printer,read_on,area_m2,remrks\nP1,2025-04-30,10,x\n"
    reading = read_as("c.csv", data, "counters")
    assert reading.unused == ("remrks",)  # counters have no note
    data = b"printer,part_kind,position,fitted_on,nots\nP1,cap,cap,2025-04-30,x\n"
    (question,) = read_as("f.csv", data, "fittings").questions
    assert question.choices == ("yes", "no")
    denied = read_as("f.csv", data, "fittings", answers={question.key: "no"})
    assert denied.frame is not None
    assert (denied.unused, denied.frame["note"].tolist()) == (("nots",), [""])


def test_a_column_the_sheet_lacks_may_be_one_value_for_all_rows() -> None:
    data = b"Datum,qm\n30.04.2025,10\n31.05.2025,20,5\n30.06.2025,30\n"
    reading = read_as("c.csv", data.replace(b",", b";"), "counters", constants={"printer": "P1"})
    assert [refusal.row for refusal in reading.refusals] == [3]
    good = read_as("c.csv", b"Datum;qm\n30.04.2025;10\n", "counters", constants={"printer": "P1"})
    assert good.frame is not None
    assert good.frame["printer"].tolist() == ["P1"]


def test_square_feet_in_the_header_are_turned_and_told() -> None:
    data = b"Printer,Date,Printed area (ft2)\nP1,2025-04-30,1000\n"
    reading = read_as("c.csv", data, "counters")
    assert reading.frame is not None
    assert reading.frame["area_m2"].tolist() == [92.90304]
    assert any("ft2 was turned into m²" in notice for notice in reading.notices)


def test_words_read_as_the_contracts_words_and_columns_left_out_are_told() -> None:
    data = (
        "Machine,What was done,Date,Reason,Weather\n"
        "P1,Shake damper,2025-04-30,routine,rain\nP1,shake damper,2025-05-30,Planned,sun\n"
    )
    reading = read_as("m.csv", data.encode(), "maintenance")
    assert reading.frame is not None
    assert reading.frame["task"].tolist() == ["shake_dampers"] * 2
    assert reading.frame["why"].tolist() == ["planned"] * 2
    told = "\n".join(reading.notices)
    assert 'task: "Shake damper" was read as shake_dampers (1 row)' in told
    assert 'why: "routine" was read as planned (1 row)' in told
    assert '"Planned"' not in told  # only another case
    assert "no such column: Weather" in told


def test_settings_are_brought_into_the_contracts_writing() -> None:
    data = (
        "name;value\nlabour_per_hour;25,50 €\nlog_began_on;31.12.2024\nworkshop;Müller, Söhne\n"
        "service_level;0,9\n"
    )
    reading = read_as("settings.csv", data.encode(), "settings")
    assert reading.frame is not None
    assert reading.frame["value"].tolist() == ["25.50", "2024-12-31", "Müller, Söhne", "0.9"]


# --- nothing that was typed is lost ---------------------------------------------------------------


def test_refused_rows_come_back_as_typed_with_the_reason_and_can_be_mended() -> None:
    data = (
        'Drucker;Datum;qm;Notiz\nP1;30.04.2025;10;gut\nP1;31.4.2025;1,5;"a; b"\n'
        "P1;30.06.2025;viel;=SUM(A1)\nP1;30.07.2025;40;\n"
    )
    known = workshop_of("P1")
    intake = read(data.encode("cp1252"), "zähler.csv", known=known)
    assert [refusal.row for refusal in intake.refusals] == [3, 4]
    later = Refusal("counters", 5, "area_m2", "40", "is below 50", "correct it", "zähler.csv",
                    header="qm")  # fmt: skip
    text = refused_rows_csv(intake.pieces[0], (*intake.refusals, later))
    assert list(csv.reader(io.StringIO(text), delimiter=";")) == [
        ["Drucker", "Datum", "qm", "Notiz", "refused because"],
        ["P1", "31.4.2025", "1,5", "a; b",
         "Datum: 31.4.2025 is not a day of the calendar; April 2025 has 30 days"],
        ["P1", "30.06.2025", "viel", "'=SUM(A1)",
         "qm: viel is not a number; write digits only, e.g. 12.5"],
        ["P1", "30.07.2025", "40", "", "qm: 40 is below 50; correct it"],
    ]  # fmt: skip
    mended = text.replace("31.4.2025;1,5", "30.4.2025;1,5").replace(";viel;", ";35;")
    again = read(mended, "mended.csv", known=known)
    assert again.records is not None, again.questions
    assert again.records.counters["area_m2"].tolist() == [1.5, 35, 40]
    assert "refused because" not in "".join(again.notices)
