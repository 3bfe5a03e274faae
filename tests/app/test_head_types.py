"""The demo has printers of two head types: wherever a head is spoken of, its type is named.

A six-channel head is no spare for an eight-channel printer, so "a printhead" alone can be acted on
wrongly. What is said of the kind as a whole (its lives, what a task does for it, how it is touched
with care) names none; such sentences are listed here, so that no other passes for one.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tracker.commands import main
from tracker.commands.sources import folder_records
from tracker.paper.review import paper_html
from tracker.review.month import month_review
from tracker.workshop.records import Records

ROOT = Path(__file__).parent.parent.parent
DEMO = ("--data", "sample_data", "--as-of", "2026-10-30")
MONTHS = (date(2026, 8, 1), date(2026, 10, 1))  # August: a head failed and printers stood for it
TYPE = r"(?:six|eight)-channel head"
# A name without a type: not followed by it (in a table's next column), neither the supplier of
# that name nor a heading's word.
UNNAMED = re.compile(
    rf"(?<!Quay )\b[Pp]rintheads?\b(?!(?: H\d)?(?: \(|, |  +)(?:{TYPE}))"
    rf"|\b[Hh]ead H\d\b(?! \({TYPE})"
)
OF_THE_KIND = re.compile(
    r"^Type of printhead$"
    r"|nozzle plate"  # how any head is touched with care
    # What a task does for the kind.
    r"|for (?:[a-z ]+\\?\([0-9]+ failures?\\?\), )*printhead \\?\([0-9]+ failures?"
    r"|It depends most on the printhead\\?: a failure costs"
    r"|That leaves out failures of (?:[a-z ]+ and )?printhead, of which the log cannot tell"
    r"|^With (?:[a-z ]+ and )?printhead together (?:over |under )?[0-9]+\s%\schance that it pays"
    r"|^The log cannot tell yet for (?:[a-z ]+ and )?printhead$"
    r"|printhead and consumables tracker"
)


def unnamed(texts: Iterator[str] | list[str]) -> list[str]:
    """The lines that speak of a head without its type."""
    lines = [line.strip() for text in texts for line in re.split(r"[\n;]|(?<=[a-z)]\.) ", text)]
    return [line for line in lines if UNNAMED.search(line) and not OF_THE_KIND.search(line)]


def shown(page: AppTest) -> Iterator[str]:
    """Every text of the page, its buttons, fields and tables."""
    for kind in ("title", "header", "subheader", "markdown", "caption", "info", "warning",
                 "success", "error"):  # fmt: skip
        yield from (str(element.value) for element in page.get(kind))
    for kind in ("button", "checkbox", "toggle", "text_input", "expander"):
        yield from (str(element.label) for element in page.get(kind))
    for table in page.dataframe:
        rows = table.value.reset_index().astype(str)
        yield from ("\t".join(row) for row in rows.itertuples(index=False))


@pytest.fixture(scope="module")
def demo() -> Records:
    return folder_records(str(ROOT / "sample_data"), None)  # type: ignore[arg-type]


def test_a_name_with_its_type_passes_and_one_without_is_found() -> None:
    named = ["Order 1 × printhead (six-channel head).", "Printhead H1 (eight-channel head) of Yard",
             "2 printheads (six-channel head) from Quay Printheads",
             "Printhead  six-channel head  2  0"]  # fmt: skip
    assert unnamed(named) == []
    wrong = ["Claim the printhead H1 of Yard.", "Printhead\t2\t0", "Head H1 failed", "2 printheads"]
    assert unnamed(wrong) == wrong


@pytest.mark.parametrize("command", ["outlook", "stock", "preorder", "review"])
def test_a_command_names_the_type_of_every_head(
    command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    assert main([command, *DEMO]) == 0
    said = capsys.readouterr().out
    assert unnamed([said]) == []
    rows = [line for line in said.splitlines() if line.startswith("Printhead ")]
    assert command == "review" or len(rows) >= 2
    assert all(re.search(TYPE, row) for row in rows)
    assert re.search(TYPE, said)


@pytest.mark.parametrize("month", MONTHS, ids=str)
def test_the_printed_review_names_the_type_of_every_head(demo: Records, month: date) -> None:
    page = re.sub(r"<style.*?</style>", "", paper_html(month_review(demo, month)), flags=re.DOTALL)
    # A label of a chart goes on with its bracket in the next element.
    page = re.sub(r"\s*(?:<[^>]+>\s*)+\((?=\w+-channel)", " (", page)
    rows = re.sub(r"</t[hd]>", "\t", page)
    texts = html.unescape(re.sub(r"</?(?:b|i|em|strong|span|tspan)\b[^>]*>", "", rows))
    assert unnamed(re.split(r"<[^>]+>", texts)) == []


@pytest.mark.parametrize(
    ("name", "state"),
    [
        ("today", {}),
        ("log", {"what": "Part change", "printer": "Yard", "part": "head"}),
        ("spares", {}),
        ("maintenance", {"maintenance-view": "Replace on schedule?"}),
        ("review", {}),
    ],
)
@pytest.mark.usefixtures("shared_demo")
def test_a_page_names_the_type_of_every_head(name: str, state: dict[str, str]) -> None:
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
    into = page.query_params if name == "log" else page.session_state
    for key, value in state.items():
        into[key] = value
    page.switch_page(str(ROOT / "pages" / f"{name}.py")).run()
    assert not page.exception
    texts = list(shown(page))
    assert unnamed(texts) == []
    assert any(re.search(TYPE, text) for text in texts)
