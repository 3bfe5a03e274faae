"""Loading, correcting, settings and taking back, on screen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.records.engines import default_url
from tracker.records.store import Store, open_store

PRINTERS = b"Drucker;Start\nAda;05.01.2026\nBert;15.01.2026\n"


@pytest.fixture
def own(folder: Path) -> Store:
    return open_store(default_url())


def load(at: AppTest, *files: tuple[str, bytes, str]) -> AppTest:
    at.session_state["records-section"] = "Load files"
    at.run()
    return at.file_uploader(key="load-files").set_value(list(files)).run()


def test_a_workshops_own_sheet_is_loaded_and_its_columns_are_remembered(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), ("drucker.csv", PRINTERS, "text/csv"))
    at.session_state["load-0-table"] = "printers"
    at.run()
    at.button(key="load-go").click().run()
    assert sorted(own.records().printers["printer"]) == ["Ada", "Bert"]
    assert own.remembered_columns("printers")["Drucker"] == "printer"
    assert "2 records added" in words_of(at)


def test_days_that_read_both_ways_are_asked(app: Callable[..., AppTest], own: Store) -> None:
    data = b"printer,started_on\nAda,03/04/2026\nBert,05/06/2026\n"
    at = load(app("records"), ("printers.csv", data, "text/csv"))
    keys = [button.key for button in at.button]
    assert "load-go" not in keys
    question = next(group for group in at.button_group if "started_on" in str(group.key))
    answer = next(option for option in question.options if "day" in str(option).lower())
    at.session_state[question.key] = str(getattr(answer, "content", answer))
    at.run()
    at.button(key="load-go").click().run()
    assert own.records().printers["started_on"].dt.month.tolist() == [4, 6]


def test_a_bad_file_is_refused_row_by_row_and_nothing_is_loaded(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = b"printer,started_on\nAda,2026-01-05\nCleo,soon\nBert,2026-13-40\n"
    at = load(app("records"), ("printers.csv", data, "text/csv"))
    assert any("2 mistakes" in error.value for error in at.error)
    table = next(frame.value for frame in at.dataframe if "How to mend it" in frame.value)
    assert table["Row"].tolist() == [3, 4]
    assert own.records().is_empty


def test_a_load_is_taken_back_from_the_list_of_changes(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), ("printers.csv", b"printer,started_on\nAda,2026-01-05\n", "text/csv"))
    at.button(key="load-go").click().run()
    assert len(own.records().printers) == 1
    at.session_state["records-section"] = "What was changed"
    at.run()
    batch = own.changes(1)[0].batch
    at.button(key=f"undo-{batch}").click().run()
    assert own.records().is_empty


def test_settings_and_usual_routines_are_saved(app: Callable[..., AppTest], own: Store) -> None:
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.run()
    margin = next(field for field in at.text_input if field.label.startswith("Margin per hour"))
    margin.input("35")
    next(button for button in at.button if button.label == "Save settings").click().run()
    assert own.records().number("margin_per_hour") == 35
    at.session_state["settings-of"] = "Routines"
    at.run()
    at.button(key="usual-routines").click().run()
    assert set(own.records().routines["task"]) >= {"stir_ink", "shake_dampers"}
