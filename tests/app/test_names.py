"""Names on screen: a printer gets another, several writings of a supplier become one."""

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
    at.session_state["settings-of"] = "Names"
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
    at.session_state["settings-of"] = "Names"
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
    assert told.startswith("A printer is renamed under “Settings”, “Names”")
    assert store.records().printers["printer"].tolist() == ["Ada"]


def test_three_writings_of_a_supplier_are_asked_about_today_and_become_one_with_a_tap(
    app: Callable[..., AppTest],
) -> None:
    store = open_store(default_url())
    acts.add_printer(
        store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="C W1", usual_parts="new")
    )
    for supplier in ("Nord Druck", "Nord Druck", "nord druck", "NordDruck"):
        acts.place_order(
            store, acts.Order("damper", 5, date(2026, 2, 1), supplier=supplier), again=True
        )
    today = app("today")
    told = "Supplier: “Nord Druck” (2), “NordDruck” (1), “nord druck” (1) count as different ones."
    assert told in words_of(today)
    today.button(key="today-names").click().run()
    assert not today.exception
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "Names"
    at.run()
    at.button(key="rename-alike-0").click().run()
    assert set(store.records().orders["supplier"]) == {"Nord Druck"}
    assert "NordDruck, nord druck is called Nord Druck from now on." in words_of(at)
    at.button(key="undo-last").click().run()
    assert len(set(store.records().orders["supplier"])) == 3


def test_a_supplier_that_bought_another_takes_its_orders_along(app: Callable[..., AppTest]) -> None:
    store = open_store(default_url())
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), usual_parts="new"))
    for supplier in ("North", "South"):
        acts.place_order(
            store, acts.Order("damper", 5, date(2026, 2, 1), supplier=supplier), again=True
        )
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "Names"
    at.run()
    at.selectbox(key="rename-sort").set_value("supplier").run()
    at.selectbox(key="rename-supplier").set_value("South").run()
    at.selectbox(key="rename-to-supplier").set_value("North").run()
    assert "North is there already: both become one." in words_of(at)
    at.button(key="rename-save").click().run()
    assert set(store.records().orders["supplier"]) == {"North"}
