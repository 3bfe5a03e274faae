"""The language in a real browser on a phone: switched in the settings, and as the browser asks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.app.real_server import Served
from tests.chromium import PHONE, tap
from tests.copied import Copies
from tracker.store import acts
from tracker.store.database import Store

pytestmark = pytest.mark.browser


def fill(store: Store) -> None:
    """One printer, so that every page has something to say."""
    acts.add_printer(store, acts.NewPrinter("Left", date(2026, 1, 5), channels="K"))


@pytest.fixture
def own(tmp_path: Path, copies: Copies) -> Store:
    return copies.opened(f"sqlite:///{tmp_path}/workshop.sqlite", fill)


def bar_of(page: Page) -> list[str]:
    """The places on the phone's bar, without the names of their icons."""
    links = page.locator(".st-key-phone-bar a p")
    expect(links).to_have_count(4)
    return links.all_inner_texts()


def save_language(page: Page, field: str, language: str, button: str) -> None:
    page.get_by_role("combobox", name=field).click()
    page.get_by_role("option", name=language).click()
    page.get_by_role("button", name=button).click()


def test_the_language_is_switched_in_the_settings_and_back(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    page = browser_page(f"{served()}/records", PHONE)
    tap(page, "Settings")
    save_language(page, "Language", "Español", "Save settings")
    # What was saved is told in the language it was saved in.
    expect(page.get_by_text("Settings saved.").first).to_be_visible()
    expect(page.get_by_role("heading", name="Registros", exact=True)).to_be_visible()
    assert bar_of(page) == ["Hoy", "Anotar", "Repuestos", "Más"]
    assert own.records().setting("language") == "es"
    page.reload()
    expect(page.get_by_role("heading", name="Registros", exact=True)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    tap(page, "Cargar archivos")
    expect(page.get_by_test_id("stFileUploaderDropzone")).to_be_visible()
    # The library's own word is English; a screen reader must not hear it either.
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    buttons = [one["name"]["value"] for one in tree if one.get("role", {}).get("value") == "button"]
    assert "Elegir archivos" in buttons
    assert "Upload" not in " ".join(buttons)
    tap(page, "Ajustes")
    save_language(page, "Idioma", "el que pida el navegador", "Guardar los ajustes")
    expect(page.get_by_text("Ajustes guardados.").first).to_be_visible()
    expect(page.get_by_role("heading", name="Records", exact=True)).to_be_visible()
    assert bar_of(page) == ["Today", "Log", "Spares", "More"]


def test_a_browser_that_asks_for_spanish_gets_it_beside_one_that_does_not(
    served: Served, browser_page: Callable[..., Page], own: Store
) -> None:
    address = served()
    english = browser_page(address, PHONE)
    expect(english.get_by_role("heading", name="Today", exact=True)).to_be_visible()
    browser = english.context.browser
    assert browser is not None
    spanish = browser.new_page(viewport=PHONE, locale="es-ES")  # type: ignore[arg-type]
    spanish.goto(address)
    expect(spanish.get_by_role("heading", name="Hoy", exact=True)).to_be_visible()
    assert bar_of(spanish) == ["Hoy", "Anotar", "Repuestos", "Más"]
    english.reload()
    expect(english.get_by_role("heading", name="Today", exact=True)).to_be_visible()
    assert bar_of(english) == ["Today", "Log", "Spares", "More"]
