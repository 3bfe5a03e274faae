"""The paper log: what is printed, and that a typed-up page loads as it was written."""

from __future__ import annotations

import csv
import html
import io
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
from playwright.sync_api import Browser

from tests.intake.sheets import taken
from tracker.decisions.printer_month import printer_months
from tracker.errors import UsageError
from tracker.intake.pieces import File, Intake
from tracker.intake.reading import read_files
from tracker.language import speaking
from tracker.paper.log_grid import log_csv, log_workbook
from tracker.paper.log_sheet import log_sheets
from tracker.workshop.records import Records

PRINTED_ON = date(2026, 10, 30)
NOVEMBER = date(2026, 11, 1)
TYPED_ON = date(2026, 12, 1)
TASKS = {
    "stir_ink": 1, "nozzle_check": 1, "clean_wiper_cap": 3, "shake_dampers": 7,
    "flush_in_place": 30, "rinse the drip tray": 14,
}  # fmt: skip


def workshop() -> Records:
    """Two printers at a cutter's bench and a window, six tasks, the log begun in 2025."""
    return Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["Bench", "Sill"], "started_on": "2025-01-06",
                 "channels": "C M Y K W1 W2"}
            ),
            "routines": pd.DataFrame({"task": list(TASKS), "every_days": list(TASKS.values())}),
            "fittings": pd.DataFrame(
                {"printer": "Bench", "part_kind": ["head", "damper", "damper"],
                 "position": ["H1", "W1", "W2"], "fitted_on": "2025-06-02"}
            ),
            "maintenance": pd.DataFrame(
                {"printer": "Bench", "task": "shake_dampers", "done_on": ["2026-10-28"],
                 "why": "planned"}
            ),
            "closures": pd.DataFrame({"began_on": ["2026-11-21"], "ended_on": ["2026-11-22"]}),
            "settings": pd.DataFrame(
                {"name": ["workshop", "log_began_on"], "value": ["Cotton Yard", "2025-01-06"]}
            ),
        }
    )  # fmt: skip


def pages(records: Records, month: date = NOVEMBER) -> str:
    months = printer_months(records, PRINTED_ON, month)
    return log_sheets(months, records.setting("workshop"), PRINTED_ON)


def words(page: str) -> str:
    text = html.unescape(re.sub(r"<[^>]+>", " ", page.split("<body>")[1]))
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


# What was written on the page of Bench in November, by the heading over each box.
MARKS: dict[tuple[int, str], str] = {
    (2, "Stir or shake the white ink"): "MJ",
    (3, "Stir or shake the white ink"): "x",
    (3, "Shake dampers, draw off air"): "RO",
    (4, "Stir or shake the white ink"): "-",
    (9, "Rinse the drip tray"): "✓",
}
COUNTS = {(2, "C"): "0", (2, "W1"): "3", (16, "W1"): "11", (16, "W2"): "0"}
LINES: dict[str, list[list[str]]] = {
    "Task": [["2026-11-17", "Normal head clean", "symptom", "W1 fading", "RO"],
             ["2026-11-18", "Clean feed rollers", "planned", "", "MJ"]],
    "Part": [["2026-11-18", "damper", "W1", "failed", "clogged", "Lot 31", ""]],
    "Ended at": [["2026-11-18 09:15", "2026-11-18 11:00", "damper W1 clogged", "damper", ""]],
    "Counter m²": [["2026-11-30", "1480.5"]],
}  # fmt: skip
EXPECTED: Mapping[str, tuple[tuple[str, ...], list[tuple[str, ...]]]] = {
    "maintenance": (
        ("printer", "task", "done_on", "why", "done_by", "note"),
        [
            ("Bench", "clean_rollers", "2026-11-18", "planned", "MJ", ""),
            ("Bench", "head_clean", "2026-11-17", "symptom", "RO", "W1 fading"),
            ("Bench", "rinse the drip tray", "2026-11-09", "planned", "", ""),
            ("Bench", "shake_dampers", "2026-11-03", "planned", "RO", ""),
            ("Bench", "stir_ink", "2026-11-02", "planned", "MJ", ""),
            ("Bench", "stir_ink", "2026-11-03", "planned", "", ""),
        ],
    ),
    "nozzle_checks": (
        ("printer", "checked_on", "position", "channel", "missing_nozzles"),
        [
            ("Bench", "2026-11-02", "H1", "C", "0"),
            ("Bench", "2026-11-02", "H1", "W1", "3"),
            ("Bench", "2026-11-16", "H1", "W1", "11"),
            ("Bench", "2026-11-16", "H1", "W2", "0"),
        ],
    ),
    "fittings": (
        ("printer", "part_kind", "position", "fitted_on", "removed_on", "removal_reason",
         "failure_mode", "batch"),
        [
            ("Bench", "damper", "W1", "2025-06-02", "2026-11-18", "failed", "clogged", ""),
            ("Bench", "damper", "W1", "2026-11-18", "", "", "", "Lot 31"),
        ],
    ),
    "stoppages": (
        ("printer", "began_at", "ended_at", "cause", "part_kind"),
        [("Bench", "2026-11-18", "2026-11-18", "damper W1 clogged", "damper")],
    ),
    "counters": (("printer", "read_on", "area_m2"), [("Bench", "2026-11-30", "1480.5")]),
}  # fmt: skip


