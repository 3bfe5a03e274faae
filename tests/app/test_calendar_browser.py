"""The calendar file in a real browser: fetched where it is offered, read by a parser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest
from playwright.sync_api import Page

from tests.chromium import DESKTOP, PHONE

pytestmark = pytest.mark.browser
LAST_DAY = date(2026, 10, 30)  # the demo is looked at on the last day written down


@pytest.mark.parametrize(
    ("name", "size"), [("more", PHONE), ("maintenance", DESKTOP)], ids=["phone", "desktop"]
)
def test_the_calendar_file_is_fetched_and_read(
    demo_address: str,
    browser_page: Callable[..., Page],
    name: str,
    size: dict[str, int],
    tmp_path: Path,
) -> None:
    page = browser_page(f"{demo_address}/{name}", size)
    with page.expect_download() as fetched:
        page.get_by_role("button", name="Due tasks and order dates (calendar file)").click()
    assert fetched.value.suggested_filename == "due-and-order-dates.ics"
    file = tmp_path / "due.ics"
    fetched.value.save_as(file)
    events = icalendar.Calendar.from_ical(file.read_bytes()).events
    titles = {str(event["summary"]) for event in events}
    assert "Loft: Wipe the encoder strip (16 days late)" in titles
    assert any(title.startswith("Order 2 × printhead (six-channel head)") for title in titles)
    for event in events:
        assert LAST_DAY <= event.start <= LAST_DAY + timedelta(days=60)
