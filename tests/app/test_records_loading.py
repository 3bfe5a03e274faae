"""What a file leaves open is answered on the screen, and no answer is a dead end."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.copied import Copies
from tracker.store.connections import default_url
from tracker.store.database import Store


def fill(store: Store) -> None:
    store.add("printers", {"printer": "Ada", "started_on": "2026-10-31"})


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def load(at: AppTest, name: str, data: str) -> AppTest:
    at.session_state["records-section"] = "Load files"
    at.run()
    return at.file_uploader(key="load-files").set_value([(name, data.encode(), "text/csv")]).run()


def test_a_required_column_the_file_lacks_is_asked_once_for_all_rows(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = "printer,task,done_on\nAda,stir_ink,2026-09-01\nAda,stir_ink,2026-09-02\n"
    at = load(app("records"), "maintenance.csv", data)
    assert not at.error
    asked = next(group for group in at.button_group if group.key == "load-maintenance.csv|why")
    assert list(asked.options) == ["Planned", "Because of a symptom"]
    at.session_state["load-maintenance.csv|why"] = "planned"
    at.run()
    at.button(key="load-go").click().run()
    assert own.records().maintenance["why"].tolist() == ["planned", "planned"]


def test_a_printer_nobody_wrote_down_is_added_when_agreed(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = "printer,read_on,area_m2\nBerta,2026-03-01,10\nBerta,2026-04-01,20\n"
    at = load(app("records"), "counters.csv", data)
    assert "load-go" not in [button.key for button in at.button]
    assert own.records().counters.empty
    assert "“Berta” is not in your list of printers" in words_of(at).replace('"Berta"', "“Berta”")
    assert not at.success
    at.session_state["load-name|Berta"] = "a new printer"
    at.run()
    at.button(key="load-go").click().run()
    printers = own.records().printers.set_index("printer")
    assert str(printers.loc["Berta", "started_on"])[:10] == "2026-03-01"
    assert len(own.records().counters) == 2


def test_older_parts_than_the_printer_move_its_first_day_when_agreed(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = "printer,part_kind,position,fitted_on\nAda,head,H1,2025-02-03\n"
    at = load(app("records"), "fittings.csv", data)
    assert "set its first day" in words_of(at), "said before anything is tapped"
    assert "load-go" not in [button.key for button in at.button]
    assert own.records().fittings.empty
    next(box for box in at.checkbox if "first day of Ada" in box.label).check().run()
    at.button(key="load-go").click().run()
    assert "The first day of Ada is now 2025-02-03" in words_of(at)
    assert str(own.records().printers["started_on"].iloc[0])[:10] == "2025-02-03"
    assert len(own.records().fittings) == 1
    own.undo(own.changes(1)[0].batch)
    assert str(own.records().printers["started_on"].iloc[0])[:10] == "2026-10-31"


def test_one_answer_serves_all_day_columns_that_read_both_ways(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = "part_kind,quantity,ordered_on,received_on\nhead,1,03/04/2026,05/06/2026\n"
    at = load(app("records"), "orders.csv", data)
    asked = [group for group in at.button_group if "orders.csv:" in str(group.key)]
    assert len(asked) == 1
    at.session_state[str(asked[0].key)] = "day first"
    at.run()
    at.button(key="load-go").click().run()
    order = own.records().orders.iloc[0]
    assert (order["ordered_on"].month, order["received_on"].month) == (4, 6)


def test_first_day_is_understood_as_the_printers_first_day(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "printers.csv", "Printer;First day\nBerta;2026-03-01\n")
    at.button(key="load-go").click().run()
    assert set(own.records().printers["printer"]) == {"Ada", "Berta"}
