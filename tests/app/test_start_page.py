"""From an empty workshop to the first forecast, step by step."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import as_read, words_of
from tests.copied import Copies, as_it_begins
from tests.hands import by
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store


@pytest.fixture
def own(folder: Path, copies: Copies) -> Iterator[Store]:
    with copies.opened(default_url(), as_it_begins) as store:
        yield store


def choose(at: AppTest, key: str, value: object) -> AppTest:
    at.session_state[key] = value
    return at.run()


def tap(at: AppTest, key: str) -> AppTest:
    at.button(key=key).click().run()
    assert not at.exception, [problem.message for problem in at.exception]
    return at


def asked(at: AppTest) -> str:
    """The step's number and question."""
    return next(m.value.removeprefix("#### ") for m in at.markdown if m.value.startswith("####"))


def correct(at: AppTest, editor: str, row: int, **cells: str) -> AppTest:
    """Type into cells of a list."""
    edits = {"edited_rows": {row: cells}, "added_rows": [], "deleted_rows": []}
    return choose(at, editor, edits)


def to_step(at: AppTest, number: int) -> AppTest:
    for _ in range(number - 1):
        tap(at, "begin-next")
    return at


def test_guesses_of_prices_follow_the_currency_and_what_was_corrected_stays(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("start")
    at.text_input(key="begin-0-name").input("Left").run()
    to_step(at, 3)
    assert "starting guesses in euros" in words_of(at)
    correct(at, "list-prices", 0, lead_days="9")
    choose(at, "begin-currency", "MXN")
    assert "starting guesses at about 20 MXN to the euro" in words_of(at)
    listed = at.session_state["listed-pricesMXN"]
    assert listed.iloc[0][["unit_cost", "lead_days"]].tolist() == ["12000", "9"]
    tap(at, "begin-next")
    tap(at, "begin-next")
    records = own.records()
    assert records.part_facts("head", "six-channel head").unit_cost == 12_000
    assert records.parts["unit_cost"].isna().all(), "a guess is not written down as known"


def test_two_printers_are_in_the_workshop_after_four_steps_and_undone_in_one_tap(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("start")
    assert asked(at) == "Which printers do you have?"
    at.text_input(key="begin-0-name").input("Left").run()
    choose(at, "begin-0-layout", "two")
    tap(at, "begin-another")
    assert at.text_input(key="begin-1-name").value == "Left 2"
    assert at.radio(key="begin-1-layout").value == "two"
    at.text_input(key="begin-1-name").input("Right").run()

    tap(at, "begin-next")
    assert asked(at) == "For how long have the parts been in?"
    labels = [group.label for group in at.segmented_control]
    assert "Dampers (16): in there for how long?" in labels
    choose(at, "begin-all-age-damper", "Months")
    choose(at, "begin-all-age-head-four-channel head", "New")

    tap(at, "begin-next")
    assert asked(at) == "What do parts cost, and how fast do they come?"
    choose(at, "begin-currency", "USD")
    correct(at, "list-prices", 0, unit_cost="480,50")

    tap(at, "begin-next")
    assert asked(at) == "What do you do regularly?"
    correct(at, "list-routine", 2, every_days="10")
    choose(at, "begin-done-stir_ink", "Today")
    tap(at, "begin-next")

    records = own.records()
    assert records.printers["printer"].tolist() == ["Left", "Right"]
    fittings = records.fittings
    assert len(fittings) == 2 * (2 + 8 + 3)
    assert fittings.query("part_kind == 'damper'")["age_guess_days"].tolist() == [120] * 16
    assert fittings.query("part_kind == 'head'")["fitted_on"].notna().all()
    assert records.setting("currency") == "USD"
    assert records.part_facts("head", "four-channel head").unit_cost == 480.5
    assert records.routines.set_index("task")["every_days"]["shake_dampers"] == 10
    assert records.maintenance["task"].tolist() == ["stir_ink"] * 2
    assert len(own.changes(10)) == 1

    assert at.title[0].value == "Today"
    said = words_of(at)
    assert "Your workshop has begun with 2 printers." in said
    assert "this is mostly the starting guess" in said
    assert "even chance it lasts until" in said
    tap(at, "undo-last")
    assert own.records().is_empty
    assert asked(at) == "What do you do regularly?", "what was said is there to be corrected"
    tap(at, "begin-next")
    assert own.records().printers["printer"].tolist() == ["Left", "Right"]


def test_the_demo_says_that_it_stays_and_is_one_tap_away_from_the_empty_workshop(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app()
    at.session_state["demo"] = True
    at.run()
    assert "it stays when you start your own" in words_of(at)
    at = tap(at, "start-own")
    assert asked(at) == "Which printers do you have?"
    assert "later on the page Records under Save copies" in words_of(at)
    at = tap(at, "begin-demo")
    assert "Demo workshop – invented data" in words_of(at)


def test_back_and_forward_keep_what_was_said(app: Callable[..., AppTest], own: Store) -> None:
    at = app("start")
    at.text_input(key="begin-0-name").input("Loft").run()
    tap(at, "begin-next")
    choose(at, "begin-all-age-cap", "Weeks")
    tap(at, "begin-next")
    correct(at, "list-prices", 3, unit_cost="38")
    tap(at, "begin-next")
    choose(at, "begin-done-clean_rollers", "This month")
    for _ in range(3):
        tap(at, "begin-back")
    assert at.text_input(key="begin-0-name").value == "Loft"
    tap(at, "begin-next")
    assert at.segmented_control(key="begin-all-age-cap").value == "Weeks"
    tap(at, "begin-next")
    shown = at.session_state["listed-prices"]
    assert shown["unit_cost"].tolist() == ["600", "9", "9", "38", "55"]
    tap(at, "begin-next")
    assert at.segmented_control(key="begin-done-clean_rollers").value == "This month"


def test_another_page_and_the_first_one_keep_what_was_said(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("start")
    at.text_input(key="begin-0-name").input("Loft").run()
    app("log")
    assert "No printer is written down yet" in words_of(at)
    tap(at, "go-start")
    assert at.text_input(key="begin-0-name").value == "Loft"
    app("today")
    assert at.text_input(key="begin-0-name").value == "Loft"


@pytest.mark.parametrize(
    ("name", "layout", "told"),
    [
        (" ", "six", "This printer has no name"),
        ("Left", "six", "Another printer has this name already"),
        ("Right", "other", "No ink channel is written"),
    ],
)
def test_a_printer_that_cannot_be_is_told_in_its_own_frame_and_keeps_the_step(
    app: Callable[..., AppTest], own: Store, name: str, layout: str, told: str
) -> None:
    at = app("start")
    at.text_input(key="begin-0-name").input("Left").run()
    tap(at, "begin-another")
    at.text_input(key="begin-1-name").input(name).run()
    choose(at, "begin-1-layout", layout)
    tap(at, "begin-next")
    assert asked(at) == "Which printers do you have?"
    assert [told in error.value for error in at.error] == [True]
    tap(at, "begin-leave-1")
    assert not at.error
    assert asked(tap(at, "begin-next")) == "For how long have the parts been in?"


def test_other_channels_and_heads_are_typed(app: Callable[..., AppTest], own: Store) -> None:
    at = app("start")
    choose(at, "begin-0-layout", "other")
    at.text_input(key="begin-0-channels").input("K, W1;W2").run()
    choose(at, "begin-0-heads", "2")
    to_step(at, 5)
    fittings = own.records().fittings
    assert fittings["position"].tolist() == ["H1", "H2", "K", "W1", "W2", "wiper", "cap", "pump"]


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        (
            {"unit_cost": "-5"},
            "Printhead, price: '-5' is below zero; write it without the minus sign",
        ),
        ({"unit_cost": "12,345"}, "Printhead, price: '12,345' reads both ways"),
        ({"lead_days": "soon"}, "Printhead, days: 'soon' is not a number"),
        ({"lead_days": "50"}, "nine in ten cannot be here by day 45 if 50 days are usual"),
        ({"lead_days_late": "9999"}, "Printhead, late: 9999 is more than 1825"),
    ],
)
def test_a_price_or_delivery_that_cannot_be_is_told_and_keeps_the_step(
    app: Callable[..., AppTest], own: Store, cells: dict[str, str], told: str
) -> None:
    at = to_step(app("start"), 3)
    correct(at, "list-prices", 0, **cells)
    assert any(told in as_read(error.value) for error in at.error), [one.value for one in at.error]
    assert asked(tap(at, "begin-next")) == "What do parts cost, and how fast do they come?"


def test_a_task_without_an_interval_is_not_in_the_routine(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = to_step(app("start"), 4)
    correct(at, "list-routine", 4, every_days="")
    assert "begin-done-flush_in_place" not in [group.key for group in at.segmented_control]
    correct(at, "list-routine", 4, every_days="0")
    assert any("is less than 0.1" in error.value for error in at.error)
    correct(at, "list-routine", 4, every_days="")
    tap(at, "begin-next")
    tasks = set(own.records().routines["task"])
    assert len(tasks) == 9
    assert "flush_in_place" not in tasks


def test_the_ages_may_differ_from_printer_to_printer(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("start")
    at.text_input(key="begin-0-name").input("Left").run()
    tap(at, "begin-another")
    tap(at, "begin-next")
    choose(at, "begin-all-age-cap", "About a year")
    choose(at, "begin-ages", "For each printer")
    assert at.segmented_control(key="begin-1-age-cap").value == "About a year"
    choose(at, "begin-0-age-cap", "Weeks")
    to_step(at, 4)
    caps = own.records().fittings.query("part_kind == 'cap'").set_index("printer")
    assert caps["age_guess_days"].to_dict() == {"Left": 21, "Left 2": 365}


def test_the_first_forecast_is_called_a_guess_until_a_part_has_failed(
    app: Callable[..., AppTest], own: Store
) -> None:
    new = acts.NewPrinter("*Loft*", date(2026, 10, 1), channels="K W1", usual_parts="new")
    acts.add_printer(by(own, now=datetime(2026, 10, 1, 9, 0)), new)
    at = app("today")
    said = words_of(at)
    assert "this is mostly the starting guess" in said
    assert r"\*Loft\*: even chance it lasts until" in said, "shown as it was written"
    cap = acts.PartPosition("*Loft*", "cap", "cap")
    acts.change_part(own, cap, acts.Removal(date(2026, 10, 20), "failed"))
    assert "this is mostly the starting guess" not in words_of(at.run())


def test_a_workshop_that_has_begun_is_not_begun_again(
    app: Callable[..., AppTest], own: Store
) -> None:
    own.add("printers", {"printer": "Loft", "started_on": "2026-09-01", "channels": "K W1"})
    at = app("start")
    assert "This workshop has begun already." in words_of(at)
    assert not at.text_input


def test_the_way_of_the_spreadsheets_stays_open(app: Callable[..., AppTest], own: Store) -> None:
    at = tap(app("start"), "begin-load")
    assert at.title[0].value == "Records"


def test_a_draft_that_is_not_ours_counts_as_nothing_said(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    for kept in ("[1]", "no draft", '{"step": "99", "printers": "x", "0-name": 3}'):
        at.session_state["start-said"] = kept
        app("start")
        assert not at.error
        assert at.button(key="begin-next")
