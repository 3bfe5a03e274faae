"""A hostile name on every page, in a real browser: nothing of it is an element, nothing leaves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import ConsoleMessage, Page, Request

from tests.app.real_server import Served
from tests.app.settled import settle
from tests.app.test_hostile_words import PAGES
from tests.hostile_words import ELSEWHERE, write_hostile_workshop

pytestmark = pytest.mark.browser

# What the attack would have become: a picture, a link, bold and slanted letters, an icon.
_BECAME = f"""() => [
  ...[...document.querySelectorAll('[src], [data], image')]
    .filter(one => (one.src || one.data || '').includes('{ELSEWHERE}')),
  ...[...document.links].filter(one => one.hostname === '{ELSEWHERE}'),
  ...[...document.querySelectorAll('b, strong, i, em, tspan')]
    .filter(one => ['b', 'e', 's'].includes(one.textContent)),
].map(one => one.outerHTML.slice(0, 200))"""

_UNFOLD = "document.querySelectorAll('details:not([open]) > summary').forEach(fold => fold.click())"


def test_a_hostile_name_is_no_element_and_makes_no_request_on_any_page(
    served: Served, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    write_hostile_workshop(tmp_path)
    address = served()
    page = browser_page(address)
    left: list[str] = []
    stopped: list[str] = []

    def look_at_request(request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme not in ("data", "blob") and parts.hostname != "localhost":
            left.append(request.url)

    def look_at_message(message: ConsoleMessage) -> None:
        if "Content Security Policy" in message.text:
            stopped.append(message.text)

    page.on("request", look_at_request)
    page.on("console", look_at_message)
    for name in PAGES:
        page.goto(f"{address}/{'' if name == 'today' else name}")
        settle(page)
        page.evaluate(_UNFOLD)
        settle(page)
        assert page.evaluate(_BECAME) == [], name
    assert left == []
    assert stopped == [], "the policy had nothing to stop"


def test_a_table_offers_the_download_that_runs_nothing(
    served: Served, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    write_hostile_workshop(tmp_path)
    page = browser_page(f"{served()}/spares")
    settle(page)
    page.evaluate(_UNFOLD)
    settle(page)
    table = page.get_by_test_id("stDataFrame").first
    table.scroll_into_view_if_needed()
    table.hover()
    toolbar = page.get_by_test_id("stElementToolbar").first
    assert toolbar.get_by_role("button").count() > 0
    assert page.get_by_role("button", name="Download as CSV").count() == 0
    with page.expect_download() as kept:
        page.get_by_role("button", name="Download this table (CSV)").first.click()
    text = kept.value.path().read_text(encoding="utf-8")
    assert "'=" in text
    assert not any(line.startswith("=") or ",=" in line for line in text.splitlines())
