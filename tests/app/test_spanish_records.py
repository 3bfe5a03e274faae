"""Log and Records in Spanish: every form and section opens, and what is kept stays the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.copied import Copies
from tracker.language import speaking
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store, open_store

FORMS = (
    *("Part change", "Something broke", "Task done", "Nozzle check", "Counter", "Stoppage"),
    *("Room", "Stock", "Order", "Printer"),
)  # fmt: skip
SECTIONS = ("Browse and correct", "Load files", "What was changed", "Settings", "Save copies")


def fill(store: Store) -> None:
    """One printer with a wiper, in a workshop that speaks Spanish."""
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    acts.fit_first_part(store, acts.PartPosition("Ada", "wiper", "wiper"), date(2026, 1, 5))
    store.add("settings", {"name": "language", "value": "es"})


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


@pytest.fixture(autouse=True)
def spanish_tester() -> Iterator[None]:
    """The test reads the lists of choices itself, outside the page's run."""
    with speaking("es"):
        yield


def choose(at: AppTest, key: str, value: object) -> AppTest:
    """Tap one of several; nothing may break."""
    at.session_state[key] = value
    at.run()
    assert not at.exception, [problem.message for problem in at.exception]
    return at


def test_every_form_opens_in_spanish_by_its_english_key(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    assert at.title[0].value == "Anotar"
    shown = at.get("button_group")[0].proto.options
    assert [option.content for option in shown][:2] == ["Cambio de pieza", "Algo se averió"]
    for form in FORMS:
        choose(at, "log-what", form)


def test_a_part_change_in_spanish_keeps_the_same_record(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = choose(app("log"), "part-kind", "wiper")
    assert at.button(key="part-save").label == "Anotar: Rasqueta de Ada, avería y cambio"
    at.button(key="part-save").click().run()
    assert "Rasqueta de Ada, avería y cambio." in words_of(at)
    assert own.records().fittings["removal_reason"].tolist() == ["failed", ""]


def test_a_day_ahead_is_refused_in_spanish(app: Callable[..., AppTest], own: Store) -> None:
    at = choose(app("log"), "part-kind", "wiper")
    choose(at, "part-day", date(2026, 12, 1))
    at.button(key="part-save").click().run()
    assert "Día: 2026-12-01 está en el futuro (hoy es 2026-10-31)" in at.error[0].value


def test_every_section_of_the_records_opens_in_spanish(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("records")
    for section in SECTIONS:
        choose(at, "records-section", section)
    choose(at, "records-section", "Settings")
    for block in ("The workshop", "Parts", "Routines", "Names"):
        choose(at, "settings-of", block)
    assert "Cambiar el nombre de Ada" in [button.label for button in at.button]


def test_the_first_step_of_the_start_is_in_spanish(
    app: Callable[..., AppTest], folder: Path
) -> None:
    store = open_store(default_url())
    store.add("settings", {"name": "language", "value": "es"})
    at = app("start")
    assert "¿Qué impresoras tiene?" in words_of(at)
    assert at.text_input(key="begin-0-name").value == "Impresora 1"
    at.button(key="begin-another").click().run()
    assert at.text_input(key="begin-1-name").value == "Impresora 2"
