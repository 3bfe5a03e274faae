"""A number is typed and the button tapped once, as a hand does: it is saved, in a real browser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.app.real_server import Served
from tests.app.settled import settle
from tests.chromium import DESKTOP, PHONE
from tests.copied import Copies
from tracker.store import acts
from tracker.store.database import Store

pytestmark = pytest.mark.browser


def fill(store: Store) -> None:
    """One printer with a head and two channels."""
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    acts.fit_first_part(store, acts.PartPosition("Ada", "head", "H1"), date(2026, 1, 5))


@pytest.fixture
def own(tmp_path: Path, copies: Copies) -> Store:
    return copies.opened(f"sqlite:///{tmp_path}/workshop.sqlite", fill)


def tap_once(page: Page, key: str) -> None:
    """Down and up at the place where the button stands when the hand goes for it."""
    button = page.locator(f".st-key-{key} button")
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.wait_for_timeout(90)
    page.mouse.up()


FORMS = [
    ("Counter", "counter-area", "counter-save", "counters"),
    ("Stock", "count-head-", "stock-save", "stock"),
    ("Nozzle check", "nozzle-K", "nozzle-save", "nozzle_checks"),
]


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize(("form", "field", "button", "table"), FORMS)
def test_one_tap_after_a_number_saves(
    served: Served, browser_page: Callable[..., Page], own: Store,
    form: str, field: str, button: str, table: str, size: dict[str, int],
) -> None:  # fmt: skip
    page = browser_page(f"{served()}/log?what={form}&printer=Ada", size)
    settle(page)
    if form == "Nozzle check":
        page.get_by_text("All nozzles fire", exact=True).click()
        settle(page)
    typed = page.locator(f".st-key-{field} input")
    typed.click()
    typed.fill("")
    page.keyboard.type("7")
    tap_once(page, button)
    said = page.get_by_test_id("stAlertContainer").first
    expect(said).to_be_visible()
    assert own.records().count(table) > 0, said.inner_text()
    toast, told = page.get_by_test_id("stToast").bounding_box(), said.bounding_box()
    assert toast is not None
    assert told is not None
    apart = toast["y"] >= told["y"] + told["height"] or toast["y"] + toast["height"] <= told["y"]
    assert apart, "the toast hides what it repeats"
