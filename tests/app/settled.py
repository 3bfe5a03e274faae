"""When is a page done, and what has the device kept? For what looks at a page in a browser."""

from __future__ import annotations

import json
import re

from playwright.sync_api import Page

from pages.shell import device

# The run is over, nothing waits for its answer, nothing old is left in grey, charts are drawn.
_DONE = """() => {
  const app = document.querySelector('[data-testid=stApp]');
  const busy = '[data-testid=stSpinner], [data-testid=stSkeleton], [data-stale=true]';
  return app && app.getAttribute('data-test-script-state') === 'notRunning'
    && document.querySelector('h1') && !document.querySelector(busy)
    && [...document.querySelectorAll('[data-testid=stPlotlyChart]')]
         .every(chart => chart.querySelector('.main-svg') || !chart.checkVisibility());
}"""
_QUIET_MS = 400  # what a run has sent is drawn a moment later


def settle(page: Page, patience_ms: float = 180_000) -> None:
    """Wait until the page shows everything it has, twice with a moment between."""
    for _ in range(2):
        page.wait_for_function(_DONE, timeout=patience_ms)
        page.wait_for_timeout(_QUIET_MS)
    page.wait_for_function(_DONE, timeout=patience_ms)


def kept_on_the_device(page: Page, pattern: str, patience_ms: int = 60_000) -> None:
    """Wait until what this device keeps holds that: a tap is there once its run has begun."""
    for _ in range(0, patience_ms, 50):
        cookies = {one.get("name"): one.get("value") for one in page.context.cookies()}
        if re.search(pattern, json.dumps(device.unpacked(cookies.get("tracker_device")))):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"the device keeps nothing like {pattern}")
