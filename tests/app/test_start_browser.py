"""In a real browser: from nothing to the first forecast, every tap counted."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.app.settled import kept_on_the_device, settle
from tests.chromium import PHONE
from tracker.store.database import open_store

pytestmark = pytest.mark.browser
MOST_TAPS = 40
ANSWERS = ("Today", "This week", "This month", "No idea")


class Finger:
    """Taps on what is there, and counts."""

    def __init__(self) -> None:
        self.taps = 0

    def on(self, target: Locator) -> None:
        target.click()
        self.taps += 1

    def types(self, target: Locator, text: str) -> None:
        self.on(target)
        target.fill(text)
        target.press("Tab")


def button(page: Page, label: str) -> Locator:
    return page.get_by_test_id("stMain").get_by_role("button", name=label)


def answer_each(page: Page, finger: Finger, rows: list[tuple[str, str]]) -> None:
    """One tap in each row, found by its question; each is waited for.

    The page is whole before the first: a press on a row that is drawn anew meanwhile is none.
    """
    settle(page)
    for question, answer in rows:
        row = page.get_by_test_id("stButtonGroup").filter(has_text=question)
        choice = row.get_by_role("radio", name=answer, exact=True)
        finger.on(choice)
        expect(choice).to_have_attribute("aria-checked", "true")


def test_two_printers_reach_their_first_forecast_in_few_taps_and_a_reload_loses_nothing(
    served_from_nothing: Callable[..., str],
    browser_page: Callable[..., Page],
    tmp_path: Path,
) -> None:
    page = browser_page(served_from_nothing(), PHONE)
    finger = Finger()
    finger.on(button(page, "Start my own workshop"))
    names = page.get_by_label("Name of the printer, as you call it")
    finger.types(names.first, "Left")
    finger.on(button(page, "Add another one like it"))
    expect(names).to_have_count(2)
    expect(names.nth(1)).to_have_value("Left 2")
    finger.types(names.nth(1), "Right")
    finger.on(button(page, "Continue"))

    expect(page.get_by_text("Step 2 of 4")).to_be_visible()
    ages = [
        ("2 × printhead (six-channel head)", "Months"), ("Dampers (12)", "Weeks"),
        ("Wiper blades", "New"), ("Capping stations", "About a year"), ("Ink pumps", "Months"),
    ]  # fmt: skip
    answer_each(page, finger, ages)
    kept_on_the_device(page, "age-pump[^,]*Months")
    page.reload()
    expect(page.get_by_text("Step 2 of 4")).to_be_visible()
    finger.on(button(page, "Continue"))

    expect(page.get_by_text("Step 3 of 4")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    finger.on(button(page, "Continue"))

    expect(page.get_by_text("Step 4 of 4")).to_be_visible()
    tasks = [
        "Stir or shake", "Nozzle check", "Shake dampers", "Clean wiper blade", "Flush the head",
        "Empty the waste", "Wipe the encoder", "Clean the feed", "Humidify", "Keep the tank",
    ]  # fmt: skip
    answer_each(page, finger, [(t, ANSWERS[i % 3]) for i, t in enumerate(tasks)])
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    finger.on(button(page, "Write it down and show my first forecast"))

    expect(page.get_by_role("heading", name="Your first forecast")).to_be_visible()
    expect(page.get_by_text("this is mostly the starting guess")).to_be_visible()
    expect(page.get_by_text("even chance it lasts until").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert finger.taps <= MOST_TAPS

    with open_store(f"sqlite:///{tmp_path / 'workshop.sqlite'}") as store:
        records = store.records()
    assert records.printers["printer"].tolist() == ["Left", "Right"]
    caps = records.fittings.query("part_kind == 'cap'")
    assert caps["age_guess_days"].tolist() == [365, 365], "said before the reload"
    assert len(records.routines) == len(tasks)
