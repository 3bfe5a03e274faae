"""Calendars of marks: days down or across, what a mark is, and where month and printer stand."""

from __future__ import annotations

import pytest

from tests.intake.sheets import read, taken, workshop_of
from tracker.workshop.records import Records

WHY = {"log.csv|why": "planned", "log.csv||1|Wiper changed": "part:wiper/"}
MARCH = """\
March 2026 – Left

Day,Shake dampers,Stir white,Wiper changed,Note
1,,X,,
2,✓,x,,new film
3,,AB,1,
4,-,0,no,
Total,1,3,1,
"""


def test_marks_under_tasks_are_tasks_done_on_those_days() -> None:
    intake = read(MARCH, answers=WHY)
    assert taken(intake, "maintenance", "printer", "task", "done_on", "done_by", "note") == [
        ("Left", "shake_dampers", "2026-03-02", "", "new film"),
        ("Left", "stir_ink", "2026-03-01", "", ""),
        ("Left", "stir_ink", "2026-03-02", "", "new film"),
        ("Left", "stir_ink", "2026-03-03", "AB", ""),
    ]
    assert taken(intake, "fittings", "printer", "part_kind", "position", "fitted_on") == [
        ("Left", "wiper", "wiper", "2026-03-03")
    ]
    assert intake.records is not None
    assert intake.records.stoppages.empty


def test_what_a_calendar_leaves_out_is_set_aside_with_the_reason() -> None:
    told = {row.row: row.why for row in read(MARCH, answers=WHY).set_aside}
    assert told == {1: "a title above the table", 8: "a total of other rows"}


def test_whether_the_ticks_are_routine_is_asked_once_for_all_sheets_of_a_file() -> None:
    (question,) = read(MARCH, answers={"log.csv||1|Wiper changed": "part:wiper/"}).questions
    assert question.key == "log.csv|why"
    assert question.choices == ("planned", "symptom")
    assert "2026-03-01" in question.examples[0]


BY_NAME = """\
Date,Printer,Change filters,Wiper changed,Stir ink
2026-03-02,Left,x,,x
2026-03-09,Left,x,x,x
"""
OF_JOBS = "Date,Printer,Job\n2026-03-02,Left,Change filters\n2026-03-09,Left,stir ink\n" + (
    "2026-03-16,Left,change filters\n2026-03-17,Left,new wiper\n"
)
IN_CELLS = "Date,Left,Right\n2026-03-02,Change filters,stir ink\n2026-03-09,stir ink,new wiper\n"
DAYS_ACROSS = """\
Left March 2026,,,,,
Job,1,2,3,4,5
Change filters,x,,,x,
Replaced wiper,,x,,,
Stir ink,x,,,,x
"""


@pytest.mark.parametrize("sheet", [BY_NAME, OF_JOBS, IN_CELLS, DAYS_ACROSS])
def test_whether_changed_filters_are_parts_or_a_task_called_so_is_asked(sheet: str) -> None:
    wiper = {f"log.csv||1|{text}": "part:wiper/" for text in ("Wiper changed", "Replaced wiper")}
    (question,) = read(sheet, answers=wiper).questions
    assert question.own == "log.csv||1|Change filters"
    assert question.choices[:2] == ("part:ink_filter/", "task:Change filters")
    assert question.suggested == "part:ink_filter/"
    assert question.column == "Change filters"  # names it where several are put as one

    rest = {"log.csv|why": "planned", "log.csv|set|ink_filter": "the whole set"} | wiper
    parts = read(sheet, answers={question.key: "part:ink_filter/", **rest})
    kinds = {part for (part,) in taken(parts, "fittings", "part_kind")}
    assert kinds >= {"ink_filter"}
    assert {task for (task,) in taken(parts, "maintenance", "task")} == {"stir_ink"}
    tasks = read(sheet, answers={question.key: "task:Change filters", **rest})
    assert {part for (part,) in taken(tasks, "fittings", "part_kind")} == kinds - {"ink_filter"}
    found = {task for (task,) in taken(tasks, "maintenance", "task")}
    assert found == {"stir_ink", "Change filters"}
    again = read(sheet, remembered=tasks.to_remember, answers=rest)
    assert taken(again, "maintenance", "task") == taken(tasks, "maintenance", "task")