def written_down(rows: list[list[Any]]) -> list[list[Any]]:
    """The empty sheet with everything above typed into it, found by its headings."""
    head = next(row for row in rows if row and row[0] == "Day" and "Why" in row)
    first = rows.index(head) + 1
    for (day, heading), text in (MARKS | COUNTS).items():
        rows[first + day - 1][head.index(heading)] = text
    for second, lines in LINES.items():
        at = next(at for at, row in enumerate(rows) if len(row) > 1 and row[1] == second)
        for number, line in enumerate(lines, start=1):
            rows[at + number][: len(line)] = line
    return rows


def typed_csv(separator: str = ",", wide: int = 0) -> File:
    (one,) = printer_months(workshop(), PRINTED_ON, NOVEMBER, "Bench")
    text = log_csv([one]).decode("utf-8-sig")
    rows = written_down(list(csv.reader(io.StringIO(text))))
    out = io.StringIO()
    padded = [row + [""] * (wide - len(row)) for row in rows]
    csv.writer(out, delimiter=separator).writerows(padded)
    return File("november.csv", out.getvalue().encode())


def typed_workbook() -> File:
    """The workbook of both printers, Bench typed in, Sill left empty."""
    book: Any = openpyxl.load_workbook(
        io.BytesIO(log_workbook(printer_months(workshop(), PRINTED_ON, NOVEMBER)))
    )
    sheet = book["Bench"]
    rows = [["" if cell is None else cell for cell in row] for row in sheet.values]
    for at, row in enumerate(written_down(rows), start=1):
        for column, value in enumerate(row, start=1):
            if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value):
                sheet.cell(at, column).value = datetime.fromisoformat(value)
            elif isinstance(value, str) and re.fullmatch(r"[\d.]+", value):
                sheet.cell(at, column).value = float(value)
            elif value != "":
                sheet.cell(at, column).value = value
    buffer = io.BytesIO()
    book.save(buffer)
    return File("november.xlsx", buffer.getvalue())


def loaded(file: File) -> Intake:
    return read_files([file], workshop(), today=TYPED_ON)


@pytest.mark.parametrize(
    "typed",
    [typed_csv, lambda: typed_csv(";"), lambda: typed_csv(",", 20), typed_workbook],
    ids=["csv", "semicolons", "every row of one width", "workbook"],
)
def test_a_typed_up_page_loads_without_a_question(typed: Callable[[], File]) -> None:
    intake = loaded(typed())
    assert intake.questions == ()
    assert intake.refusals == ()
    for table, (columns, rows) in EXPECTED.items():
        assert taken(intake, table, *columns) == rows, table
    assert intake.records is not None
    (stood,) = intake.records.stoppages.itertuples()
    assert (stood.began_at, stood.ended_at) == (
        pd.Timestamp("2026-11-18 09:15"), pd.Timestamp("2026-11-18 11:00"),
    )  # fmt: skip
    assert [name for name in ("printers", "stock", "orders", "conditions")
            if len(intake.records.table(name))] == []  # fmt: skip


@pytest.mark.parametrize("form", ["{d}/{m}/{y}", "{m}/{d}/{y}", "{d}.{m}.{y}"])
def test_a_page_saved_with_the_days_of_a_place_loads_without_a_question(form: str) -> None:
    """The days down the side show the order of day and month for every table of the file."""
    text = typed_csv(";", 20).data.decode().replace("1480.5", "1480,5")
    text = re.sub(
        r"(\d{4})-(\d\d)-(\d\d)", lambda day: form.format(y=day[1], m=day[2], d=day[3]), text
    )
    intake = loaded(File("november.csv", text.encode()))
    assert (intake.questions, intake.refusals) == ((), ())
    for table, (columns, rows) in EXPECTED.items():
        assert taken(intake, table, *columns) == rows, table


