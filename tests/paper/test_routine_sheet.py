"""The one-page sheet that says whether a routine pays to whoever pays for it."""

from __future__ import annotations

import html
import re
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tracker.decisions.routine.task_value import TaskValue, task_value
from tracker.intake.exchange import read_folder
from tracker.paper.routine_sheet import routine_sheet
from tracker.say import numbers
from tracker.say.maintenance.value.costs import cost_lines
from tracker.say.maintenance.value.kind_value import kinds_listing
from tracker.say.maintenance.value.task_value import (
    break_even_sentence,
    least_cost_lines,
    not_counted,
    together_sentence,
)

SAMPLE = Path(__file__).parents[2] / "sample_data"
DAY = date(2026, 10, 30)
# Told of one kind of two; belief only of three kinds, one cost line and one check more.
ASKED = (("shake_dampers", 7, 30), ("clean_wiper_cap", 3, 7))


@cache
def demo(task: str, every: float, instead: float) -> TaskValue:
    return task_value(read_folder(SAMPLE), DAY, task, every, instead)


def words(sheet: str) -> str:
    """What can be read on the sheet."""
    text = html.unescape(re.sub(r"<[^>]+>", " ", sheet.split("<body>")[1]))
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


@pytest.mark.parametrize("asked", ASKED, ids=lambda asked: str(asked[0]))
def test_the_sheet_says_what_the_page_and_the_command_say(asked: tuple[str, float, float]) -> None:
    value = demo(*asked)
    told = words(routine_sheet(value, "Ink & Co"))
    for sentence in (
        break_even_sentence(value), together_sentence(value), *cost_lines(value),
        *not_counted(value), *least_cost_lines(value), *(" ".join(row) for row in
        kinds_listing(value).rows),
    ):  # fmt: skip
        assert sentence in told, sentence


def test_the_evidence_stands_on_the_sheet_with_its_picture_and_cautions() -> None:
    value = demo(*ASKED[0])
    sheet = routine_sheet(value, "")
    told = words(sheet)
    assert sheet.count("<svg") == 1
    ratio = numbers.figure(value.kinds[0].effect.hazard_ratio.estimate)
    for sentence in (
        f"Damper: {value.kinds[0].effect.failures} failures seen; the risk at the same age, as a "
        f"multiple: {ratio}", "(Cox)", "Printhead failures, the log cannot tell yet",
        "In force today: every 7, 10, 21 and 30 days", "All changes together",
        "changed with time too", "With the last 0, 3, 7, 14 days before each day left out",
        "Switch off and pull the plug", "what you are not trained for",
    ):  # fmt: skip
        assert sentence in told, sentence
    # Not of the one kind alone: here both are counted.
    assert "failures are counted in money" not in told


def test_the_sheet_lets_no_markup_in_and_fetches_nothing() -> None:
    sheet = routine_sheet(demo(*ASKED[0]), "<b>Ink & Co</b>", is_demo=True)
    assert "&lt;b&gt;Ink &amp; Co&lt;/b&gt;" in sheet
    assert "<b>" not in sheet
    assert not re.search(r"https?:|//[a-z]|@import|<script|<link|url\((?!#)", sheet)
    assert "invented data" in sheet
    assert "invented data" not in routine_sheet(demo(*ASKED[0]), "")


def test_the_same_answer_gives_the_same_bytes() -> None:
    value = demo(*ASKED[0])
    assert routine_sheet(value, "Ink & Co") == routine_sheet(value, "Ink & Co")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_prints_on_one_page(chromium: Browser, tmp_path: Path, paper: str) -> None:
    page = chromium.new_page()
    for asked in ASKED:
        file = tmp_path / "sheet.html"
        sheet = routine_sheet(demo(*asked), "Ink & Co", is_demo=True)
        file.write_text(sheet, encoding="utf-8")
        page.goto(file.as_uri())
        printed = page.pdf(format=paper)
        assert printed.count(b"/Type /Page\n") == 1
