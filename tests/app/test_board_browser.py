"""The board in a real browser: taps and keys open a printer, nothing written runs as markup."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Page, expect

from tests.chromium import DESKTOP, PHONE
from tests.decisions.workshops import rows
from tracker.store.database import open_store
from tracker.workshop.records import Records

pytestmark = pytest.mark.browser


def board(page: Page) -> None:
    expect(page.get_by_role("table", name="Printers and the likely remaining life")).to_be_visible()


def test_a_tap_on_a_cell_and_on_a_name_opens_that_printer(
    demo_address: str, browser_page: Callable[..., Page]
) -> None:
    page = browser_page(demo_address)
    board(page)
    page.get_by_role("button", name="Printhead H1 (eight-channel head) of Loft: ").click()
    page.wait_for_url("**/printer?printer=Loft&part=head&position=H1")
    page.goto(demo_address)
    board(page)
    expect(page.get_by_text("as likely as not it lasts until here")).to_be_visible()
    page.get_by_role("button", name="Capping station of Loft: ").click()
    page.wait_for_url("**/printer?printer=Loft&part=cap&position=cap")
    marked = page.locator(".st-key-asked-part")
    expect(marked).to_contain_text("Capping station – in for")
    expect(marked).to_be_in_viewport()
    page.goto(demo_address)
    board(page)
    page.get_by_role("button", name="Window, prints, six-channel head, Open Window").press("Enter")
    page.wait_for_url("**/printer?printer=Window")
    expect(page.get_by_role("heading", name="Window", exact=True)).to_be_visible()
    expect(marked).to_have_count(0)


def test_the_board_fits_the_screen_and_fingers_find_its_cells(
    demo_address: str, browser_page: Callable[..., Page]
) -> None:
    page = browser_page(demo_address, PHONE)
    board(page)
    # On a phone one bar stands under another.
    assert_fits(page, PHONE["width"], columns=1)
    page.set_viewport_size(DESKTOP)  # type: ignore[arg-type]
    page.reload()
    board(page)
    assert_fits(page, DESKTOP["width"], columns=5)


def assert_fits(page: Page, width: int, columns: int) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    cells = page.get_by_role("table").get_by_role("cell").get_by_role("button")
    boxes = [cell.bounding_box() for cell in cells.all()]
    assert len(boxes) == 20  # five columns of four printers
    for box in boxes:
        assert box is not None
        assert box["height"] >= 44
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    assert len({round(box["x"]) for box in boxes if box}) == columns


def test_a_name_that_looks_like_markup_is_shown_as_it_was_written(
    served: Callable[..., str], browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    name = "<img src=x onerror=document.title='run'>"
    with open_store(f"sqlite:///{tmp_path / 'workshop.sqlite'}") as store:
        store.load(
            Records.of(
                {
                    "printers": rows("printer started_on channels", (name, "2026-01-05", "C")),
                    "fittings": rows(
                        "printer part_kind position fitted_on", (name, "head", "H1", "2026-01-05")
                    ),
                    "stoppages": pd.DataFrame(
                        {
                            "printer": [name], "cause": ["<b>jam</b>"],
                            "began_at": pd.to_datetime(["2026-10-30 08:00"]),
                        }
                    ),
                }
            ),
            "by hand",
        )  # fmt: skip
    page = browser_page(served())
    board(page)
    table = page.get_by_role("table")
    expect(table.get_by_text(name, exact=True)).to_be_visible()
    expect(table.get_by_text("since 30 Oct: <b>jam</b>")).to_be_visible()
    assert table.locator("img").count() == 0
    assert page.title() != "run"