def test_days_across_and_printers_down_for_the_task_in_the_title() -> None:
    sheet = (
        "Shake dampers October 2026,,,,,,\nPrinter,1,2,3,4,5,6\n"
        "Left,x,,,x,,\nRight,,x,-,,,x\nSum,1,1,0,1,0,1\n"
    )
    intake = read(sheet, answers=WHY)
    assert taken(intake, "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-10-01"),
        ("Left", "shake_dampers", "2026-10-04"),
        ("Right", "shake_dampers", "2026-10-02"),
        ("Right", "shake_dampers", "2026-10-06"),
    ]


def test_days_across_and_tasks_down_with_a_printer_beside_them() -> None:
    sheet = (
        "Oktober 2026;;;;;;\nDrucker;Aufgabe;1;2;3;4;5\n"
        "Left;Dämpfer schütteln;x;;;;x\n;Weiß rühren;x;x;x;;\nRight;Düsentest;;;;x;\n"
    )
    intake = read(sheet, answers=WHY)
    assert taken(intake, "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-10-01"),
        ("Left", "shake_dampers", "2026-10-05"),
        ("Left", "stir_ink", "2026-10-01"),
        ("Left", "stir_ink", "2026-10-02"),
        ("Left", "stir_ink", "2026-10-03"),
        ("Right", "nozzle_check", "2026-10-04"),
    ]


def test_printers_stand_over_the_tasks_in_a_row_of_their_own() -> None:
    sheet = (
        ",Left,,Right,\nDay,Shake dampers,Stir ink,Shake dampers,Stir ink\n"
        "2026-03-02,x,,x,x\n2026-03-03,,x,,\n"
    )
    assert taken(read(sheet, answers=WHY), "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-03-02"),
        ("Left", "stir_ink", "2026-03-03"),
        ("Right", "shake_dampers", "2026-03-02"),
        ("Right", "stir_ink", "2026-03-02"),
    ]


def test_printers_across_for_one_task_and_full_days_whose_order_is_said() -> None:
    sheet = "Düsentest\nTag;Left;Right\n02.11.2026;x;x\n03.11.2026;;x\n13.11.2026;AB;-\n"
    intake = read(sheet, answers=WHY)
    assert taken(intake, "maintenance", "printer", "done_on", "done_by") == [
        ("Left", "2026-11-02", ""),
        ("Left", "2026-11-13", "AB"),
        ("Right", "2026-11-02", ""),
        ("Right", "2026-11-03", ""),
    ]
    said = [notice for notice in intake.notices if "read day first" in notice]
    assert said == ["log.csv, done_on: read day first, for row 5 has 13.11.2026."]


def test_months_as_lines_between_the_rows_count_from_there_on() -> None:
    sheet = "Day,Stir ink\nMarch 2026,\n1,x\n2,\n3,x\nApril 2026,\n1,\n2,x\n3,\n"
    intake = read(sheet, answers=WHY | {"log.csv||1|printer": "Left"})
    assert [row[0] for row in taken(intake, "maintenance", "done_on")] == [
        "2026-03-01", "2026-03-03", "2026-04-02",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("title", "day", "task", "known_task"),
    [
        ("March 2026", "Day", "Clean head", "head_clean"),
        ("März 2026", "Tag", "Kopf reinigen", "head_clean"),
        ("marzo de 2026", "Día", "Limpiar cabezal", "head_clean"),
        ("mars 2026", "Jour", "Nettoyage tête", "head_clean"),
        ("marzo 2026", "Giorno", "Pulizia testina", "head_clean"),
    ],
)
def test_months_and_tasks_are_known_in_five_languages(
    title: str, day: str, task: str, known_task: str
) -> None:
    sheet = f"{title} Left\n{day};{task}\n1;x\n2;\n3;x\n4;\n"
    assert taken(read(sheet, answers=WHY), "maintenance", "task", "done_on") == [
        (known_task, "2026-03-01"),
        (known_task, "2026-03-03"),
    ]


