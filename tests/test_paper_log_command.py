"""The paper log on the command line: pages, the sheet, and what typing it up gives."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest

from tracker.commands import main

DEMO = ("--data", "sample_data", "--as-of", "2026-10-30", "--month", "2026-11")


def test_pages_and_sheet_are_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page, sheet = tmp_path / "log.html", tmp_path / "log.xlsx"
    assert main(["paper-log", *DEMO, "--out", str(page), "--sheet", str(sheet), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [row["printer"] for row in told["printers"]] == ["Window", "Door", "Yard", "Loft"]
    window = {row["task"]: row["due"] for row in told["printers"][0]["tasks"]}
    # Shaken every 7 days, last on Monday 26 October: Mondays. The workshop is closed at weekends.
    mondays = [f"2026-11-{day:02d}" for day in (2, 9, 16, 23, 30)]
    assert window["shake_dampers"] == mondays
    assert page.read_text(encoding="utf-8").count('<section class="sheet">') == 4
    assert openpyxl.load_workbook(sheet).sheetnames == ["Window", "Door", "Yard", "Loft"]


def test_an_empty_sheet_loads_as_nothing(
    database_url: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "log.csv"
    assert main(["load", "sample_data", "--database", database_url]) == 0
    assert main(["paper-log", *DEMO, "--printer", "Door", "--sheet", str(sheet)]) == 0
    capsys.readouterr()
    assert main(["load", str(sheet), "--database", database_url]) == 0
    assert "Nothing to load: the files hold no rows." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--out FILE.html to print, --sheet FILE.xlsx to type"),
        (("--sheet", "log.ods"), "name a file that ends in .csv or .xlsx"),
        (("--sheet", "log.csv"), "Name one printer, or take XLSX"),
        (("--json", "--printer", "Attic"), "'Attic' is not at work in 2026-11"),
    ],
)
def test_what_cannot_be_written_is_said_in_one_line(
    arguments: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["paper-log", *DEMO, *arguments]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""
    assert told.err.count("\n") == 1
