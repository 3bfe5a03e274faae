"""Some files to records: mends, places in the person's file, mixes of forms, loading twice."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.intake.sheets import TODAY, book, read, taken, workshop_of
from tracker.errors import UsageError
from tracker.intake.mistakes import MISTAKE_COLUMNS, mistakes_csv
from tracker.intake.reading import File, Mends, read_files
from tracker.store.database import open_store
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records

COUNTERS = "Date,Printer,Total m2\n2026-03-02,Left,120\n2026-03-33,Left,130\n2026-03-09,Left,x\n"


def test_one_sheet_per_month_and_the_year_in_the_files_name() -> None:
    heads = ["Day", "Dampers shaken", "White stirred"]
    data = book(
        {
            "March": [heads, [1, "x", None], [2, None, "x"]],
            "April": [heads, [1, None, "x"], [2, "x", None]],
        }
    )
    answers = {"log 2026 Left.xlsx|why": "planned"}
    intake = read(data, "log 2026 Left.xlsx", answers)
    assert [(piece.sheet, piece.month) for piece in intake.pieces] == [
        ("March", "2026-03"),
        ("April", "2026-04"),
    ]
    assert taken(intake, "maintenance", "printer", "task", "done_on") == [
        ("Left", "shake_dampers", "2026-03-01"),
        ("Left", "shake_dampers", "2026-04-02"),
        ("Left", "stir_ink", "2026-03-02"),
        ("Left", "stir_ink", "2026-04-01"),
    ]


def test_one_sheet_per_printer() -> None:
    heads = ["Part", "Date", "Reason"]
    data = book(
        {
            "Left": [heads, ["W1 damper", datetime(2026, 1, 5), "failed"]],
            "Right": [heads, ["head", datetime(2026, 1, 9), "planned"]],
        }
    )
    rows = taken(read(data, "parts.xlsx"), "fittings", "printer", "part_kind", "position")
    assert rows == [
        ("Left", "damper", "W1"), ("Left", "damper", "W1"),
        ("Right", "head", "H1"), ("Right", "head", "H1"),
    ]  # fmt: skip


def test_what_cannot_be_of_a_part_that_came_out_is_refused_at_the_row_that_tells_it() -> None:
    """The part went in by one row and came out by another, which tells when it was last good."""
    changes = (
        "Date;Printer;Part;Reason;Last good\n"
        "05.01.2026;Left;wiper;failed;\n"
        "09.02.2026;Left;wiper;planned;\n"
        "16.03.2026;Left;wiper;failed;17.03.2026\n"
        "20.04.2026;Left;wiper;failed;\n"
    )
    (refusal,) = read(changes, "changes.csv").refusals
    assert (refusal.row, refusal.header, refusal.value) == (4, "Last good", "17.03.2026")
    place = (refusal.source, refusal.sheet, 4, refusal.column_number)
    mended = read(changes, "changes.csv", mends=Mends({place: "13.03.2026"}))
    assert taken(mended, "fittings", "removed_on", "last_ok_on") == [
        ("", ""), ("2026-01-05", ""), ("2026-02-09", ""),
        ("2026-03-16", "2026-03-13"), ("2026-04-20", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("sheet", "key", "likely", "table"),
    [
        (
            "Date,Printer,Part,Reason\n2026-01-05,Left,wiper,squeaked all day\n",
            "word|removal_reason|squeaked all day",
            "",
            "fittings",
        ),
        (
            "Date,Printer,Task,Why\n2026-01-05,Left,stir ink,Tom said so\n",
            "word|why|Tom said so",
            "symptom",
            "maintenance",
        ),
        (
            "Date,Part,Qty,Reason\n2026-01-05,wiper,4,from the fair\n",
            "word|reason|from the fair",
            "",
            "stock",
        ),
    ],
)
def test_a_word_nobody_knows_is_asked_also_where_a_single_row_has_it(
    sheet: str, key: str, likely: str, table: str
) -> None:
    (question,) = read(sheet).questions
    assert question.key == key
    choices = TABLE_BY_NAME[table].column(key.split("|")[1]).choices
    assert set(choices) <= set(question.choices)
    said = likely or choices[0]
    column = question.column
    assert (said,) in taken(read(sheet, answers={key: said}), table, column)
    assert likely in ("", question.suggested)


def test_each_refusal_carries_its_place_and_a_mend_there_works() -> None:
    data = book(
        {
            "Reading": [
                ["Date", "Printer", "Total m2"],
                ["2026-03-33", "Left", 120],
                ["x", "Left", 1],
            ]
        }
    )
    intake = read(data, "c.xlsx")
    assert [(r.source, r.sheet, r.row, r.header, r.column_number) for r in intake.refusals] == [
        ("c.xlsx", "Reading", 2, "Date", 1),
        ("c.xlsx", "Reading", 3, "Date", 1),
    ]
    assert intake.refusals[0].sentence().startswith("c.xlsx, Reading, row 2, Date: 2026-03-33 is ")
    mends = Mends(
        {("c.xlsx", "Reading", 2, 1): "2026-03-31"}, {("c.xlsx", "Reading", 3): "a test print"}
    )
    mended = read(data, "c.xlsx", mends=mends)
    assert taken(mended, "counters", "read_on", "area_m2") == [("2026-03-31", "120")]
    assert [(row.row, row.why) for row in mended.set_aside] == [
        (3, "left out by hand: a test print")
    ]


def test_every_mistake_is_in_the_file_of_mistakes_with_the_row_as_typed() -> None:
    intake = read(COUNTERS)
    rows = list(csv.reader(io.StringIO(mistakes_csv(intake))))
    assert rows[0] == list(MISTAKE_COLUMNS)
    assert [(row[0], row[2], row[3], row[4], row[7]) for row in rows[1:]] == [
        ("log.csv", "3", "Date", "2026-03-33", "2026-03-33 | Left | 130"),
        ("log.csv", "4", "Total m2", "x", "2026-03-09 | Left | x"),
    ]
    assert all(row[5] and row[6] for row in rows[1:])


def test_long_and_wide_files_together_tell_of_each_change_once() -> None:
    wide = b"Printer,Wiper changed\nLeft,2026-01-05\nLeft,2026-03-05\n"
    long = (
        b"Date,Printer,Part,Reason\n2026-03-05,Left,wiper,failed\n2026-02-01,Left,wiper,planned\n"
    )
    files = [File("wide.csv", wide), File("long.csv", long)]
    for order in (files, files[::-1]):
        intake = read_files(order, workshop_of("Left"), today=TODAY)
        rows = taken(intake, "fittings", "fitted_on", "removed_on", "removal_reason")
        assert rows == [
            ("2026-01-05", "2026-02-01", "planned"),
            ("2026-02-01", "2026-03-05", "failed"),
            ("2026-03-05", "", ""),
        ]


def test_a_file_and_its_copy_are_taken_once() -> None:
    data = b"Date,Printer,Total m2\n2026-03-02,Left,120\n2026-03-09,Left,130\n"
    files = [File("log.csv", data), File("log (1).csv", data)]
    intake = read_files(files, workshop_of("Left"), today=TODAY)
    assert len(taken(intake, "counters", "area_m2")) == 2
    assert "counters: 2 rows stand in two places and were taken once." in intake.notices


SHEETS: dict[str, tuple[str, dict[str, str]]] = {
    "calendar": (
        "March 2026 Left\nDay,Shake dampers,Wiper changed\n1,x,\n2,,x\n3,x,\n4,,x\n",
        {"log.csv|why": "planned", "log.csv||1|Wiper changed": "part:wiper/"},
    ),
    "wide": ("Printer,Head,Dampers changed\nLeft,2026-01-05,2026-03-03\nLeft,,2026-05-03\n", {}),
    "change log": (
        "Date,Printer,Part,Place,Reason\n2026-01-05,Left,damper,W1,failed\n"
        "2026-03-05,Left,damper,W1,planned\n",
        {},
    ),
}


@pytest.mark.parametrize("name", SHEETS)
def test_loading_the_same_sheet_twice_adds_nothing(name: str, database_url: str) -> None:
    sheet, answers = SHEETS[name]
    with open_store(database_url) as store:
        store.load(workshop_of("Left", "Right"), "printers")
        first = read(sheet, answers=answers, known=store.records())
        assert first.records is not None, first.refusals or first.questions
        assert store.load(first.records, "log.csv").added
        again = read(sheet, answers=answers, known=store.records())
        assert again.records is not None, again.refusals or again.questions
        report = store.load(again.records, "log.csv")
        assert report.batch is None
        assert sum(report.added.values()) + sum(report.completed.values()) == 0


def test_a_later_sheet_ends_the_part_that_is_in_there(database_url: str) -> None:
    with open_store(database_url) as store:
        store.load(workshop_of("Left"), "printers")
        for day in ("2026-01-05", "2026-03-05"):
            intake = read(f"Printer,Wiper changed\nLeft,{day}\n", known=store.records())
            assert intake.records is not None, intake.refusals
            store.load(intake.records, day)
        wipers = store.records().fittings
        assert [str(day)[:10] for day in wipers["removed_on"]] == ["2026-03-05", "NaT"]


def test_what_the_store_refuses_is_told_at_its_place_in_the_file(database_url: str) -> None:
    from tracker.errors import LoadRefused

    with open_store(database_url) as store:
        store.load(workshop_of("Left", "Right"), "printers")
        sheet = "Drucker;Eingebaut am;Teil\nLeft;5.1.2020;Wischer\nRight;31.1.2026;Wischer\n"
        intake = read(sheet, known=store.records())
        assert intake.records is not None, intake.refusals or intake.questions
        with pytest.raises(LoadRefused) as refused:
            store.load(intake.records, "log.csv")
    (placed,) = intake.placed(refused.value.refusals)
    assert (placed.source, placed.row, placed.header) == ("log.csv", 2, "Eingebaut am")
    assert placed.value == "5.1.2020"


def test_days_that_read_both_ways_are_asked_once_for_all_sheets_of_a_file() -> None:
    heads = ["Printer", "Date", "Total m2"]
    data = book(
        {
            "A": [heads, ["Left", "03/04/2026", 10]],
            "B": [heads, ["Right", "05/04/2026", 20]],
        }
    )
    (question,) = read(data, "c.xlsx").questions
    assert question.key == "c.xlsx:dates"
    intake = read(data, "c.xlsx", {question.key: "month first"})
    assert taken(intake, "counters", "read_on") == [("2026-03-04",), ("2026-05-04",)]


def test_a_file_that_is_no_table_stands_beside_the_others_mistakes() -> None:
    files = [File("a.csv", b"%PDF-1.7"), File("log.csv", COUNTERS.encode())]
    intake = read_files(files, workshop_of("Left"), today=TODAY)
    assert [(refusal.source, refusal.row) for refusal in intake.refusals] == [
        ("a.csv", None), ("log.csv", 3), ("log.csv", 4),
    ]  # fmt: skip


def test_an_answer_that_is_none_of_the_choices_is_told() -> None:
    with pytest.raises(UsageError, match="is no answer"):
        read("Date,Task\n2026-03-02,stir ink\n", answers={"log.csv|why": "because"})


def test_a_folder_with_only_some_tables_loads_beside_known_printers(tmp_path: Path) -> None:
    from tracker.intake.exchange import read_folder

    text = "printer,part_kind,position,fitted_on\nLeft,wiper,wiper,2026-01-05\n"
    (tmp_path / "fittings.csv").write_text(text)
    assert len(read_folder(tmp_path, known=workshop_of("Left")).fittings) == 1


@pytest.mark.parametrize("seed", range(60))
def test_no_sheet_of_rubbish_raises_and_none_is_lost_in_silence(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cells = ["", "x", "Left", "12", "1.2.2026", "wiper", "Total", "March", "-", "shake", "Day", "?"]
    lines = [
        ";".join(rng.choice(cells, rng.integers(1, 7)).tolist()) for _ in range(rng.integers(1, 10))
    ]
    intake = read("\n".join(lines))
    told = intake.questions or intake.refusals or intake.set_aside
    assert told or (intake.records is not None and intake.pieces)


def test_a_column_that_an_answer_brought_in_is_no_longer_called_unread() -> None:
    """Two days are in question, so that neither is taken for the one or the other unasked."""
    sheet = "Du,Au,Remarque\n03/08/2026,23/08/2026,été\n24/12/2025,02/01/2026,fin\n"
    answers = {
        "log.csv||1|is": "closures",
        "log.csv|began_on": "column: Du",
        "log.csv|ended_on": "column: Au",
    }
    intake = read(sheet, answers=answers)
    assert taken(intake, "closures", "began_on", "note")[0] == ("2025-12-24", "fin")
    (piece,) = intake.pieces
    assert [role.role for role in piece.roles] == ["began_on", "ended_on", "note"]
    assert piece.unread == ()


def test_one_row_that_makes_two_records_is_told_as_one_and_no_answer_stumbles_over_it() -> None:
    """A change tells of the part that came out and of the one that went in, which came out too, for
    the workshop already has a newer one there.
    """
    fitted = [("head", "H1"), ("pump", "pump")]
    rows = [("Left", kind, place, pd.Timestamp(TODAY)) for kind, place in fitted]
    columns = ["printer", "part_kind", "position", "fitted_on"]
    known = workshop_of("Left").with_table("fittings", pd.DataFrame(rows, columns=columns))
    sheet = "Date;Printer;Part;Reason\n04.11.2025;Left;head;failed\n28.02.2026;Left;pump;failed\n"
    intake = read(sheet, known=known)
    assert taken(intake, "fittings", "part_kind", "fitted_on", "removed_on") == [
        ("head", "", "2025-11-04"),
        ("head", "2025-11-04", "2026-11-28"),
        ("pump", "", "2026-02-28"),
        ("pump", "2026-02-28", "2026-11-28"),
    ]
    assert not any("2, 2" in notice for notice in intake.notices)


def test_a_catalogue_without_a_column_for_what_goes_along_says_what_is_taken() -> None:
    told = read("part_kind,lead_days\ndamper,10\nhead,12\n", name="parts.csv").notices
    assert told == (
        "parts.csv has no column “replaced_with”: damper is taken to stay when printhead is "
        "replaced, though they commonly go together; if they do, add the column.",
    )
    said = read("part_kind,lead_days,replaced_with\ndamper,10,\n", name="parts.csv")
    assert said.notices == ()
    assert read("part_kind,lead_days\nhead,12\n", name="parts.csv").notices == ()
    known = Records.of({"parts": pd.DataFrame({"part_kind": ["damper"], "replaced_with": [""]})})
    assert read("part_kind,lead_days\ndamper,10\n", name="parts.csv", known=known).notices == ()
