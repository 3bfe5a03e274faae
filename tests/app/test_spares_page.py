"""The page Spares, run without a browser on the demo and on small workshops."""

from __future__ import annotations

from datetime import date, datetime
from functools import cache
from typing import Any

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.shell.session import ROOT
from pages.shell.words import plain
from tests.app.conftest import as_read
from tests.hands import by
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.intake.exchange import read_folder
from tracker.say import numbers, part_types
from tracker.say.spares.answers import costly_to_keep
from tracker.store import acts
from tracker.store.connections import default_url, demo_url
from tracker.store.database import open_store
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import part_label

on_shared_demo = pytest.mark.usefixtures("shared_demo")
in_own_folder = pytest.mark.usefixtures("own_folder")


def spares() -> AppTest:
    page = AppTest.from_file(ROOT / "tracker" / "app.py", default_timeout=300)
    return page.switch_page(str(ROOT / "pages" / "spares.py")).run()


def looking_at(view: str, page: AppTest | None = None) -> AppTest:
    """The page with one of its views open."""
    page = page or spares()
    return page.button_group(key="spares-view").set_value(view).run()


def said(page: AppTest) -> str:
    return as_read("\n".join(text.value for text in page.markdown))


@cache
def demo() -> tuple[Records, date, pd.DataFrame, pd.DataFrame]:
    """The demo's records, its day, its stock table and what to order today."""
    records = read_folder(ROOT / "sample_data")
    day = records.last_day()
    assert day is not None
    table = stock_table(records, day)
    return records, day, table, order_proposal(table, preorder(records, day), day)


def small(*fittings: tuple[str, str, str]) -> None:
    """An own workshop of one printer with these parts: kind, position, fitted on."""
    records = Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["A"], "started_on": [pd.Timestamp("2026-01-05")], "channels": ["C W1"]}
            ),
            "fittings": pd.DataFrame(
                [("A", kind, place, pd.Timestamp(day)) for kind, place, day in fittings],
                columns=["printer", "part_kind", "position", "fitted_on"],
            ),
        }
    )
    with open_store(default_url()) as store:
        store.load(records, "by hand")


@on_shared_demo
def test_the_first_sentence_and_the_list_are_the_demos_orders() -> None:
    lines = demo()[3]
    assert len(lines), "the demo has something to order"
    page = spares()
    assert not page.exception
    answer = next(as_read(t.value) for t in page.markdown if t.value.startswith("####"))
    assert "Order now: " in answer
    assert numbers.money(float(lines["cost"].sum())) in answer
    for line in lines.itertuples():
        assert f"{line.pieces} × {part_label(line.part_kind).lower()}" in said(page)
        assert page.button(key=_key(line)).label == "I ordered this"
    assert page.get("download_button")
    # How many heads to keep stands before the list, outside of every fold; what an hour of standing
    # costs was set there.
    keep = costly_to_keep(demo()[2], preorder(*demo()[:2]))
    blocks = [as_read(text.value) for text in page.markdown]
    assert blocks.index(as_read(plain(keep))) == 1 + blocks.index(
        next(block for block in blocks if block.startswith("####"))
    )
    assert not any("guessed" in text.value for text in page.caption)


@in_own_folder
def test_i_ordered_this_writes_the_order_down_and_offers_the_way_back() -> None:
    records, day, _, lines = demo()
    line = lines.iloc[-1]
    page = spares()
    page.button(key=_key(line)).click().run()
    assert not page.exception
    with open_store(demo_url()) as store:
        orders = store.records().orders
        assert len(orders) == len(records.orders) + 1
        newest = orders.iloc[-1]
        assert (newest["part_kind"], newest["quantity"]) == (line["part_kind"], line["pieces"])
        assert newest["ordered_on"].date() == day
    assert page.button(key="undo-last").label == "Undo"
    assert _key(line) not in [button.key for button in page.button]


@on_shared_demo
def test_the_shelf_shows_every_kind_of_the_table() -> None:
    table = demo()[2]
    shown = spares().dataframe[0].value
    assert sorted(shown["Part"]) == sorted(map(part_types.of, table.itertuples()))
    row = shown.set_index("Part").loc["Damper"]
    own = table.set_index("part_kind").loc["damper"]
    assert row["On the shelf"] == str(own["on_hand"])
    assert row["Chance of running short"] == 100 * own["chance_of_shortage_now"]
    names = {"For 95 %": "stock_for_service", "Least cost": "stock_least_cost"}
    for shown_as, column in {**names, "To keep": "stock_to_keep"}.items():
        assert row[shown_as] == own[column]


@on_shared_demo
def test_a_higher_service_level_asks_for_more_stock() -> None:
    page = looking_at("What is needed")
    page.button_group(key="need-kind").set_value("damper").run()
    page.slider(key="need-service").set_value(50).run()
    low = _recommended(said(page))
    page.slider(key="need-service").set_value(99).run()
    assert not page.exception
    assert _recommended(said(page)) > low


@on_shared_demo
def test_more_printers_need_more_and_the_page_says_that_it_is_a_what_if() -> None:
    page = looking_at("What is needed")
    page.button_group(key="need-kind").set_value("damper").run()
    now = _recommended(said(page))
    page.number_input(key="more-printers").set_value(4).run()
    assert not page.exception
    assert _recommended(said(page)) > now
    assert "What if: 4 more printers" in said(page)