def test_a_part_without_a_verb_over_marks_is_likely_its_task_and_asked() -> None:
    sheet = "March 2026 Left\nDay,Dampers,Wiper\n1,x,\n2,,x\n3,x,\n4,,\n"
    first = read(sheet, answers=WHY)
    (question,) = first.questions
    assert question.examples == (
        "Dampers = Shake dampers, draw off air",
        "Wiper = Clean wiper blade and cap edge",
    )
    yes = read(sheet, answers=WHY | {question.key: "yes"})
    assert [row[0] for row in taken(yes, "maintenance", "task")] == [
        "clean_wiper_cap", "shake_dampers", "shake_dampers",
    ]  # fmt: skip
    own = WHY | {"log.csv||1|Dampers": "task:shake_dampers", "log.csv||1|Wiper": "part:wiper/"}
    assert taken(read(sheet, answers=own), "fittings", "part_kind", "fitted_on") == [
        ("wiper", "2026-03-02")
    ]
    remembered = yes.to_remember
    later = read(sheet.replace("March", "April"), "april.csv", {"april.csv|why": "planned"},
                 remembered=remembered)  # fmt: skip
    assert len(taken(later, "maintenance", "task")) == 3


def test_numbers_in_the_marks_are_asked_once() -> None:
    sheet = "March 2026 Left\nDay,Stir ink\n1,5\n2,\n3,4\n4,0\n"
    (question,) = read(sheet, answers=WHY).questions
    assert question.what == "what do the numbers stand for?"
    minutes = read(sheet, answers=WHY | {question.key: "minutes"})
    assert taken(minutes, "maintenance", "done_on", "minutes") == [
        ("2026-03-01", "5"), ("2026-03-03", "4"),
    ]  # fmt: skip
    count = read(sheet, answers=WHY | {question.key: "it was done"})
    assert taken(count, "maintenance", "done_on", "minutes") == [
        ("2026-03-01", ""), ("2026-03-03", ""),
    ]  # fmt: skip


def test_days_without_a_month_ask_for_it() -> None:
    sheet = "Left\nDay,Stir ink\n1,x\n2,\n3,x\n4,\n"
    (question,) = read(sheet, answers=WHY).questions
    assert (question.key, question.choices[0]) == ("log.csv||1|month", "2026-11")
    intake = read(sheet, answers=WHY | {question.key: "2026-02"})
    assert [row[0] for row in taken(intake, "maintenance", "done_on")] == [
        "2026-02-01", "2026-02-03",
    ]  # fmt: skip


def test_a_mark_on_a_day_that_does_not_exist_is_refused_at_its_cell() -> None:
    sheet = "April 2026 Left\nDay,Stir ink\n29,x\n30,\n31,x\n"
    (refusal,) = read(sheet, answers=WHY).refusals
    assert (refusal.row, refusal.header, refusal.column_number) == (5, "Day", 1)
    assert (refusal.value, refusal.mend) == ("31", "April 2026 has 30 days")


TWO_IN_ONE = (
    "List March 2026;;;\nLeft;;;\n\nDay;Dampers shaken;White stirred;Note\n"
    "1;;x;\n2;x;;\n3;;x;\n4;;x;\ntotal;1;3;\n\nRight;;;\n\nDay;Dampers shaken;White stirred;Note\n"
    "2;;x;\n3;x;;\n"
)


@pytest.mark.parametrize("are_known", [True, False])
def test_a_calendar_below_another_is_that_of_the_printer_named_above_it(are_known: bool) -> None:
    printers = {"name|Left": "a new printer", "name|Right": "a new printer"}
    known = workshop_of("Left", "Right") if are_known else Records()
    intake = read(TWO_IN_ONE, answers=WHY if are_known else WHY | printers, known=known)
    assert taken(intake, "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-03-02"),
        ("Left", "stir_ink", "2026-03-01"),
        ("Left", "stir_ink", "2026-03-03"),
        ("Left", "stir_ink", "2026-03-04"),
        ("Right", "shake_dampers", "2026-03-03"),
        ("Right", "stir_ink", "2026-03-02"),
    ]
