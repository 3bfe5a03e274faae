"""When is a page done? For what looks at a whole page: pictures and accessibility."""

from __future__ import annotations

from playwright.sync_api import Page

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
