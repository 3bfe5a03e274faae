"""Backups on screen: when the last was made, back to one, and what other seats see of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from streamlit.testing.v1 import AppTest

from tests.app.conftest import as_read, words_of
from tests.app.real_server import ROOT, Served
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url, file_url
from tracker.store.database import Store, open_store
from tracker.store.safety.rotation import BEFORE_RESTORE, DAILY

MORNING = datetime(2026, 10, 31, 8, 15)


def fill(store: Store) -> Store:
    """Two tasks, a backup of this morning, and a task since."""
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    acts.fit_first_part(store, acts.PartPosition("Ada", "wiper", "wiper"), date(2026, 1, 5))
    for day in (1, 8):
        acts.log_tasks(store, "Ada", ["stir_ink"], date(2026, 10, day))
    acts.log_tasks(by(store, now=MORNING), "Ada", ["stir_ink"], date(2026, 10, 30))
    return store


@pytest.fixture
def own(folder: Path) -> Store:
    return fill(open_store(default_url()))


def seat(section: str) -> AppTest:
    """Another person, at the records."""
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300).run()
    at.session_state["records-section"] = section
    at.session_state["browse-table"] = "maintenance"
    at.switch_page(str(ROOT / "pages" / "records.py")).run()
    assert not at.exception
    return at


def test_today_says_when_the_last_backup_was_made(app: Callable[..., AppTest], own: Store) -> None:
    at = app()
    assert "Last backup: 31 Oct 2026 08:15." in as_read(words_of(at))


def test_a_backup_is_restored_after_a_question_and_the_other_seat_is_refused_its_stale_edit(
    app: Callable[..., AppTest], own: Store
) -> None:
    (kept,) = own.backups.kept()
    assert kept.reason == DAILY
    first, second = seat("Save copies"), seat("Browse and correct")
    row = int(own.records().maintenance.index[-1])
    second.number_input(key="browse-number-maintenance-0").set_value(row).run()
    first.button(key=f"restore-{kept.path.name}").click().run()
    assert len(own.records().maintenance) == 3, "asked first"
    first.button(key="restore-no").click().run()
    assert len(own.records().maintenance) == 3
    first.button(key=f"restore-{kept.path.name}").click().run()
    first.button(key="restore-yes").click().run()
    assert not first.exception
    assert "Restored: everything is as it was at 31" in as_read(first.success[0].value)
    assert len(own.records().maintenance) == 2
    # In no order: the clock of this computer may be before the morning of the daily one.
    assert {one.reason for one in own.backups.kept()} == {BEFORE_RESTORE, DAILY}
    assert len(own.backups.kept()) == 2
    again = acts.log_tasks(own, "Ada", ["head_clean"], date(2026, 10, 29))
    assert again is not None
    assert int(own.records().maintenance.index[-1]) == row, "the same number, of another record"

    assert not first.warning
    second.button(key=f"remove-{row}").click().run()
    assert "what you began before was not written" in second.warning[0].value
    second.run()
    assert not second.warning
    assert own.records().maintenance["task"].tolist()[-1] == "head_clean"
    assert not second.exception
    assert "browse-number-maintenance-0" not in {field.key for field in second.number_input}
    assert second.number_input(key="browse-number-maintenance-1").value is None


def test_undo_of_what_was_recorded_before_a_restore_is_gone_or_refused(
    app: Callable[..., AppTest], own: Store
) -> None:
    first, second = seat("Save copies"), seat("What was changed")
    newest = own.changes()[0]
    (kept,) = own.backups.kept()
    first.button(key=f"restore-{kept.path.name}").click().run()
    first.button(key="restore-yes").click().run()
    acts.log_tasks(own, "Ada", ["head_clean"], date(2026, 10, 29))
    assert own.changes()[0].batch == newest.batch, "the same number, of another change"
    second.button(key=f"undo-{newest.batch}").click().run()
    assert "restored since you looked at it; nothing was written" in second.error[0].value
    assert own.changes()[0].in_effect
    second.run()
    assert not second.error
    second.button(key=f"undo-{newest.batch}").click().run()
    assert not own.changes()[1].in_effect, "after a second look it is taken back"


@pytest.mark.browser
def test_in_a_browser_the_other_seat_sees_what_was_restored_and_its_edit_is_refused(
    served: Served, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    own = fill(open_store(file_url(tmp_path / "workshop.sqlite")))
    row = int(own.records().maintenance.index[-1])
    address = served()
    first, second = browser_page(f"{address}/records"), browser_page(f"{address}/records")
    second.get_by_role("combobox", name="Which records?").click()
    second.get_by_role("option", name="Tasks done").click()
    expect(second.get_by_text("3 records; tap one")).to_be_visible()
    second.locator("[data-test-script-state=notRunning]").wait_for()
    number = second.get_by_label("Number of the record")
    expect(number).to_have_count(1)
    number.fill(str(row))
    number.press("Enter")
    note = second.get_by_role("textbox", name="Note").locator("visible=true")
    note.fill("mine")
    note.press("Tab")

    first.get_by_test_id("stMain").get_by_text("Save copies", exact=True).first.click()
    first.get_by_role("button", name="Go back to it").click()
    first.get_by_role("button", name="Restore the backup of").click()
    expect(first.get_by_text("Restored: everything is as it was").first).to_be_visible()
    acts.log_tasks(own, "Ada", ["head_clean"], date(2026, 10, 29))
    assert int(own.records().maintenance.index[-1]) == row

    second.get_by_role("button", name=f"Save record {row}").click()
    expect(second.get_by_text("what you began before was not written")).to_be_visible()
    expect(second.get_by_role("button", name="Save record")).to_have_count(0)
    assert own.records().maintenance["note"].tolist() == ["", "", ""]
    assert own.records().maintenance["task"].tolist()[-1] == "head_clean"
