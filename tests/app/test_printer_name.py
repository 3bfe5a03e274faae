"""Renaming a printer on screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import open_store


def test_a_renamed_printer_keeps_its_history_and_the_name_can_be_taken_back(
    app: Callable[..., AppTest],
) -> None:
    store = open_store(default_url())
    acts.add_printer(
        store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="C W1", usual_parts="new")
    )
    acts.add_printer(
        store, acts.NewPrinter("Bert", date(2026, 1, 5), channels="C W1", usual_parts="none")
    )
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "Printers"
    at.run()
    parts = len(store.records().fittings)
    assert any(f"{parts + 1} records of Ada" in caption.value for caption in at.caption)
    at.text_input(key="rename-to").input("Bert").run()
    at.button(key="rename-save").click().run()
    assert "taken" in words_of(at)
    at.text_input(key="rename-to").input(" Carla ").run()
    at.button(key="rename-save").click().run()
    assert "Ada is called Carla from now on." in words_of(at)
    assert set(store.records().fittings["printer"]) == {"Carla"}
    at.button(key="undo-last").click().run()
    assert sorted(store.records().printers["printer"]) == ["Ada", "Bert"]
    assert set(store.records().fittings["printer"]) == {"Ada"}
