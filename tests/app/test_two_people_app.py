"""Two people at one workshop: forms keep what the other saved, taps that come second are told."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import as_read, at_the_printers, words_of
from tests.copied import Copies
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store

TODAY = date(2026, 10, 31)
NOW = datetime(2026, 10, 31, 0, 0)
WIPER = acts.PartPosition("Ada", "wiper", "wiper")


def fill(store: Store) -> None:
    """Two tasks due on one printer, a wiper in it, an order on its way."""
    acts.add_printer(store, acts.NewPrinter("Ada", date(2026, 1, 5), channels="K W1"))
    acts.fit_first_part(store, WIPER, date(2026, 1, 5))
    for task in ("stir_ink", "wipe_encoder"):
        store.add("routines", {"task": task, "every_days": 7, "starts_on": "2026-10-01"})
    acts.place_order(store, acts.Order("wiper", 2, date(2026, 10, 20)))
    acts.log_tasks(by(store, now=NOW), "Ada", ["flush_in_place"], date(2026, 10, 15))


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def browse(app: Callable[..., AppTest], row_id: int) -> AppTest:
    at = app("records")
    at.session_state["records-section"] = "Browse and correct"
    at.session_state["browse-table"] = "maintenance"
    at.run()
    return at.number_input(key="browse-number-maintenance-0").set_value(row_id).run()


def last_task(store: Store) -> int:
    return int(store.records().maintenance.index[-1])


def test_what_another_saved_stays_beside_what_this_form_saves(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = last_task(own)
    at = browse(app, row)
    field = f"edit-maintenance-{row}-0-minutes"
    at.text_input(key=field).set_value("40")
    by(own, "Ana", NOW).correct("maintenance", row, {"note": "white 8 opened"})
    at.run()
    assert at.text_input(key=field).value == "40", "what was typed is not lost"
    at.button(key=f"save-{row}").click().run()
    saved = own.records().maintenance.loc[row]
    assert (saved["note"], saved["minutes"]) == ("white 8 opened", 40)


def test_a_form_in_which_nothing_was_touched_shows_what_another_saved(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = last_task(own)
    at = browse(app, row)
    by(own, "Ana", NOW).correct("maintenance", row, {"note": "white 8 opened"})
    at.run()
    (note,) = [one for one in at.text_input if str(one.key).startswith("edit-")
               and str(one.key).endswith("-note")]  # fmt: skip
    assert note.value == "white 8 opened"


@pytest.mark.parametrize(("keeps_theirs", "kept"), [(True, "X [a]"), (False, "Y")])
def test_a_field_that_both_changed_is_asked_about(
    app: Callable[..., AppTest], own: Store, keeps_theirs: bool, kept: str
) -> None:
    row = last_task(own)
    at = browse(app, row)
    form = f"edit-maintenance-{row}-0"
    at.text_input(key=f"{form}-note").set_value("Y")
    at.text_input(key=f"{form}-minutes").set_value("40").run()
    by(own, "Ben", NOW).correct("maintenance", row, {"note": "X [a]"})
    at.button(key=f"save-{row}").click().run()
    assert own.records().maintenance.loc[row, "note"] == "X [a]"
    (asked,) = [one.value for one in at.warning]
    assert "Ben wrote “X \\[a\\]” under “Note”" in asked
    assert "you wrote “Y”. Which is to stay?" in asked
    assert at.button(key=f"stays-{form}").disabled, "nothing is chosen for the person"
    at.radio(key=f"stays-{form}-0").set_value(keeps_theirs).run()
    at.button(key=f"stays-{form}").click().run()
    assert not at.exception
    saved = own.records().maintenance.loc[row]
    assert (saved["note"], saved["minutes"]) == (kept, 40)


def test_a_record_taken_out_while_it_is_corrected_is_told_with_who_did_it(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = last_task(own)
    at = browse(app, row)
    field = f"edit-maintenance-{row}-0-note"
    at.text_input(key=field).set_value("half an hour of thought").run()
    by(own, "Ben", NOW).remove("maintenance", row)
    at.button(key=f"save-{row}").click().run()
    assert "Ben took it out on" in "\n".join(error.value for error in at.error)
    assert at.text_input(key=field).value == "half an hour of thought"


def test_a_removal_asked_about_before_another_changed_the_record_is_refused(
    app: Callable[..., AppTest], own: Store
) -> None:
    row = last_task(own)
    at = browse(app, row)
    at.button(key=f"remove-{row}").click().run()
    by(own, "Ben", NOW).correct("maintenance", row, {"note": "X"})
    at.button(key=f"remove-{row}-yes").click().run()
    assert "was changed by Ben on" in "\n".join(error.value for error in at.error)
    assert row in own.records().maintenance.index


def test_settings_of_two_people_both_stand(app: Callable[..., AppTest], own: Store) -> None:
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "The workshop"
    at.run()
    at.text_input(key="set-labour_per_hour").set_value("31")
    with by(own, "Ben", NOW).change("Settings") as batch:
        acts.put_setting(batch, "margin_per_hour", "45")
    next(button for button in at.button if button.label == "Save settings").click().run()
    records = own.records()
    assert (records.number("labour_per_hour"), records.number("margin_per_hour")) == (31, 45)


def test_a_failure_that_another_logged_meanwhile_is_told_and_can_be_opened(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    at.pills(key="part-kind").set_value("wiper").run()
    wiper = int(own.records().fittings.index[-1])
    removal = acts.Removal(date(2026, 10, 30), "failed", "cut edge", fitting=wiper)
    acts.change_part(by(own, "Ana", NOW), WIPER, removal)
    at.button(key="part-save").click().run()
    assert not at.exception
    told = as_read(words_of(at))
    assert "Ana logged this" in told
    assert "How it failed: cut edge" in told
    assert len(own.records().fittings) == 2
    at.button(key="part-save-open").click().run()
    assert [table.value["No."].tolist() for table in at.dataframe] == [[wiper]]
    assert f"record {wiper}: " in next(each.value for each in at.subheader)


def test_a_record_that_was_opened_leads_on_to_all_others(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.change_part(by(own, now=NOW), WIPER, acts.Removal(date(2026, 10, 30), "failed"))
    at = app("records")
    at.session_state["browse-open"] = ("fittings", int(own.records().fittings.index[0]))
    at.run()
    assert [len(table.value) for table in at.dataframe] == [1]
    at.button(key="browse-all").click().run()
    assert [len(table.value) for table in at.dataframe] == [2]
    assert at.number_input(key="browse-number-fittings-0").value is None


def test_a_second_real_change_takes_one_more_tap(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    at.pills(key="part-kind").set_value("wiper").run()
    acts.change_part(by(own, "Ana", NOW), WIPER, acts.Removal(date(2026, 10, 30), "failed"))
    at.button(key="part-save").click().run()
    at.button(key="part-save-again").click().run()
    assert len(own.records().fittings) == 3
    assert "Wiper blade of Ada failed and was changed." in words_of(at)


def test_a_failure_that_another_told_of_a_few_days_before_is_asked_about(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.change_part(by(own, "Tom", NOW), WIPER, acts.Removal(date(2026, 10, 29), "failed"))
    at = app("log")
    at.pills(key="part-kind").set_value("wiper").run()
    at.button(key="part-save").click().run()
    asked = "Wiper blade of Ada was changed on 29 Oct 2026 already (Tom, "
    assert asked in as_read(words_of(at))
    assert "Was it changed a second time?" in words_of(at)
    assert len(own.records().fittings) == 2
    at.button(key="part-save-again").click().run()
    assert len(own.records().fittings) == 3


def test_done_tapped_second_is_told_who_was_first_and_written_once(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = at_the_printers(app())
    acts.log_tasks(by(own, "Ana", NOW), "Ada", ["stir_ink"], TODAY)
    at.button(key="done-Ada-stir_ink").click().run()
    assert not at.exception
    assert "Ana logged this" in words_of(at)
    assert own.records().maintenance["task"].tolist().count("stir_ink") == 1
    at.button(key="done-Ada-stir_ink-again").click().run()
    assert own.records().maintenance["task"].tolist().count("stir_ink") == 2


def test_all_done_logs_only_what_another_has_not_logged_yet(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = at_the_printers(app())
    acts.log_tasks(by(own, "Ana", NOW), "Ada", ["stir_ink"], TODAY)
    at.button(key="done-Ada").click().run()
    assert "Ana logged this" in words_of(at)
    at.button(key="done-Ada-others").click().run()
    done = own.records().maintenance
    assert sorted(done.loc[done["done_on"] == str(TODAY), "task"]) == ["stir_ink", "wipe_encoder"]


def test_a_delivery_that_another_put_on_the_shelf_is_told(
    app: Callable[..., AppTest], own: Store
) -> None:
    order = int(own.records().orders.index[-1])
    at = app("log")
    at.session_state["log-what"] = "Order"
    at.run()
    acts.receive_order(by(own, "Ana", NOW), order, acts.Delivery(TODAY))
    at.button(key=f"order-in-{order}").click().run()
    assert not at.exception
    assert "Ana logged this" in words_of(at)
    assert f"order-in-{order}-again" not in [button.key for button in at.button]
    assert own.records().stock["quantity"].sum() == 2
    at.button(key=f"order-in-{order}-leave").click().run()
    assert "Ana logged this" not in words_of(at)


@pytest.mark.parametrize("first", ["Part change", "Stoppage", "both"])
def test_what_was_logged_in_the_other_form_is_left_out_and_the_rest_goes_in(
    app: Callable[..., AppTest], own: Store, first: str
) -> None:
    if first != "Stoppage":
        acts.change_part(by(own, now=NOW), WIPER, acts.Removal(TODAY, "failed"))
    if first != "Part change":
        acts.begin_stoppage(by(own, now=NOW), acts.Stoppage("Ada", datetime(2026, 10, 31, 0, 0)))
    at = app("log")
    assert "Something broke. A part came out" in words_of(at), "which form to take when"
    for key, value in (
        ("log-what", "Something broke"), ("broke-kind", "wiper"),
        ("broke-stood", "It still stands"), ("broke-tasks", ["clean_wiper_cap"]),
    ):  # fmt: skip
        at.session_state[key] = value
        at.run()
    at.button(key="broke-save").click().run()
    assert own.records().maintenance.query("task == 'clean_wiper_cap'").empty, "asked first"
    for _ in range(2 if first == "both" else 1):
        at.button(key="broke-save-others").click().run()
    assert not at.exception
    records = own.records()
    assert len(records.maintenance.query("task == 'clean_wiper_cap'")) == 1
    assert len(records.stoppages) == 1
    assert (records.fittings["removal_reason"] == "failed").sum() == 1
