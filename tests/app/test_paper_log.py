"""The paper log in the app: offered where one logs and where one loads."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.store.connections import default_url
from tracker.store.database import open_store

LABELS = ["The pages to print (HTML)", "The sheet to type them into (XLSX)"]


def offered(at: AppTest) -> list[str]:
    labels = [button.proto.label for button in at.get("download_button")]
    return [label for label in labels if label in LABELS]


@pytest.mark.parametrize(("page", "key"), [("log", "log"), ("records", "load")])
def test_pages_and_sheet_of_a_month_can_be_taken(
    app: Callable[..., AppTest], page: str, key: str
) -> None:
    at = app(page)
    if page == "records":
        at.session_state["records-section"] = "Load files"
        at.run()
    month = at.selectbox(key=f"{key}-month")
    assert month.options == ["October 2026", "November 2026", "December 2026"]
    month.select_index(1).run()
    assert not at.exception
    assert offered(at) == LABELS


def test_without_a_printer_it_says_what_comes_first(app: Callable[..., AppTest]) -> None:
    open_store(default_url())
    at = app("records")  # nothing is written down yet, so it opens on loading files
    assert "Add a printer first; each has a page of its own." in words_of(at)
    assert offered(at) == []
