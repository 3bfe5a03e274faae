"""Two seats at one workshop, in a real browser each with a device of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from pages.shell import device
from tests.app.real_server import Served
from tests.app.test_at_the_printer_browser import own
from tests.chromium import DESKTOP, PHONE, tap
from tracker.store.database import Store

__all__ = ["own"]  # the fixture
pytestmark = pytest.mark.browser


def seat(
    open_page: Callable[..., Page], address: str, who: str, size: dict[str, int] = DESKTOP
) -> Page:
    """A device that knows who is at it."""
    page = open_page("about:blank", size)
    cookie = {"name": "tracker_device", "value": device.packed({"who": who}), "url": address}
    page.context.add_cookies([cookie])  # type: ignore[list-item]
    return page


def correct(page: Page, address: str, row_id: int) -> None:
    """Open one of the parts fitted, by its number."""
    page.goto(f"{address}/records")
    number = page.get_by_label("Number of the record")
    number.fill(str(row_id))
    number.press("Enter")
    expect(page.get_by_role("button", name=f"Save record {row_id}")).to_be_visible()


def write(page: Page, label: str, text: str) -> None:
    field = page.get_by_role("textbox", name=label).locator("visible=true")
    field.fill(text)
    field.press("Tab")


def test_two_seats_on_one_record_and_one_failure(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    fittings = own.records().fittings
    left = (fittings["printer"] == "Left") & (fittings["part_kind"] == "wiper")
    wiper = int(fittings.index[left][-1])
    address = served()
    ana, ben = seat(browser_page, address, "Ana"), seat(browser_page, address, "Ben", PHONE)
    for page in (ana, ben):
        correct(page, address, wiper)
    write(ana, "Serial", "S-17")
    write(ana, "Note", "from Ana")
    ana.get_by_role("button", name=f"Save record {wiper}").click()
    expect(ana.get_by_text("Corrected in “Parts fitted”").first).to_be_visible()

    write(ben, "Batch", "B-4")
    write(ben, "Note", "from Ben")
    ben.get_by_role("button", name=f"Save record {wiper}").click()
    asked = ben.get_by_text("Ana wrote “from Ana” under “Note”")
    expect(asked).to_be_in_viewport()
    assert own.records().fittings.loc[wiper, "note"] == "from Ana"
    tap(ben, "Write “from Ben”")
    ben.get_by_role("button", name="Save it so").click()
    expect(ben.get_by_text("Corrected in “Parts fitted”").first).to_be_visible()
    row = own.records().fittings.loc[wiper]
    assert (row["serial"], row["batch"], row["note"]) == ("S-17", "B-4", "from Ben")

    log = "log?what=Part%20change&printer=Left"
    save = "Log: Wiper blade of Left failed and was changed"
    for page in (ana, ben):
        page.goto(f"{address}/{log}")
        tap(page, "Wiper blade")
        expect(page.get_by_role("button", name=save)).to_be_visible()
    ana.get_by_role("button", name=save).click()
    expect(ana.get_by_text("Wiper blade of Left failed and was changed.").first).to_be_visible()
    ben.get_by_role("button", name=save).click()
    expect(ben.get_by_text("Ana logged this")).to_be_in_viewport()
    expect(ben.get_by_role("button", name="Yes, log it a second time")).to_be_visible()
    assert own.records().fittings["removal_reason"].tolist().count("failed") == 1
    ben.get_by_role("button", name="Open what is recorded").click()
    expect(ben.get_by_role("button", name=f"Save record {wiper}")).to_be_visible()
    assert own.records().fittings["removal_reason"].tolist().count("failed") == 1
