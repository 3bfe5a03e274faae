"""Loading, correcting, settings and taking back, on screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import as_read, words_of
from tests.copied import Copies, as_it_begins
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store, open_store
from tracker.workshop.settings.known import SETTINGS

PRINTERS = b"Drucker;Start\nAda;05.01.2026\nBert;15.01.2026\n"


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), as_it_begins)


def load(at: AppTest, *files: tuple[str, bytes, str]) -> AppTest:
    at.session_state["records-section"] = "Load files"
    at.run()
    return at.file_uploader(key="load-files").set_value(list(files)).run()


def test_a_workshops_own_sheet_is_loaded_and_its_columns_are_remembered(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), ("drucker.csv", PRINTERS, "text/csv"))
    at.session_state["load-drucker.csv||1|is"] = "printers"
    at.run()
    at.button(key="load-go").click().run()
    assert sorted(own.records().printers["printer"]) == ["Ada", "Bert"]
    assert own.remembered_answers()["column|printers|Drucker"] == "printer"
    assert "2 records added" in words_of(at)


def test_days_that_read_both_ways_are_asked(app: Callable[..., AppTest], own: Store) -> None:
    data = b"printer,started_on\nAda,03/04/2026\nBert,05/06/2026\n"
    at = load(app("records"), ("printers.csv", data, "text/csv"))
    keys = [button.key for button in at.button]
    assert "load-go" not in keys
    question = next(group for group in at.button_group if "started_on" in str(group.key))
    answer = next(option for option in question.options if "day" in str(option).lower())
    at.session_state[str(question.key)] = str(getattr(answer, "content", answer))
    at.run()
    at.button(key="load-go").click().run()
    assert own.records().printers["started_on"].dt.month.tolist() == [4, 6]


def test_a_bad_file_is_refused_row_by_row_and_nothing_is_loaded(
    app: Callable[..., AppTest], own: Store
) -> None:
    data = b"printer,started_on\nAda,2026-01-05\nCleo,soon\nBert,2026-13-40\n"
    at = load(app("records"), ("printers.csv", data, "text/csv"))
    assert any("2 mistakes" in error.value for error in at.error)
    fields = [field for field in at.text_input if "should be" in field.label]
    assert [field.value for field in fields] == ["soon", "2026-13-40"]
    assert [row for row in (2, 3, 4) if f"Row {row}, started_on" in as_read(words_of(at))] == [3, 4]
    assert "load-go" not in [button.key for button in at.button]
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


def test_many_records_are_taken_back_only_when_it_is_meant(
    app: Callable[..., AppTest], own: Store
) -> None:
    days = [date(2026, 1, 5) + timedelta(days=number) for number in range(51)]
    rows = "".join(f"Ada,{day},{number}\n" for number, day in enumerate(days, 1))
    by(own, now=datetime(2026, 10, 31)).add(
        "printers", {"printer": "Ada", "started_on": "2026-01-05"}
    )
    at = load(
        app("records"), ("counters.csv", f"printer,read_on,area_m2\n{rows}".encode(), "text/csv")
    )
    at.button(key="load-go").click().run()
    at.session_state["records-section"] = "What was changed"
    at.run()
    for key in ("undo-last", "undo-2"):
        at.button(key=key).click().run()
        assert len(own.records().counters) == 51, "a tap alone asks"
        assert "Take back 51 records?" in "\n".join(as_read(told.value) for told in at.warning)
        at.button(key=f"{key}-no").click().run()
        assert f"{key}-yes" not in [button.key for button in at.button]
        assert len(own.records().counters) == 51
    at.button(key="undo-2").click().run()
    at.button(key="undo-2-yes").click().run()
    assert own.records().counters.empty
    assert "undo-2" not in [button.key for button in at.button]


def settings_of(at: AppTest, which: str) -> AppTest:
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = which
    return at.run()


def save_setting(at: AppTest, name: str, typed: str) -> AppTest:
    at.text_input(key=f"set-{name}").input(typed)
    return next(button for button in at.button if button.label == "Save settings").click().run()


@pytest.mark.parametrize(
    ("name", "typed", "kept"),
    [
        ("service_level", "0,96", "0.96"),
        ("service_level", "95", "0.95"),
        ("service_level", "94 %", "0.94"),
        ("labour_per_hour", "27,50", "27.5"),
        ("log_began_on", "31.12.2025", "2025-12-31"),
        ("review_days", "2 weeks", "14"),
    ],
)
def test_settings_are_read_as_they_are_typed(
    app: Callable[..., AppTest], own: Store, name: str, typed: str, kept: str
) -> None:
    at = save_setting(settings_of(app("records"), "The workshop"), name, typed)
    assert own.records().setting(name) == kept
    assert "Settings saved." in words_of(at)
    assert setting_field(at, name).value == kept


def test_language_country_clocks_and_encryption_are_chosen_from_lists(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = settings_of(app("records"), "The workshop")
    # Nothing is chosen yet, so that what holds then stands first.
    first = {
        "language": "as the browser asks",
        "locale": "as usual in the language",
        "time_zone": "clocks are never put forward or back",
        "weekdays_worked": "as the log shows",
        "mail_encrypted": "as usual: yes",
    }
    assert {name: at.selectbox(key=f"set-{name}").options[0] for name in first} == first
    assert at.selectbox(key="set-language").options[1:] == ["English", "Español"]
    at.selectbox(key="set-locale").set_value("es_MX")
    at.selectbox(key="set-time_zone").set_value("Europe/Madrid")
    at.selectbox(key="set-weekdays_worked").set_value("1 2 3 4 5 6")
    at.selectbox(key="set-mail_encrypted").set_value("no")
    next(button for button in at.button if button.label == "Save settings").click().run()
    kept = own.records()
    wanted = ["", "es_MX", "Europe/Madrid", "1 2 3 4 5 6", "no"]
    assert [kept.setting(name) for name in first] == wanted
    assert len(kept.settings) == 4


def setting_field(at: AppTest, name: str) -> Any:
    (field,) = [one for one in at.text_input if str(one.key).endswith(f"-{name}")]
    return field


def save(at: AppTest, label: str) -> AppTest:
    return next(button for button in at.button if button.label == label).click().run()


def test_what_is_typed_after_a_save_that_changed_nothing_is_saved(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = save_setting(settings_of(app("records"), "The workshop"), "margin_per_hour", "32")
    for _twice in range(2):
        at = save(at, "Save settings")
        assert "Nothing was different, so nothing was changed." in words_of(at)
    setting_field(at, "margin_per_hour").input("33")
    at = save(at, "Save settings")
    assert own.records().number("margin_per_hour") == 33
    assert setting_field(at, "margin_per_hour").value == "33"
    setting_field(at, "margin_per_hour").input("-5")
    at = save(at, "Save settings")
    assert "Nothing was saved." in words_of(at)
    assert "Settings saved." not in words_of(at), "no green notice above the red one"
    assert own.records().number("margin_per_hour") == 33


def test_moving_the_first_day_of_the_log_is_told_with_the_guessed_ages_it_moves(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("settings", {"name": "log_began_on", "value": "2026-10-31"})
    own.add("printers", {"printer": "Ada", "started_on": "2025-01-05"})
    own.add("printers", {"printer": "Late", "started_on": "2026-10-20"})
    for printer, kind, days in (("Ada", "head", 365), ("Ada", "wiper", 21), ("Late", "cap", 0)):
        part = {"printer": printer, "part_kind": kind, "position": kind, "age_guess_days": days}
        own.add("fittings", part)
    at = save_setting(settings_of(app("records"), "The workshop"), "log_began_on", "2026-03-02")
    (asked,) = [as_read(told.value) for told in at.warning]
    assert "the ages of 3 parts were guessed as of the first day" in asked
    assert "went in after that day and would count as new on it: Wiper blade of Ada," in asked
    assert own.records().setting("log_began_on") == "2026-10-31"
    at = save(save(at, "Yes, it is so"), "Save settings")
    kept = own.records()
    assert kept.setting("log_began_on") == "2026-03-02"
    # 2 March is 243 days before 31 October; the cap's printer came eleven days before.
    assert kept.fittings["age_guess_days"].tolist() == [365 - 243, 0, 0]
    at.button(key="undo-last").click().run()
    assert own.records().fittings["age_guess_days"].tolist() == [365, 21, 0]


def test_a_country_that_the_list_lacks_stays_as_it_was_kept(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("settings", {"name": "locale", "value": "de_AT"})
    at = settings_of(app("records"), "The workshop")
    assert at.selectbox(key="set-locale").value == "de_AT"
    next(button for button in at.button if button.label == "Save settings").click().run()
    assert "Nothing was different" in words_of(at)
    assert own.records().setting("locale") == "de_AT"


def test_every_setting_of_the_contract_has_its_field(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = settings_of(app("records"), "The workshop")
    shown = {str(field.key) for field in (*at.text_input, *at.selectbox)}
    assert {f"set-{name}" for name in SETTINGS if name != "demo"} <= shown


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("service_level", "1.2", "Service level: “1.2” is not between 0 and 1; write 0.95"),
        ("service_level", "abc", "Service level: “abc” is not a number; write digits only"),
        ("service_level", "-5", "Service level: “-5” is not between 0 and 1"),
        ("labour_per_hour", "-3", "Labour per hour: “-3” is below zero; write it without"),
        ("labour_per_hour", "hello", "Labour per hour: “hello” is not a number"),
        ("shipping_per_order", "-1", "Shipping per order: “-1” is below zero"),
        ("log_began_on", "3/4/2025", "reads both ways; write 2025-04-03 or 2025-03-04."),
        ("log_began_on", "31.02.2026", "February 2026 has 28 days"),
    ],
)
def test_a_setting_that_cannot_be_true_is_refused_and_never_called_saved(
    app: Callable[..., AppTest], own: Store, name: str, typed: str, told: str
) -> None:
    at = save_setting(settings_of(app("records"), "The workshop"), name, typed)
    assert any(told in as_read(error.value) for error in at.error), [one.value for one in at.error]
    assert "Settings saved." not in words_of(at)
    assert own.records().settings.empty


def test_the_price_and_delivery_in_use_are_those_of_own_orders(
    app: Callable[..., AppTest], own: Store
) -> None:
    for ordered, received, price in (("01", "11", 600), ("11", "21", 620), ("21", "31", 700)):
        own.add(
            "orders",
            {"part_kind": "head", "quantity": 1, "ordered_on": f"2026-05-{ordered}",
             "received_on": f"2026-05-{received}", "unit_cost": price},
        )  # fmt: skip
    said = words_of(settings_of(app("records"), "Parts")).replace("\N{NO-BREAK SPACE}", " ")
    assert "620 € a piece: the middle of your last 3 purchases" in said
    # Three orders of ten days beside the belief of 20 days, worth three orders: √(10 × 20) = 14.1.
    assert "delivery 14 days" in said
    assert "learnt from 3 orders of yours (written below: 20 days" in said


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


def test_a_routine_of_one_printer_is_told_with_its_interval_and_its_printer_apart(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("printers", {"printer": "Left", "started_on": "2026-01-05"})
    row = {"task": "stir_ink", "printer": "Left", "every_days": 30, "starts_on": "2026-01-05"}
    own.add("routines", row)
    at = app("records")
    at.session_state["records-section"] = "Settings"
    at.session_state["settings-of"] = "Routines"
    at.run()
    told = [text.value for text in at.markdown]
    assert "**Stir or shake the white ink** every 30 days on Left" in told


def test_many_changes_stand_on_pages_and_are_found_by_what_who_and_number(
    app: Callable[..., AppTest], folder: Path
) -> None:
    first, now = date(2026, 1, 5), datetime(2026, 10, 31, 9, 0)
    with open_store(default_url()) as store:
        by(store, now=now).add("printers", {"printer": "Left", "started_on": str(first)})
        for number in range(40):
            row = {"printer": "Left", "area_m2": 100 + number}
            who = "Ana" if number == 7 else "Tom"
            with by(store, who, now).change(f"Reading {number}") as change:
                change.add("counters", row | {"read_on": str(first + timedelta(days=number))})
    at = app("records")
    at.segmented_control(key="records-section").set_value("What was changed").run()
    undo = [button.key for button in at.button if button.key.startswith("undo-")]
    assert len(undo) == 15
    at.text_input(key="changes-today-find").set_value("ana").run()
    assert [button.key for button in at.button if button.key.startswith("undo-")] == ["undo-9"]
    at.text_input(key="changes-today-find").set_value("no such").run()
    assert "Nothing in the list has that in it." in [told.value for told in at.info]


def test_what_is_worth_a_second_look_stands_below_the_records(
    app: Callable[..., AppTest], own: Store
) -> None:
    acts.add_printer(own, acts.NewPrinter("Ada", date(2026, 1, 5), usual_parts="new"))
    at = app("records")
    assert not [fold for fold in at.expander if "second look" in fold.label]
    day = date(2026, 1, 5)
    wiper = acts.PartPosition("Ada", "wiper", "wiper")
    for removed in (day + timedelta(60), day + timedelta(61)):
        acts.change_part(own, wiper, acts.Removal(removed, "failed"), again=True)
    at = app("records")
    (fold,) = [fold for fold in at.expander if "second look" in fold.label]
    told = " ".join(text.value for text in fold.markdown)
    numbers = own.records().fittings.query("part_kind == 'wiper'").index
    assert f"Parts fitted, No. {numbers[1]}: failed within a day of going in" in told
    (look,) = [one for one in fold.button if one.label == f"Look at record {numbers[1]}"]
    look.click().run()
    assert at.session_state["browse-table"] == "fittings"
    assert f"save-{numbers[1]}" in [button.key for button in at.button]
