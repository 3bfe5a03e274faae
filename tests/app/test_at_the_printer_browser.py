"""At the printer, in a real browser: tiles, corrections, reloads, a lost line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Page, expect

from tests.app.real_server import Served
from tests.app.settled import kept_on_the_device
from tests.chromium import PHONE, tap
from tests.copied import Copies
from tracker.paper.labels import log_address
from tracker.store import acts
from tracker.store.database import Store

pytestmark = pytest.mark.browser


def fill(store: Store) -> None:
    """Two printers with a head and a wiper each; two tasks due on each."""
    for name in ("Left", "Yard"):
        acts.add_printer(store, acts.NewPrinter(name, date(2026, 1, 5), channels="W1 K C"))
        for kind, position in (("head", "H1"), ("wiper", "wiper")):
            acts.fit_first_part(store, acts.PartPosition(name, kind, position), date(2026, 1, 5))
    for task in ("stir_ink", "wipe_encoder"):
        store.add("routines", {"task": task, "every_days": 7, "starts_on": "2026-10-20"})


@pytest.fixture
def own(tmp_path: Path, copies: Copies) -> Store:
    return copies.opened(f"sqlite:///{tmp_path}/workshop.sqlite", fill)


def test_a_tile_leads_to_a_due_task_a_nozzle_check_and_what_broke(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    page = browser_page(served(), PHONE)
    page.get_by_role("button", name="I work at the printers").click()
    tile = page.get_by_role("button", name="Left ● prints 2 tasks due")
    expect(tile).to_be_visible()
    box = tile.bounding_box()
    assert box is not None
    assert box["height"] >= 88
    first = page.get_by_role("button", name="Done on Left: Wipe the encoder strip")
    expect(first).to_be_in_viewport()  # above the fold
    tile.click()
    expect(page.get_by_role("heading", name="Left")).to_be_visible()
    first.click()
    expect(page.get_by_test_id("stToast")).to_be_in_viewport()
    assert own.records().maintenance[["printer", "task"]].values.tolist() == [
        ["Left", "wipe_encoder"]
    ]

    page.get_by_text("All nozzles fire", exact=True).click()
    fields = page.get_by_role("spinbutton")
    expect(fields).to_have_count(3)
    places = [box for field in fields.all() if (box := field.bounding_box())]
    labels = [field.get_attribute("aria-label") for field in fields.all()]
    assert labels == ["W1 (white) missing", "K (black) missing", "C (cyan) missing"], (
        "the printer's own order"
    )
    in_order = sorted(places, key=lambda place: (round(place["y"]), place["x"]))
    assert places == in_order, "and so on the screen"
    for _ in range(3):
        page.get_by_test_id("stNumberInputStepUp").nth(1).click()
    page.get_by_role("button", name="Log: 3 nozzles missing on Left").click()
    expect(page.get_by_text("Nozzle check of Left: 3 nozzles missing.").first).to_be_visible()
    checks = own.records().nozzle_checks
    assert dict(zip(checks["channel"], checks["missing_nozzles"], strict=True)) == {
        "W1": 0, "K": 3, "C": 0,
    }  # fmt: skip

    page.get_by_role("button", name="Something broke on Left").click()
    tap(page, "Wiper blade")
    tap(page, "It never stood still")
    page.get_by_role("button", name="Log: Wiper blade of Left broke").click()
    expect(page.get_by_text("Wiper blade of Left: logged as one event.").first).to_be_in_viewport()
    out = own.records().fittings.query("removal_reason == 'failed'")
    assert out[["printer", "part_kind"]].values.tolist() == [["Left", "wiper"]]


def test_the_record_of_that_number_is_corrected_and_another_is_removed(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    for day in (1, 8, 15):
        acts.log_tasks(own, "Left", ["stir_ink"], date(2026, 10, day))
    first, second, third = (int(row) for row in own.records().maintenance.index)
    page = browser_page(f"{served()}/records", PHONE)
    page.get_by_role("combobox", name="Which records?").click()
    page.get_by_role("option", name="Tasks done").click()
    # The field of the records before stands until the page is drawn anew.
    expect(page.get_by_text("3 records; tap one")).to_be_visible()
    page.locator("[data-test-script-state=notRunning]").wait_for()
    number = page.get_by_label("Number of the record")
    expect(number).to_have_count(1)
    number.fill(str(second))
    number.press("Enter")
    # Another field of that name waits in a folded form.
    note = page.get_by_role("textbox", name="Note").locator("visible=true")
    note.fill("film ran out")
    note.press("Tab")
    page.get_by_role("button", name=f"Save record {second}: Left, ").click()
    expect(page.get_by_role("button", name="Save record")).to_have_count(0)  # the form closed
    expect(number).to_have_value("")
    notes = own.records().maintenance["note"]
    assert notes.to_dict() == {first: "", second: "film ran out", third: ""}

    number.fill(str(third))
    number.press("Enter")
    page.get_by_role("button", name=f"Remove record {third}: Left, ").click()
    expect(page.get_by_text(f"Take out record {third}: Left, ")).to_be_visible()
    assert len(own.records().maintenance) == 3, "asked first"
    page.get_by_role("button", name=f"Yes, remove record {third}").click()
    expect(page.get_by_text("Removed from “Tasks done”").first).to_be_visible()
    assert own.records().maintenance.index.tolist() == [first, second]

    tap(page, "What was changed")
    page.get_by_role("button", name="Undo").nth(2).click()  # after the notice's: the correction's
    expect(page.get_by_text("Taken back: Corrected in “Tasks done”").first).to_be_visible()
    assert own.records().maintenance["note"].tolist() == ["", ""]


def test_a_half_filled_form_and_a_name_survive_a_reload_and_a_saved_form_is_empty(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    page = browser_page(f"{served()}/log?what=Task%20done&printer=Yard", PHONE)
    tap(page, "Clean wiper blade and cap edge")
    tap(page, "Because something was wrong")
    tap(page, "Details: day, part, minutes, fluid")
    for label, typed in (("Note", "left side"), ("Your name", "Ana")):
        page.get_by_label(label).fill(typed)
        page.get_by_label(label).press("Tab")
    save = page.get_by_role("button", name="on Yard")
    expect(save).to_be_visible()
    kept_on_the_device(page, "Ana")
    page.reload()
    expect(save).to_be_visible()
    tap(page, "Details: day, part, minutes, fluid")
    expect(page.get_by_label("Note")).to_have_value("left side")
    expect(page.get_by_label("Your name")).to_have_value("Ana")
    save.click()
    expect(page.get_by_text("Logged as done on Yard: Clean wiper").first).to_be_in_viewport()
    done = own.records().maintenance
    assert done[["printer", "task", "why", "note", "done_by"]].values.tolist() == [
        ["Yard", "clean_wiper_cap", "symptom", "left side", "Ana"]
    ]
    page.get_by_role("button", name="Log another entry").click()
    tap(page, "Details: day, part, minutes, fluid")
    expect(page.get_by_label("Note")).to_have_value("")
    expect(page.get_by_label("Your name")).to_have_value("Ana")


def test_a_draft_of_the_demo_never_comes_up_in_ones_own_workshop(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    # Two servers of one host share what a device keeps.
    demo, ours = served(TRACKER_DEMO="yes"), served()
    link = "log?what=Counter&printer=Yard"
    page = browser_page(f"{demo}/{link}", PHONE)
    field = page.get_by_label("Printed area so far")
    field.fill("777")
    field.press("Enter")
    kept_on_the_device(page, "777")
    page.reload()
    expect(field).to_have_value("777")
    page.goto(f"{ours}/{link}")
    expect(page.get_by_text("Demo workshop")).to_have_count(0)
    expect(field).to_have_value("")


HOSTILE = 'A&B #1 %41/ü"<'


def test_a_label_leads_to_a_printer_of_whatever_name(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    acts.add_printer(own, acts.NewPrinter(HOSTILE, date(2026, 1, 5), channels="K"))
    where = acts.PartPosition(HOSTILE, "head", "H1")
    acts.fit_first_part(own, where, date(2026, 1, 5), new=acts.NewPart(batch=HOSTILE))
    address = served()
    page = browser_page(log_address(address, HOSTILE), PHONE)
    tap(page, "Printhead")
    expect(
        page.get_by_role("button", name=f"Log: Printhead H1 of {HOSTILE} failed and was changed")
    ).to_be_visible()
    page.get_by_role("link", name=f"Everything about {HOSTILE}").click()
    expect(page.get_by_role("heading", name=HOSTILE, exact=True)).to_be_visible()
    named = parse_qs(urlsplit(page.url).query)
    assert named == {"printer": [HOSTILE]}
    page.reload()  # the address alone, as somebody else would open it
    expect(page.get_by_role("heading", name=HOSTILE, exact=True)).to_be_visible()
    page.get_by_role("button", name="Something broke").click()
    tap(page, "Printhead")
    expect(page.get_by_role("button", name=f"Log: Printhead H1 of {HOSTILE} broke")).to_be_visible()


def test_a_lost_line_is_told_and_the_word_goes_when_it_is_back(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    address = served()
    page = browser_page(f"{address}/log", PHONE)
    expect(page.get_by_role("heading", name="Log")).to_be_visible()
    notice = page.locator("#tracker-offline")
    expect(notice).to_be_attached()  # the page stands whole, and nothing is told
    expect(notice).to_be_hidden()
    served.stop()
    expect(notice).to_be_visible()
    expect(notice).to_contain_text("what you tap now is not saved")
    expect(notice).to_be_in_viewport()
    served(port=int(address.rsplit(":", 1)[1]))
    expect(notice).to_be_hidden()
