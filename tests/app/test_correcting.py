"""Records are corrected without hitting the wrong one; drafts keep what may be kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from pages.shell import drafts
from tests.app.conftest import at_the_printers, words_of
from tests.copied import Copies
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store

NOW = datetime(2026, 10, 31, 9, 0)


def fill(store: Store) -> None:
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    acts.fit_first_part(store, acts.PartPosition("Ada", "wiper", "wiper"), date(2026, 1, 5))
    for day in (1, 8, 15):
        acts.log_tasks(by(store, now=NOW), "Ada", ["stir_ink"], date(2026, 10, day))


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def section(at: AppTest, name: str) -> AppTest:
    at.session_state["records-section"] = name
    at.session_state["browse-table"] = "maintenance"
    return at.run()


def test_a_record_that_moved_under_the_finger_is_not_the_one_that_opens(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = section(app("records"), "Browse and correct")
    shown = at.dataframe[0].value
    assert shown["No."].tolist() == sorted(shown["No."], reverse=True), "the newest first"
    seen_second = int(shown["No."].iloc[1])
    acts.log_tasks(own, "Ada", ["stir_ink"], date(2026, 10, 20))  # on another device meanwhile
    at.session_state["browse-rows-maintenance-0"] = {
        "selection": {"rows": [], "columns": [], "cells": [(1, "task")]}
    }
    at.run()
    assert at.number_input(key="browse-number-maintenance-0").value == seen_second
    assert at.button(key=f"save-{seen_second}").label.startswith(f"Save record {seen_second}")


def test_an_unknown_number_of_a_record_is_told(app: Callable[..., AppTest], own: Store) -> None:
    at = section(app("records"), "Browse and correct")
    at.number_input(key="browse-number-maintenance-0").set_value(9999).run()
    assert "There is no record 9999 under “Tasks done”" in at.error[0].value


def test_removal_can_be_thought_better_of(app: Callable[..., AppTest], own: Store) -> None:
    row = int(own.records().maintenance.index[0])
    at = section(app("records"), "Browse and correct")
    at.number_input(key="browse-number-maintenance-0").set_value(row).run()
    at.button(key=f"remove-{row}").click().run()
    at.button(key=f"remove-{row}-no").click().run()
    assert f"remove-{row}-yes" not in [button.key for button in at.button]
    assert len(own.records().maintenance) == 3


def test_any_change_of_the_day_is_undone_unless_something_later_rests_on_it(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = int(own.records().maintenance.index[0])
    logged = own.changes(50)[2]
    corrected = by(own, now=NOW).correct("maintenance", row, {"note": "half"})
    at = app("log")
    at.button(key=f"undo-{logged.batch}").click().run()
    (refused,) = [error.value for error in at.error]
    assert "came later and touched the same rows; undo that one first." in refused
    assert len(own.records().maintenance) == 3
    at.button(key=f"undo-{corrected.batch}").click().run()
    at.button(key=f"undo-{logged.batch}").click().run()
    assert row not in own.records().maintenance.index
    assert "Taken back" in words_of(at)


def test_every_yes_or_no_of_the_forms_is_kept_over_a_reload_and_no_button_is(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    switches, buttons = set(), set()
    for what, more in (
        ("Part change", {"part-kind": "wiper"}),
        ("Part change", {"part-kind": "First part in a new place"}),
        ("Something broke", {"broke-kind": "wiper"}), ("Nozzle check", {}), ("Stoppage", {}),
        ("Stock", {}), ("Order", {"order-kind": "wiper"}),
    ):  # fmt: skip
        at.session_state["log-what"] = what
        for key, value in more.items():
            at.session_state[key] = value
        at.run()
        assert not at.exception
        switches |= {str(one.key) for one in (*at.toggle, *at.checkbox)}
        buttons |= {str(one.key) for one in at.button}
    assert {"nozzle-good", "part-shelf", "first-unknown", "stop-over"} <= switches
    assert [key for key in switches if not drafts.is_switch(key)] == []
    assert [key for key in buttons if drafts.is_switch(key)] == []


def test_a_draft_of_yesterday_or_with_what_is_no_more_there_does_no_harm(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    workshop = at.session_state["draft"].workshop
    fields = {"log-what": "Task done", "task-printer": "Gone", "task-note": "half"}
    for day, note in (("2026-10-30", ""), ("2026-10-31", "half")):
        draft = {"workshop": workshop, "day": day, "fields": fields}
        fresh = AppTest.from_file(at._script_path, default_timeout=300)
        fresh.session_state["device"] = {"draft": draft}
        fresh.switch_page(str(Path(at._script_path).parent.parent / "pages" / "log.py")).run()
        assert not fresh.exception
        if note:
            assert fresh.text_input(key="task-note").value == note
        else:
            assert "task-note" not in [field.key for field in fresh.text_input]


def test_a_workshop_of_many_printers_has_four_tiles_and_a_field(
    app: Callable[..., AppTest], own: Store
) -> None:
    for number in range(30):
        acts.add_printer(own, acts.NewPrinter(f"P{number:02}", date(2026, 1, 5), channels="K"))
    acts.begin_stoppage(own, acts.Stoppage("P20", datetime(2026, 10, 30, 8), cause="no vacuum"))
    at = at_the_printers(app())
    tiles = [button for button in at.button if str(button.key).startswith("tile-")]
    assert tiles[0].key == "tile-P20", "what stands comes first"
    assert "■ stands still" in tiles[0].label
    assert len(tiles) == 4
    at.selectbox(key="today-other").set_value("P07").run()
    assert any(header.value == "P07" for header in at.header)
    at.button(key="nozzle-save").click().run()
    assert own.records().nozzle_checks["printer"].unique().tolist() == ["P07"]
    at.button(key="today-close").click().run()
    assert not at.exception
    assert "today-close" not in [button.key for button in at.button]
