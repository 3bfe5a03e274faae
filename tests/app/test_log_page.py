"""Logging: few taps, right records, a way back, refusals in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.records import changes
from tracker.records.engines import default_url
from tracker.records.store import Store, open_store


@pytest.fixture
def own(folder: Path) -> Store:
    """One printer with head, two dampers and a wiper; two dampers on the shelf."""
    store = open_store(default_url())
    changes.add_printer(store, "Ada", date(2026, 1, 5), channels="K W1")
    for kind, position in (("head", "H1"), ("damper", "K"), ("damper", "W1"), ("wiper", "wiper")):
        changes.fit_first_part(store, "Ada", kind, position, date(2026, 1, 5))
    changes.count_stock(store, "damper", date(2026, 1, 6), 2)
    return store


def choose(at: AppTest, key: str, value: str) -> AppTest:
    """Tap one of several."""
    at.session_state[key] = value
    return at.run()


def test_a_part_change_takes_part_place_and_button(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")  # the only printer is chosen already
    choose(at, "part-kind", "damper")
    choose(at, "part-position-damper", "W1")
    at.button(key="part-save").click().run()
    assert "Damper W1 of Ada changed." in words_of(at)
    fittings = own.records().fittings
    here = fittings[(fittings["part_kind"] == "damper") & (fittings["position"] == "W1")]
    assert here["removal_reason"].tolist() == ["failed", ""]
    assert here["fitted_on"].dt.date.tolist() == [date(2026, 1, 5), date(2026, 10, 31)]
    assert own.records().stock["quantity"].sum() == 1


def test_a_new_head_takes_its_dampers_along_and_is_undone_as_one(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "part-kind", "head")
    at.button(key="part-save").click().run()
    out = own.records().fittings["removal_reason"]
    assert sorted(out[out != ""]) == ["failed", "with_other", "with_other"]
    at.button(key="undo-last").click().run()
    assert own.records().fittings["removed_on"].isna().all()
    assert len(own.records().fittings) == 4


def test_several_tasks_are_logged_at_once_with_their_cautions(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Task done")
    choose(at, "task-names", ["shake_dampers", "clean_rollers"])  # type: ignore[arg-type]
    said = words_of(at)
    assert "pull the plug" in said
    assert "flammable" in said
    assert "maker's instructions" in said
    at.button(key="task-save").click().run()
    done = own.records().maintenance
    assert set(done["task"]) == {"shake_dampers", "clean_rollers"}
    assert set(done["why"]) == {"planned"}


def test_a_counter_that_runs_backwards_is_refused_in_words(
    app: Callable[..., AppTest], own: Store
) -> None:
    changes.read_counter(own, "Ada", date(2026, 10, 1), 500.0)
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("4,5")
    at.button(key="counter-save").click().run()
    assert len(at.error) == 1
    assert "4.5" in at.error[0].value
    assert len(own.records().counters) == 1


def test_a_word_instead_of_a_number_is_refused_in_words(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Counter")
    at.text_input(key="counter-area").input("many")
    at.button(key="counter-save").click().run()
    assert [error.value for error in at.error] == [
        "'many' is not a number; write one such as 12.5."
    ]


def test_a_stoppage_begins_and_ends(app: Callable[..., AppTest], own: Store) -> None:
    at = app("log")
    choose(at, "log-what", "Stoppage")
    at.text_input(key="stop-cause").input("no vacuum")
    at.button(key="stop-save").click().run()
    rows = own.records().stoppages
    assert rows["cause"].tolist() == ["no vacuum"]
    assert rows["ended_at"].isna().all()


def test_an_order_is_placed_and_arrives_on_the_shelf(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = app("log")
    choose(at, "log-what", "Order")
    choose(at, "order-kind", "wiper")
    at.button(key="order-save").click().run()
    orders = own.records().orders
    assert orders["quantity"].tolist() == [5]  # a pack, common practice
    arrived = f"order-in-{orders.index[0]}"
    at.button(key=arrived).click().run()
    stock = own.records().stock
    assert stock.loc[stock["part_kind"] == "wiper", "quantity"].tolist() == [5]