@on_shared_demo
def test_printers_that_leave_and_a_single_site_need_less() -> None:
    page = looking_at("What is needed")
    page.button_group(key="need-kind").set_value("damper").run()
    now = _recommended(said(page))
    page.multiselect(key="leaving-printers").set_value(["Window", "Door"]).run()
    assert _recommended(said(page)) < now
    assert "What if: without Window, Door." in said(page)
    page.date_input(key="leaving-on").set_value(date(2027, 10, 1)).run()
    assert _recommended(said(page)) == now
    assert "What if: without Window, Door from 1 Oct 2027 on." in said(page)
    page.multiselect(key="leaving-printers").set_value([])
    page.selectbox(key="site").set_value("Station Yard").run()
    assert not page.exception
    assert _recommended(said(page)) < now
    assert f"({now} as things are)" in said(page)
    assert "All sites take from one shelf" in said(page)
    assert "on the shelf or on the way by then" not in said(page)
    assert "One shelf for both sites needs" in said(looking_at("One shelf or several", page))


@on_shared_demo
def test_another_routine_moves_the_need_and_the_order_dates() -> None:
    page = looking_at("What is needed")
    page.button_group(key="need-kind").set_value("damper").run()
    now = _recommended(said(page))
    page.selectbox(key="need-dial-task").set_value("shake_dampers").run()
    page.select_slider(key="need-dial-days").set_value(60.0).run()
    assert not page.exception
    assert "What if: shake dampers" in said(page)
    assert _recommended(said(page)) > now
    looking_at("Order dates", page)
    page.selectbox(key="heads-dial-task").set_value("shake_dampers").run()
    assert not page.exception
    assert "What if: shake dampers" in said(page)


@on_shared_demo
def test_a_practice_of_planned_changes_is_said_beside_the_need() -> None:
    page = looking_at("What is needed")
    page.button_group(key="need-kind").set_value("wiper").run()
    assert "Changed by plan at about 6 months" in said(page)


@on_shared_demo
def test_a_larger_risk_limit_lasts_longer_and_an_express_premium_hurries() -> None:
    page = looking_at("Order dates")
    before = _dates(page)
    page.slider(key="heads-limit").set_value(40).run()
    assert "What if: a risk of 40 % is accepted." in said(page)
    later = _dates(page)
    usual, asked = "Risk stays within 5 % until", "Risk stays within 40 % until"
    assert (later[asked] != before[usual]).any()
    assert any("No risk limit is set" in text.value for text in looking_at("Order dates").caption)
    assert any("above your limit of 40 %" in as_read(text.value) for text in page.caption)
    page.number_input(key="heads-premium").set_value(100_000).run()
    assert not page.exception
    # All that can be ordered now already was: the last one's date comes nearer.
    assert "express costs" in said(page)
    assert _dates(page)["Verdict"].tolist().count("Order now") >= (
        later["Verdict"].tolist().count("Order now")
    )


def _dates(page: AppTest) -> pd.DataFrame:
    table: pd.DataFrame = next(t.value for t in page.dataframe if "Verdict" in t.value)
    return table


@on_shared_demo
def test_a_budget_is_not_overspent_and_lowers_the_risk() -> None:
    page = looking_at("Short of money")
    page.number_input(key="spares-budget").set_value(60).run()
    assert not page.exception
    steps = next(t.value for t in page.dataframe if "Spent so far" in t.value)
    assert float(steps["Spent so far"].iloc[-1].split()[0]) <= 60
    assert "Buy first: " in said(page)
    told = next(c.value for c in page.markdown if "would wait" in c.value)
    assert "printhead (six-channel head)" in told
    page.number_input(key="spares-budget").set_value(0).run()
    assert "Nothing on the list is to be had for that sum" in said(page)


def _recommended(text: str) -> int:
    return int(text.split(" in stock**")[0].split("**")[-1])


@in_own_folder
def test_an_empty_workshop_is_told_the_next_step() -> None:
    with open_store(default_url()):
        pass
    page = spares()
    assert not page.exception
    assert "Log the parts that are in your printers" in page.info[0].value


@in_own_folder
def test_one_printer_with_three_records_and_a_kind_of_its_own() -> None:
    small(
        ("damper", "C", "2026-02-01"),
        ("head", "H1", "2026-01-05"),
        ("heat_lamp", "lamp", "2026-03-01"),
    )
    page = spares()
    assert not page.exception
    assert not page.error
    assert any("a guessed 20 € a working hour" in as_read(text.value) for text in page.caption)
    assert page.button(key="spares-standing-cost").label == "Set it"
    assert "Heat lamp" in page.dataframe[0].value["Part"].tolist()
    looking_at("What is needed", page)
    page.button_group(key="need-kind").set_value("heat_lamp").run()
    assert not page.exception
    assert "If the trade's starting guess of its life were half" in said(page)


def _key(line: Any) -> str:
    """The key of a line's button: its kind and, where the kind has several, its type."""
    return "-".join(filter(None, ("ordered", line.part_kind, line.variant)))


@on_shared_demo
def test_from_the_order_dates_one_tap_leads_to_a_suppliers_closed_days() -> None:
    page = looking_at("Order dates")
    page.button(key="heads-supplier-shut").click().run()
    assert not page.exception
    assert page.title[0].value == "Maintenance"
    assert "Supplier Quay Printheads" in page.selectbox(key="closed-new-where").options


@in_own_folder
def test_a_supplier_that_will_be_shut_is_told_with_what_to_order_before() -> None:
    with open_store(demo_url()) as store:
        shut = acts.Closure(date(2026, 11, 27), date(2026, 12, 20), supplier="Quay Printheads")
        acts.write_closure(by(store, now=datetime(2026, 10, 30, 12)), shut)
    assert (
        "Quay Printheads sends nothing from 27 Nov to 20 Dec 2026; the delivery times here count "
        "that in. To have it before, order printhead (eight-channel head) by 6 Nov 2026."
    ) in said(spares())
