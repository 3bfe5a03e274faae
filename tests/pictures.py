"""Pictures of every page, to be looked at: ``python -m tests.pictures FOLDER``.

Three workshops (the demo, an empty one, one of 200 printers), a phone and a desktop, light and
dark, each language. One browser, one app per workshop; file names sort by page, then workshop,
size, theme and language. ``--only`` keeps those whose file name holds every word given:
``--only demo phone today``; ``--language es`` those whose browser asks for Spanish.
``--fold`` shows what is on screen without scrolling instead of the whole page.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from playwright.sync_api import Browser, Page, sync_playwright
from playwright.sync_api import TimeoutError as StillBusy

from tests.app.real_server import TODAY as DAY
from tests.app.real_server import Served
from tests.app.settled import settle
from tests.simulation.fleet import fleet_records
from tracker.language import LANGUAGES, _, speaking
from tracker.store.database import open_store

TODAY = date.fromisoformat(DAY)
SIZES = {"phone": (390, 844), "desktop": (1440, 900)}
THEMES = ("light", "dark")
MANY = 200
PATIENCE_MS = 600_000  # the first look at a fleet fits its whole history


class Shot(NamedTuple):
    """A page as it is opened: its file name's first word, its address, what is tapped there."""

    name: str
    path: str
    taps: tuple[str, ...] = ()


class Look(NamedTuple):
    """A page on one device: ``language`` is what its browser asks for."""

    shot: Shot
    workshop: str
    size: str
    theme: Any
    language: str

    @property
    def words(self) -> tuple[str, ...]:
        """What its file is called."""
        return self.shot.name, self.workshop, self.size, self.theme, self.language


SHOTS = (
    Shot("01-today", ""),
    Shot("02-today-technician", "", ("I work at the printers",)),
    Shot("03-log", "log"),
    Shot("04-printers", "printer"),
    Shot("05-printer", "printer", ("FIRST PRINTER",)),
    Shot("06-lives", "lives"),
    Shot("07-spares", "spares"),
    Shot("08-maintenance", "maintenance"),
    Shot("09-maintenance-pays", "maintenance", ("Does it pay?",)),
    Shot("10-maintenance-whole", "maintenance", ("The whole routine",)),
    Shot("11-maintenance-try", "maintenance", ("Try it out",)),
    Shot("12-review", "review"),
    Shot("13-records", "records"),
    Shot("14-records-load", "records", ("Load files",)),
    Shot("15-records-settings", "records", ("Settings",)),
    Shot("16-more", "more"),
    Shot("17-start", "start"),
)


def demo(folder: Path) -> None:
    """The demo workshop, as on first start."""


def empty(folder: Path) -> None:
    """One's own workshop with nothing in it yet."""
    open_store(f"sqlite:///{folder / 'workshop.sqlite'}").close()


def many(folder: Path) -> None:
    """A fleet of four sites."""
    with open_store(f"sqlite:///{folder / 'workshop.sqlite'}") as store:
        store.load(fleet_records(MANY, TODAY), "fleet")


WORKSHOPS: Mapping[str, Callable[[Path], None]] = {
    "demo": demo,
    "empty": empty,
    "many": many,
}


def main(arguments: Sequence[str]) -> int:
    """Take the pictures; the exit code is 1 where one could not be taken."""
    parser = argparse.ArgumentParser(prog="python -m tests.pictures", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", nargs="*", default=(), metavar="WORD")
    parser.add_argument("--language", nargs="*", choices=LANGUAGES, default=tuple(LANGUAGES))
    parser.add_argument("--fold", action="store_true")
    options = parser.parse_args(arguments)
    options.folder.mkdir(parents=True, exist_ok=True)
    missing = 0
    with sync_playwright() as tool:
        browser = tool.chromium.launch(
            executable_path=shutil.which("chromium") or shutil.which("chromium-browser"),
            args=["--no-sandbox", "--disable-gpu"],
        )
        for workshop in WORKSHOPS:
            looks = [
                look
                for look in _looks(workshop, options.language)
                if all(any(word in one for one in look.words) for word in options.only)
            ]
            if not looks:
                continue
            with _app(workshop) as address:
                for look in looks:
                    file = options.folder / f"{'_'.join(look.words)}.png"
                    try:
                        _take(browser, address, look, file, whole=not options.fold)
                        print(file.name, flush=True)
                    except StillBusy as problem:
                        missing += 1
                        print(f"{file.name}: {problem.message.splitlines()[0]}", file=sys.stderr)
        browser.close()
    return 1 if missing else 0


def _looks(workshop: str, languages: Sequence[str]) -> Iterator[Look]:
    for shot, size, theme, language in product(SHOTS, SIZES, THEMES, languages):
        yield Look(shot, workshop, size, theme, language)


@contextmanager
def _app(workshop: str) -> Iterator[str]:
    with tempfile.TemporaryDirectory() as place:
        WORKSHOPS[workshop](Path(place))
        server = Served(Path(place))
        try:
            yield server()
        finally:
            server.stop()


def _take(browser: Browser, address: str, look: Look, file: Path, *, whole: bool) -> None:
    """One picture on a device that nobody used before."""
    width, height = SIZES[look.size]
    page = browser.new_page(
        viewport={"width": width, "height": height},
        color_scheme=look.theme,
        locale=look.language,
    )
    page.set_default_timeout(PATIENCE_MS)
    try:
        page.goto(f"{address}/{look.shot.path}")
        settle(page, PATIENCE_MS)
        with speaking(look.language):
            for tap in look.shot.taps:
                _tap(page, _(tap))
                settle(page, PATIENCE_MS)
        if whole:  # the app scrolls inside itself: a window as high as its content shows all of it
            high = page.evaluate(
                "Math.max(...[...document.querySelectorAll('[data-testid=stMain]')]"
                ".map(main => main.scrollHeight))"
            )
            page.set_viewport_size({"width": width, "height": max(height, int(high))})
            settle(page, PATIENCE_MS)
        page.screenshot(path=file)
    finally:
        page.close()


def _tap(page: Page, label: str) -> None:
    """Tap what is called so; an empty workshop has no such thing and shows the page as it is."""
    main = page.get_by_test_id("stMain")
    if label == "FIRST PRINTER":
        found = main.get_by_role("button").filter(has_text=" · ").first
    else:
        found = main.get_by_text(label, exact=True).first
    if found.count():
        found.click()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