@pytest.mark.parametrize("language", ["es", "en"])
def test_a_page_in_spanish_loads_without_a_question_in_either_language(language: str) -> None:
    (one,) = printer_months(workshop(), PRINTED_ON, NOVEMBER, "Bench")
    with speaking("es"):
        rows = list(csv.reader(io.StringIO(log_csv([one]).decode("utf-8-sig"))))
    head = next(row for row in rows if row and row[0] == "Día" and "Por qué" in row)
    second = rows[rows.index(head) + 2]
    second[head.index("Remover o agitar la tinta blanca")] = "MJ"
    second[head.index("C")] = "0"
    lines = {
        "Tarea": ["2026-11-17", "Limpieza normal del cabezal", "síntoma", "W1 flojo", "RO"],
        "Pieza": ["2026-11-18", "amortiguador", "W1", "roto", "obstruido", "Lote 31", ""],
        "Fin": ["2026-11-18 09:15", "2026-11-18 11:00", "W1 obstruido", "amortiguador", ""],
        "Contador m²": ["2026-11-30", "1480.5"],
    }
    for heading, line in lines.items():
        at = next(at for at, row in enumerate(rows) if len(row) > 1 and row[1] == heading)
        rows[at + 1][: len(line)] = line
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    with speaking(language):
        intake = loaded(File("noviembre.csv", out.getvalue().encode()))
    assert (intake.questions, intake.refusals) == ((), ())
    assert taken(intake, "maintenance", "task", "done_on", "why", "done_by") == [
        ("head_clean", "2026-11-17", "symptom", "RO"),
        ("stir_ink", "2026-11-02", "planned", "MJ"),
    ]
    assert taken(intake, "nozzle_checks", "checked_on", "position", "channel") == [
        ("2026-11-02", "H1", "C")
    ]
    assert taken(intake, "fittings", "position", "fitted_on", "removal_reason") == [
        ("W1", "2025-06-02", "failed"), ("W1", "2026-11-18", ""),
    ]  # fmt: skip
    assert taken(intake, "stoppages", "cause", "part_kind") == [("W1 obstruido", "damper")]
    assert taken(intake, "counters", "area_m2") == [("1480.5",)]


@pytest.mark.parametrize("month", [date(2026, 11, 1), date(2028, 2, 1)])
def test_an_empty_sheet_asks_nothing_and_holds_nothing(month: date) -> None:
    data = log_workbook(printer_months(workshop(), PRINTED_ON, month))
    intake = read_files([File("log.xlsx", data)], workshop(), today=date(2028, 3, 1))
    assert (intake.questions, intake.refusals) == ((), ())
    assert intake.records is not None
    assert all(intake.records.table(name).empty for name in EXPECTED)


def test_two_heads_have_their_counts_apart() -> None:
    records = workshop()
    heads = pd.DataFrame(
        {"printer": "Bench", "part_kind": "head", "position": ["H1", "H2"],
         "fitted_on": "2025-06-02"}
    )  # fmt: skip
    checks = pd.DataFrame(
        {"printer": "Bench", "checked_on": "2026-10-05", "position": ["H1", "H1", "H2", "H2"],
         "channel": ["C", "K", "W1", "W2"], "missing_nozzles": 0}
    )  # fmt: skip
    records = Records.of(
        {"printers": records.printers, "routines": records.routines, "fittings": heads,
         "nozzle_checks": checks}
    )  # fmt: skip
    (one,) = printer_months(records, PRINTED_ON, NOVEMBER, "Bench")
    assert [(head.position, head.channels) for head in one.heads] == [
        ("H1", ("C", "K")), ("H2", ("W1", "W2")),
    ]  # fmt: skip
    rows = list(csv.reader(io.StringIO(log_csv([one]).decode("utf-8-sig"))))
    head = next(row for row in rows if row[:1] == ["Day"])
    rows[rows.index(head) + 5][head.index("K")] = "2"
    rows[rows.index(head) + 5][head.index("W2")] = "7"
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    intake = read_files([File("log.csv", out.getvalue().encode())], records, today=TYPED_ON)
    assert intake.questions == ()
    assert taken(intake, "nozzle_checks", "checked_on", "position", "channel",
                 "missing_nozzles") == [
        ("2026-11-05", "H1", "K", "2"), ("2026-11-05", "H2", "W2", "7"),
    ]  # fmt: skip


def test_the_page_names_printer_month_tasks_and_cautions() -> None:
    page = pages(workshop())
    told = words(page)
    for text in ("Bench, November 2026 – Cotton Yard", "Sill, November 2026 – Cotton Yard",
                 "Shake dampers, draw off air", "Rinse the drip tray", "Missing nozzles, H1",
                 "planned / symptom", "pull the plug first", "qualified people first",
                 "Counter at the month's end", "Times Bench stood still"):  # fmt: skip
        assert text in told, text
    assert "http" not in page


def test_as_many_boxes_are_marked_as_tasks_are_due() -> None:
    months = printer_months(workshop(), PRINTED_ON, NOVEMBER)
    page = pages(workshop())
    assert page.count(">○<") == sum(len(days) for one in months for days in one.due.values())
    assert page.count('<section class="sheet">') == 2


def test_markup_in_a_name_stays_a_name() -> None:
    records = Records.of(
        {"printers": pd.DataFrame({"printer": ["<b>Bench</b>"], "started_on": "2025-01-06"})}
    )
    assert "<b>" not in pages(records)
    assert "<b>Bench</b>, November 2026" in words(pages(records))


def test_a_csv_file_takes_one_printer() -> None:
    with pytest.raises(UsageError, match=r"Bench, Sill\. Name one printer, or take XLSX"):
        log_csv(printer_months(workshop(), PRINTED_ON, NOVEMBER))


def test_six_tasks_and_thirty_one_days_print_on_one_page_each(
    chromium: Browser, tmp_path: Path
) -> None:
    page = chromium.new_page()
    file = tmp_path / "log.html"
    file.write_text(pages(workshop(), date(2026, 12, 1)), encoding="utf-8")
    page.goto(file.as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    assert printed.count(b"/Type /Page\n") == 2
