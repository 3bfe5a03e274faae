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


def test_a_name_with_marks_is_told_as_it_is_written(app: Callable[..., AppTest]) -> None:
    acts.add_printer(open_store(default_url()), acts.NewPrinter("Ada", date(2026, 1, 5)))
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "Printers"
    at.run()
    at.text_input(key="rename-to").input("Ñandú #1").run()
    at.button(key="rename-save").click().run()
    assert "Ada is called Ñandú \\#1 from now on." in words_of(at), "marks are taken once"


def test_a_printer_renamed_in_the_table_is_told_where_printers_are_renamed(
    app: Callable[..., AppTest],
) -> None:
    store = open_store(default_url())
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), usual_parts="new"))
    number = int(store.records().printers.index[-1])
    at = app("records")
    at.session_state["records-section"] = "Browse and correct"
    at.session_state["browse-table"] = "printers"
    at.run()
    at.number_input(key="browse-number-printers-0").set_value(number).run()
    (name,) = [field for field in at.text_input if field.value == "Ada"]
    name.set_value("Bea")
    at.button(key=f"save-{number}").click().run()
    (told,) = [error.value for error in at.error]
    assert told.startswith("A printer is renamed under “Settings”, “Printers”")
    assert store.records().printers["printer"].tolist() == ["Ada"]
