"""Stored words are words on paper, in mails, calendars and files too."""

from __future__ import annotations

import csv
import io
import re
from html.parser import HTMLParser
from pathlib import Path

import pandas as pd
import pytest

from tests.hostile_words import ELSEWHERE, attacked, hostile_demo
from tracker.commands import main
from tracker.intake.csv_text import harmless_csv
from tracker.intake.exchange import write_folder
from tracker.language import speaking

AS_OF = ("--as-of", "2026-10-30")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("hostile")
    write_folder(hostile_demo(), folder)
    return str(folder)


class _Read(HTMLParser):
    """What a browser would make of a page: its texts, and every address that it could fetch."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text, self.addresses, self.tags = "", [], set()
        self.feed(page)

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.addresses += [value for name, value in attrs if value and ELSEWHERE in value]


@pytest.mark.parametrize(
    "command",
    [
        ("review", "--month", "2026-09"),
        ("labels", "--address", "http://printroom:8501"),
        ("paper-log", "--month", "2026-11"),
    ],
    ids=lambda command: command[0],
)
def test_a_printed_page_shows_stored_words_letter_for_letter(
    command: tuple[str, ...], workshop: str, tmp_path: Path
) -> None:
    out = tmp_path / "page.html"
    assert main([*command, "--data", workshop, *AS_OF, "--out", str(out)]) == 0
    page = _Read(out.read_text(encoding="utf-8"))
    assert attacked("Window") in page.text.replace("\N{NO-BREAK SPACE}", " ")
    assert "img" not in page.tags
    assert page.addresses == [] or command[0] == "labels"  # there the name is part of an address
    assert all(address.startswith("http://printroom:8501/") for address in page.addresses)


def test_a_calendar_holds_stored_words_as_text(workshop: str, tmp_path: Path) -> None:
    out = tmp_path / "due.ics"
    assert main(["calendar", "--data", workshop, *AS_OF, "--out", str(out)]) == 0
    whole = out.read_text(encoding="utf-8").replace("\r\n ", "").replace("\n ", "")
    named = [line for line in whole.splitlines() if ELSEWHERE in line]
    assert named
    texts = {"SUMMARY", "DESCRIPTION", "LOCATION", "NAME", "X-WR-CALNAME"}
    assert {re.split("[:;]", line)[0] for line in named} <= texts


def test_a_file_of_a_tables_cells_has_days_as_iso_8601_does_in_any_language() -> None:
    shown = pd.DataFrame({"out": pd.to_datetime(["2026-03-04", None])})
    with speaking("es"):
        assert harmless_csv(shown).splitlines() == ["out", "2026-03-04", '""']


def test_a_file_of_a_tables_cells_runs_nothing() -> None:
    shown = pd.DataFrame({"=head": ["=HYPERLINK(1)", "+1+1", "@x", "-2"], "m²": [-1.0, 2, 3, 4]})
    for rows in (harmless_csv(shown), harmless_csv(shown.set_index("=head"), index=True)):
        for row in csv.reader(io.StringIO(rows)):
            assert not any(re.match(r"[=+@]", cell) for cell in row), row
