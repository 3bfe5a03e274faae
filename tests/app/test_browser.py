"""Once in a real browser: start, log a part change, see the forecast change, export the review."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from matplotlib.image import imread
from playwright.sync_api import Page, expect

from tests.app.settled import settle
from tests.chromium import PHONE, tap
from tracker.commands import main

pytestmark = pytest.mark.browser

# Contrast of an element's edge with the page, as WCAG 2.2 reckons it.
EDGE = """field => {
  const light = colour => {
    const [r, g, b] = colour.match(/[\\d.]+/g).map(Number)
      .map(part => part / 255)
      .map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05;
  };
  const page = light(getComputedStyle(document.querySelector('.stApp')).backgroundColor);
  const edge = light(getComputedStyle(field).borderTopColor);
  return Math.max(page, edge) / Math.min(page, edge);
}"""


def test_a_part_change_is_logged_and_the_forecast_changes_and_the_review_is_saved(
    served: Callable[..., str], browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    address = served()
    page = browser_page(address)
    expect(page.get_by_text("Demo workshop – invented data")).to_be_visible()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()

    page.goto(f"{address}/lives")
    tap(page, "Wiper blade")
    sentence = page.get_by_role("heading", name="Wiper blade: half fail by")
    expect(sentence).to_be_visible()
    settle(page)  # a fold opened on what the tap is about to replace would close with it
    tap(page, "As a table, with the printed area left")
    table = page.get_by_role("region", name="Remaining life of every fitted part, with its range")
    expect(table).to_be_visible()
    before = sentence.inner_text()

    page.goto(f"{address}/log")
    tap(page, "Yard")
    tap(page, "Wiper blade")
    page.get_by_role("button", name="Log: Wiper blade of Yard failed and was changed").click()
    expect(page.get_by_text("Wiper blade of Yard failed and was changed.").first).to_be_visible()

    page.goto(f"{address}/lives")
    tap(page, "Wiper blade")
    expect(sentence).to_be_visible()
    expect(sentence).not_to_have_text(before)
    assert "20 failures" in sentence.inner_text()

    page.goto(f"{address}/review")
    page.get_by_role("button", name="Print or take away").click()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Page for the meeting").click()
    path = tmp_path / "review.html"
    saved.value.save_as(path)
    text = path.read_text(encoding="utf-8")
    assert text.lstrip().lower().startswith("<!doctype html")
    assert "2026" in text


def test_on_a_desktop_the_notice_that_something_was_logged_leaves_its_undo_free(
    served: Callable[..., str], browser_page: Callable[..., Page]
) -> None:
    page = browser_page(f"{served()}/log")
    tap(page, "Yard")
    tap(page, "Wiper blade")
    page.get_by_role("button", name="Log: Wiper blade of Yard failed and was changed").click()
    toast = page.get_by_test_id("stToast")
    expect(toast).to_be_in_viewport()
    undo = page.get_by_role("button", name="Undo").first
    expect(undo).to_be_in_viewport()
    below, above = undo.bounding_box(), toast.bounding_box()
    assert below
    assert above
    assert above["y"] >= below["y"] + below["height"]
    undo.click()  # nothing lies on it
    expect(page.get_by_text("Taken back: ").first).to_be_visible()


def test_on_a_phone_a_tap_is_answered_in_sight_and_fingers_find_the_pills(
    served: Callable[..., str], browser_page: Callable[..., Page]
) -> None:
    page = browser_page(f"{served()}/log", PHONE)
    tap(page, "Yard")
    tap(page, "Wiper blade")
    low = page.evaluate(
        "Math.min(...[...document.querySelectorAll('[data-testid=stButtonGroup] button')]"
        ".map(pill => pill.getBoundingClientRect().height))"
    )
    assert low >= 44
    button = page.get_by_role("button", name="Log: Wiper blade of Yard failed and was changed")
    button.click()
    expect(page.get_by_test_id("stToast")).to_be_in_viewport()
    expect(
        page.get_by_text("Wiper blade of Yard failed and was changed.").first
    ).to_be_in_viewport()
    page.get_by_role("button", name="Log another entry").click()
    tap(page, "Wiper blade")
    button.click()
    asked = page.get_by_text("This was logged a moment ago: Changed Wiper blade")
    expect(asked).to_be_in_viewport()

    tap(page, "Stock")
    expect(page.get_by_text("Put on the shelf")).to_be_visible()
    expect(button).to_be_hidden()
    tap(page, "Put on the shelf")
    expect(page.get_by_text("Write down what you counted")).to_be_hidden()
    tap(page, "Wiper blade")
    assert page.get_by_test_id("stNumberInputContainer").first.evaluate(EDGE) >= 3  # 1.4.11
    page.get_by_label("Pieces").first.fill("-3")
    page.get_by_role("button", name="Log this").click()
    expect(page.get_by_text("Pieces: -3 is less than 1")).to_be_visible()


def test_from_the_break_even_one_tap_leads_to_the_costs_and_the_sheet_is_saved(
    demo_address: str, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    page = browser_page(f"{demo_address}/maintenance", PHONE)
    answer = page.get_by_role("heading", level=4)
    expect(answer).to_contain_text("due on")
    tap(page, "Does it pay?")
    expect(answer).to_contain_text("pays once one damper failure costs more than")
    link = answer.get_by_role("link", name="Change")
    link.click()
    lid = page.get_by_text("One damper failure:")
    expect(lid).to_be_in_viewport()
    lid.click()
    expect(page.get_by_label("Price of one piece").first).to_be_visible()
    with page.expect_download() as saving:
        page.get_by_role("button", name="One sheet to print").click()
    sheet = tmp_path / "sheet.html"
    saving.value.save_as(sheet)
    assert "pays once one damper failure costs more than" in sheet.read_text(encoding="utf-8")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


CALENDAR_OF_TWO = """\
Maintenance list October 2026;;;;;
Left;;;;;
;;;;;
Day;Dampers shaken;white stirred;nozzle test;Wiper new;remarks
1;;x;x;;
2;x;x;x;;
5;;AB;x;;film ran out
6;;x;;x;
17;✓;x;x;;
total;2;5;4;1;
;;;;;
Right;;;;;
;;;;;
Day;Dampers shaken;white stirred;nozzle test;Wiper new;remarks
2;;x;x;;
5;x;x;x;;
"""


def test_a_calendar_of_crosses_comes_in_and_the_list_of_what_is_due_follows(
    served: Callable[..., str], browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    sheet = tmp_path / "crosses.csv"
    sheet.write_text(CALENDAR_OF_TWO, encoding="utf-8")
    page = browser_page(served(), PHONE)
    page.get_by_role("button", name="Start my own workshop").click()
    page.get_by_role("button", name="Load the spreadsheets I have instead").click()
    page.locator("input[type=file]").set_input_files(sheet)
    expect(page.get_by_text("a calendar of tasks").first).to_be_visible()
    expect(page.get_by_text("Wiper new = wiper blade changed")).to_be_visible()
    tap(page, "Yes, all of them")
    tap(page, "Planned")
    tap(page, "Yes, add it")
    expect(
        page.get_by_text("Left: shake dampers, draw off air on 2 and 17 October")
    ).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_role("button", name="Load 2 printers, 1 part change and 16 tasks").click()
    expect(page.get_by_text("Loaded crosses.csv: 19 records added").first).to_be_visible()
    page.get_by_role("button", name="Take over the usual routines").click()
    page.get_by_role("button", name="See what is due").click()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    page.get_by_role("button", name="I work at the printers").click()
    expect(page.get_by_text(re.compile("^Left – .* due")).first).to_be_visible()
    expect(page.get_by_text(re.compile("^Right – .* due")).first).to_be_visible()
    page.get_by_role("button", name="Undo").wait_for()


def test_the_code_on_a_printer_opens_its_log_form(
    demo_address: str, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    import zxingcpp  # the other tests of this file need no camera

    sheet, photo = tmp_path / "labels.html", tmp_path / "door.png"
    given = ("labels", "--data", "sample_data", "--address", demo_address, "--out", str(sheet))
    assert main(given) == 0
    page = browser_page(sheet.as_uri(), PHONE)
    # A photo of one label, read as a phone's camera reads it.
    page.locator(".label", has_text="Door").screenshot(path=photo)
    grey = (255 * imread(photo)[:, :, 0]).astype("uint8")
    (code,) = zxingcpp.read_barcodes(grey)
    page.goto(code.text)
    expect(page.get_by_role("heading", name="Log", exact=True)).to_be_visible()
    tap(page, "Wiper blade")
    button = page.get_by_role("button", name="Log: Wiper blade of Door failed and was changed")
    expect(button).to_be_visible()
    # The link counted once: another printer picked now is the one that is logged.
    assert "printer=" not in page.url
    tap(page, "Loft")
    expect(
        page.get_by_role("button", name="Log: Wiper blade of Loft failed and was changed")
    ).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_from_the_list_of_printers_to_a_task_due_is_two_taps(
    demo_address: str, browser_page: Callable[..., Page]
) -> None:
    page = browser_page(f"{demo_address}/printer", PHONE)
    page.get_by_role("button", name=re.compile("Yard · ")).click()
    expect(page.get_by_role("heading", name="Yard", exact=True)).to_be_visible()
    expect(page).to_have_url(re.compile(r"/printer\?printer=Yard$"))
    expect(page.get_by_text("Its label", exact=True)).to_be_visible()
    page.get_by_role("button", name="All printers").click()
    expect(page.get_by_role("heading", name="Printers", exact=True)).to_be_visible()
    page.go_back()
    expect(page.get_by_role("heading", name="Yard", exact=True)).to_be_visible()
    page.get_by_role("button", name="Log it").first.click()
    expect(page.get_by_role("button", name=re.compile("^Log: .* on Yard$"))).to_be_visible()
