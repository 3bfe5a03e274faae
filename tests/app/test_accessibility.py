"""Can everybody use it? The rules of axe-core on every page, and a walk by keyboard alone."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.app.real_server import Served
from tests.app.settled import settle
from tests.app.warm_server import WarmServers
from tests.chromium import DESKTOP, PHONE
from tracker.store.database import open_store

pytestmark = pytest.mark.browser
PAGES = (
    *("", "log", "printer", "printer?printer=Yard", "lives", "spares", "maintenance"),
    *("review", "records", "more"),
)
OTHER = {"light": "dark", "dark": "light"}
SEVERE = ("serious", "critical")
# Of Streamlit's own elements, which the app can neither reach nor style: the rule, where in the
# page, and why it is not ours to mend. Each is looked for by place, so that the same rule broken
# by an element of our own is still found.
OF_STREAMLIT: tuple[tuple[str, str, str], ...] = ()


@pytest.fixture(scope="module")
def nothing_yet(
    tmp_path_factory: pytest.TempPathFactory, warm_servers: WarmServers
) -> Iterator[str]:
    """A workshop of one's own in which nothing is written down yet."""
    folder = tmp_path_factory.mktemp("empty")
    open_store(f"sqlite:///{folder / 'workshop.sqlite'}").close()
    server = Served(folder, warm_servers.start)
    yield server()
    server.stop()


def opened(
    browser_page: Callable[..., Page], address: str, size: dict[str, int], theme: str
) -> Page:
    page = browser_page(address, size, color_scheme=theme)
    settle(page)
    return page


def on_a_desktop(page: Page, theme: str) -> None:
    """The same device with a large screen, in that theme."""
    page.set_viewport_size(DESKTOP)  # type: ignore[arg-type]
    page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    page.reload()
    settle(page)


def violations(page: Page) -> list[str]:
    """The severe ones that are ours: rule, place and what is wrong, one line each."""
    found = []
    for broken in Axe().run(page).response["violations"]:
        if broken["impact"] not in SEVERE:
            continue
        for node in broken["nodes"]:
            place, element = " ".join(map(str, node["target"])), node["html"]
            if not any(
                broken["id"] == rule and mark in f"{place} {element}"
                for rule, mark, _ in OF_STREAMLIT
            ):
                why = node["failureSummary"].splitlines()[-1].strip()
                found.append(f"{broken['id']} at {place}: {element[:160]} – {why[:200]}")
    return found


@pytest.mark.parametrize(("name", "theme"), list(zip(PAGES, itertools.cycle(OTHER))))
def test_every_page_fits_a_phone_and_breaks_no_rule_that_shuts_somebody_out(
    demo_address: str, browser_page: Callable[..., Page], name: str, theme: str
) -> None:
    page = opened(browser_page, f"{demo_address}/{name}", PHONE, theme)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert violations(page) == []
    on_a_desktop(page, OTHER[theme])
    assert violations(page) == []


@pytest.mark.parametrize("theme", OTHER)
def test_the_first_page_of_an_empty_workshop_shuts_nobody_out(
    nothing_yet: str, browser_page: Callable[..., Page], theme: str
) -> None:
    page = opened(browser_page, nothing_yet, PHONE, theme)
    assert page.get_by_text("Which printers do you have?").count() == 1
    assert violations(page) == []
    on_a_desktop(page, OTHER[theme])
    assert page.get_by_text("Which printers do you have?").count() == 1
    assert violations(page) == []


# What can be worked with the pointer in the page itself, its own drawings (each in a root of its
# own) and the bar at the bottom. Of choices of which one holds, the tab key reaches that one and
# the arrow keys the others; so they open the list of a field (ARIA Authoring Practices, radio
# group and combobox).
_CONTROLS = """() => {
  const all = (root) => [...root.querySelectorAll('*')].flatMap(
    one => [one, ...(one.shadowRoot ? all(one.shadowRoot) : [])]);
  const kinds = 'button, a[href], input, summary, textarea';
  const chosenByArrow = '[role=radio]:not([aria-checked=true]), input[type=radio]:not(:checked),'
    + 'button[aria-haspopup=listbox][tabindex="-1"]';
  return all(document.querySelector('[data-testid=stMain]'))
    .filter(one => one.matches(kinds) && one.checkVisibility({visibilityProperty: true})
      && !one.disabled && !one.matches(chosenByArrow)
      && one.getBoundingClientRect().width > 1 && !one.closest('[inert]'))
    .map((one, at) => { one.dataset.walk = String(at); return one.outerHTML.slice(0, 300); });
}"""
_FOCUSED = """() => {
  let at = document.activeElement;
  while (at && at.shadowRoot && at.shadowRoot.activeElement) at = at.shadowRoot.activeElement;
  if (!at || at === document.body) return null;
  // A ring around the element, or around the box that stands for it.
  const ringed = (one) => {
    const style = getComputedStyle(one);
    return (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0)
      || style.boxShadow !== 'none' || parseFloat(style.borderTopWidth) > 1;
  };
  let box = at, seen = false;
  for (let up = 0; box && up < 4 && !seen; up += 1, box = box.parentElement) seen = ringed(box);
  const main = at.getRootNode().host ? true : !!at.closest('[data-testid=stMain]');
  return {walk: at.dataset.walk ?? '', seen, main, html: at.outerHTML.slice(0, 300)};
}"""


@pytest.mark.parametrize("name", ["", "log"])
def test_the_tab_key_reaches_every_control_and_shows_where_it_is(
    demo_address: str, browser_page: Callable[..., Page], name: str
) -> None:
    page = opened(browser_page, f"{demo_address}/{name}", DESKTOP, "light")
    controls = page.evaluate(_CONTROLS)
    assert len(controls) >= 3
    reached: set[int] = set()
    unseen: set[str] = set()
    for _ in range(2 * len(controls) + 40):
        page.keyboard.press("Tab")
        at = page.evaluate(_FOCUSED)
        if at is None:
            continue
        if at["walk"] == "0" and len(reached) > 1:
            break  # once around
        if at["walk"]:
            reached.add(int(at["walk"]))
        if at["main"] and not at["seen"]:
            unseen.add(at["html"])
    missed = [html for at, html in enumerate(controls) if at not in reached]
    assert missed == []
    assert unseen == set()
