"""Debian's chromium for all tests that need a browser: started once for each worker."""

from __future__ import annotations

import asyncio
import os
import re
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

# A busy machine is slow, not wrong: what is awaited may take minutes.
PATIENCE_MS = 180_000
expect.set_options(timeout=PATIENCE_MS)
PHONE = {"width": 390, "height": 844}
DESKTOP = {"width": 1440, "height": 900}

# The window's own bar is a page too, drawn anew for every device, though nobody sees it: a fifth
# of what opening a page takes. Naming any feature replaces Playwright's list, so those of it that
# a page could notice stand here as well.
_OFF = (
    *("InitialWebUI", "WebUIReloadButton", "PreloadTopChromeWebUI"),
    *("WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup"),
    *("AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades"),
    *("HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding"),
    *("ThirdPartyStoragePartitioning", "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints"),
    *("NetworkTimeServiceQuerying", "AimEnabled", "PreconnectToSearch"),
)
# A page lives for seconds: its scripts cost more to make quick than they then save.
_SWITCHES = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic"),
    f"--disable-features={','.join(_OFF)}",
    "--js-flags=--no-opt --no-maglev",
)


def find_chromium() -> str:
    """Debian's chromium; without it the browser tests are skipped, but never in CI."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        if os.environ.get("TRACKER_TESTS_REQUIRE"):
            pytest.fail("TRACKER_TESTS_REQUIRE is set, but chromium is not installed")
        pytest.skip("chromium is not installed")
    return found


@pytest.fixture(scope="session")
def shared_chromium() -> Iterator[tuple[Browser, asyncio.AbstractEventLoop]]:
    """The worker's browser and the loop that talks to it, which stands still between tests."""
    chromium = find_chromium()
    with sync_playwright() as tool:
        loop = asyncio.get_running_loop()
        browser = tool.chromium.launch(executable_path=chromium, args=_SWITCHES)
        asyncio._set_running_loop(None)
        yield browser, loop
        asyncio._set_running_loop(loop)
        browser.close()


@pytest.fixture
def chromium(
    shared_chromium: tuple[Browser, asyncio.AbstractEventLoop],
) -> Iterator[Browser]:
    """The browser, with nothing kept of what another test did in it."""
    browser, loop = shared_chromium
    # Playwright's loop counts as running in this thread for as long as it lasts: a test that
    # runs a loop of its own would be refused.
    asyncio._set_running_loop(loop)
    try:
        yield browser
        for context in browser.contexts:
            context.close()
    finally:
        asyncio._set_running_loop(None)


@pytest.fixture
def browser_page(chromium: Browser) -> Callable[..., Page]:
    """Opens an address in the wanted size, each page as a device of its own.

    Nothing moves there: what waits would be drawn sixty times a second without a graphics card.
    """

    def open_page(address: str, size: dict[str, int] = DESKTOP, **device: Any) -> Page:
        page = chromium.new_page(viewport=size, reduced_motion="reduce", **device)  # type: ignore[arg-type]
        page.set_default_timeout(PATIENCE_MS)
        page.goto(address)
        return page

    return open_page


def tap(page: Page, label: str | re.Pattern[str]) -> None:
    """Tap one of several choices by its text, or by a pattern of it."""
    page.get_by_test_id("stMain").get_by_text(label, exact=True).first.click()
