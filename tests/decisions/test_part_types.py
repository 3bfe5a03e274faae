"""A spare of the wrong type is none: shelves, orders and dates by kind and type."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.decisions.workshops import rows
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.purchases import (
    paid_or_usual,
    price_of,
    suppliers,
    type_prices,
)
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.futures.futures import Futures, Needs
from tracker.forecast.outlook import outlook
from tracker.say import part_types as names
from tracker.say.spares import preorder as preorder_words
from tracker.say.spares import stock as stock_words
from tracker.workshop.records import Records
from tracker.workshop.shelf import on_hand
from tracker.workshop.variants import PartType, part_types, pooled_variants

DAY = date(2025, 10, 1)
SIX, EIGHT = PartType("head", "six-channel"), PartType("head", "eight-channel")
ORDER = "part_kind variant quantity ordered_on expected_on supplier unit_cost"
# One sure life of 400 days (shape 1.5 by belief), a delivery of 20 days without doubt.
PARTS = rows(
    "part_kind typical_life_days belief_failures lead_days lead_days_late", ("head", 400, 5, 20, 20)
)


def mixed(*order: tuple[object, ...], stock: pd.DataFrame | None = None) -> Records:
    """Two six-channel printers with old heads, two eight-channel ones with new ones."""
    printers = [("A", SIX), ("B", SIX), ("C", EIGHT), ("D", EIGHT)]
    frames = {
        "printers": rows(
            "printer started_on head_type",
            *((name, "2025-01-01", kind.variant) for name, kind in printers),
        ),
        "fittings": rows(
            "printer part_kind position fitted_on",
            *(
                (name, "head", "H1", "2025-01-01" if kind == SIX else "2025-09-01")
                for name, kind in printers
            ),
        ),
        "parts": PARTS,
        "orders": rows(ORDER, *order),
    }
    return Records.of(frames | ({} if stock is None else {"stock": stock}))


def by_type(found: pd.DataFrame) -> Any:
    return found.set_index(["part_kind", "variant"])


def test_a_head_of_one_type_on_its_way_does_not_protect_the_other_type() -> None:
    coming = ("head", EIGHT.variant, 1, "2025-09-25", "2025-10-10", "North", 700)
    alone, beside = by_type(stock_table(mixed(), DAY)), by_type(stock_table(mixed(coming), DAY))
    assert list(beside.index) == [EIGHT, SIX]
    # The delivery times drawn are others, the futures the same.
    assert beside.loc[SIX, "chance_of_shortage_now"] == pytest.approx(
        alone.loc[SIX, "chance_of_shortage_now"], abs=0.005
    )
    assert beside.loc[SIX, "chance_of_shortage_now"] > 0.05
    assert (beside.loc[SIX, "fitted"], beside.loc[SIX, "on_order"]) == (2, 0)
    assert (beside.loc[EIGHT, "on_order"], beside.loc[EIGHT, "arriving"]) == (1, 1)
    heads = preorder(mixed(coming), DAY)
    assert heads.groupby("variant")["spares"].max().to_dict() == {EIGHT.variant: 1, SIX.variant: 0}
    lines = order_proposal(stock_table(mixed(coming), DAY), heads, DAY)
    assert set(lines["variant"]) == {SIX.variant}


def test_the_dates_of_one_type_are_the_same_whether_or_not_others_are_asked_about() -> None:
    records = mixed()
    of_all, own = preorder(records, DAY), preorder(records, DAY, types={EIGHT})
    of_eight = of_all[of_all["variant"] == EIGHT.variant].reset_index(drop=True)
    assert len(of_all) > len(of_eight) == 2
    assert_frame_equal(own, of_eight)
    assert preorder(records, DAY, types=set()).empty


def test_the_chance_of_a_type_is_that_of_its_own_two_parts() -> None:
    # Either of the two independent heads fails before one ordered now is here (20 days, sure) or
    # at the next review (30 more): 1 − Π (1 − chance of its own within 50 days); their common
    # unknown life couples them, so the product is an upper bound and one head a lower one.
    records = mixed()
    own = outlook(records, DAY, 50)
    own = own[own["variant"] == SIX.variant]["chance_of_failure"].to_numpy()
    told = float(by_type(stock_table(records, DAY)).loc[SIX, "chance_of_shortage_now"])
    assert own.max() < told <= 1 - np.prod(1 - own) + 1e-3


def test_what_arrives_on_a_day_does_not_serve_what_is_needed_before_it() -> None:
    # Hand-written futures of one type: needs on days 10 and 30 of the first, 40 of the second, none
    # in the third and fourth.
    future, day = np.array([0, 0, 1]), np.array([10.0, 30.0, 40.0])
    none = np.zeros(3, dtype=np.int64)
    needs = Futures(4, 60.0, Needs(future, none, day, none))

    def shelf(on_hand: int, *orders: tuple[int, float]) -> DatedShelf:
        quantity = np.array([pieces for pieces, _ in orders], dtype=float)
        days = np.array([[arrives] * 4 for _, arrives in orders]).reshape(len(orders), 4)
        return DatedShelf(needs, on_hand, quantity, days, np.full(4, 20.0))

    # An empty shelf and a piece that comes on day 35: missed on day 10, though one came; the
    # second future finds it.
    assert shelf(0, (1, 35.0)).running_short(60) == 0.25
    assert shelf(0, (1, 5.0)).running_short(60) == 0.25  # the second need of the first finds none
    assert shelf(0, (1, 5.0)).running_short(20) == 0
    assert shelf(1, (1, 35.0)).running_short(60) == 0.25  # the second need is of day 30
    assert shelf(1, (1, 25.0)).running_short(60) == 0
    assert shelf(0).running_short(60) == 0.5
    assert shelf(0, (2, 35.0)).before_arrival(60) == 0.25
    assert np.isnan(shelf(0).before_arrival(60))
    # One ordered today comes on day 20: too late for day 10, in time for 30 and 40.
    assert shelf(0).running_short_with(60, 2).tolist() == [0.5, 0.25, 0.25]
    assert shelf(1).running_short_with(60, 1).tolist() == [0.25, 0.0]
    assert shelf(0, (1, 5.0)).running_short_with(25, 1).tolist() == [0.0, 0.0]
    # Occasions: two in the first future and one in the second with an empty shelf, 3 / 4.
    assert needs.short_moments(60, 3).tolist() == [0.75, 0.25, 0.0]


def test_a_late_order_leaves_its_risk_until_it_is_here_and_the_words_name_the_remedy() -> None:
    coming = ("head", SIX.variant, 1, "2025-09-25", "2025-11-05", "North", 600)
    records = mixed(coming)
    row: Any = by_type(stock_table(records, DAY)).loc[SIX]
    none: Any = by_type(stock_table(mixed(), DAY)).loc[SIX]
    assert row["risk_before_arrival"] > 0.05
    assert row["risk_before_arrival"] <= row["chance_of_shortage_now"]
    assert row["chance_of_shortage_now"] < none["chance_of_shortage_now"]
    assert np.isnan(none["risk_before_arrival"])
    assert "only express delivery helps" in stock_words.reason(row)
    dated: Any = preorder(records, DAY).set_index("variant").loc[SIX.variant].iloc[0]
    assert dated["risk_before_arrival"] == row["risk_before_arrival"]
    assert dated["coming_on"] == date(2025, 11, 5)
    said = preorder_words.before_arrival(dated)
    assert "(about 5 Nov 2025)" in said
    assert "express delivery" in said
    short = preorder_words.why(dated, "EUR")
    assert "hance that more than one is needed before it is here: " in short, "one is on its way"
    assert short.endswith(said.strip())
    empty: Any = preorder(mixed(), DAY).set_index("variant").loc[SIX.variant].iloc[0]
    assert "Chance of running out before it is here: " in preorder_words.why(empty, "EUR")
    settings = rows("name value", ("courier_days", "2"), ("courier_cost", "60"))
    told = preorder_words.express(records.with_table("settings", settings))
    assert told == "Express delivery: here within 2 days for 60 € more (Records, Settings)."
    assert preorder_words.express(records) == ""


@pytest.mark.parametrize(
    "removed",
    [
        ("2024-04-10", "2024-07-10", "2024-10-10", "2025-01-10"),  # at about 100 days, each time
        ("2024-01-21", "2024-05-20", "2024-07-15", "2025-01-20"),  # at no certain age
    ],
)
def test_both_answers_tell_one_risk_where_heads_are_changed_by_plan_too(
    removed: tuple[str, ...],
) -> None:
    fitted = ("2024-01-01", "2024-04-10", "2024-07-10", "2024-10-10")
    old = [
        (printer, "head", "H1", *days, "planned")
        for printer in "AB"
        for days in zip(fitted, removed, strict=True)
    ]
    now = [("A", "head", "H1", "2025-09-01", None, ""), ("B", "head", "H1", "2025-07-10", None, "")]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    printers = rows("printer started_on head_type", *((p, "2024-01-01", SIX.variant) for p in "AB"))
    known = mixed().with_table("printers", printers).with_table("fittings", rows(names, *old, *now))

    def risks(*orders: tuple[object, ...]) -> tuple[float, float, object]:
        records = known.with_table("orders", rows(ORDER, *orders))
        row = by_type(stock_table(records, DAY)).loc[SIX]
        dated = preorder(records, DAY).iloc[0]
        return row["risk_before_arrival"], dated["risk_before_arrival"], dated["coming_on"]

    soon = ("head", SIX.variant, 1, "2025-09-25", "2025-11-05", "North", 600)
    far = ("head", SIX.variant, 1, "2025-09-26", "2026-02-20", "North", 600)
    stocked, dated, coming_on = risks(soon)
    assert dated == stocked > 0.02
    assert coming_on == date(2025, 11, 5)
    # One that comes after an order of today would is none that only express delivery mends.
    assert risks(soon, far)[2] == date(2025, 11, 5)
    *both, coming_on = risks(far)
    assert np.isnan(both).all()
    assert coming_on is None


def test_a_spare_that_does_not_say_its_type_counts_for_nobody_and_is_asked_about() -> None:
    moves = "part_kind variant moved_on quantity reason"
    shelf = rows(moves, ("head", "", "2025-06-01", 1, "counted"))
    records = mixed(stock=shelf)
    table = by_type(stock_table(records, DAY))
    assert table["on_hand"].tolist() == [0, 0]
    said = stock_words.type_unknown(on_hand(records, DAY), part_types(records))
    assert said == [
        "1 printhead on the shelf does not say its type: say which, for until then it counts for "
        "no printer."
    ]
    named = mixed(stock=rows(moves, ("head", SIX.variant, "2025-06-01", 1, "counted")))
    assert by_type(stock_table(named, DAY)).loc[SIX, "on_hand"] == 1
    assert stock_words.type_unknown(on_hand(named, DAY), part_types(named)) == []


def test_where_printers_name_one_type_or_none_all_spares_are_one_pool() -> None:
    moves = "part_kind variant moved_on quantity reason"
    shelf = rows(moves, ("head", "", "2025-06-01", 1, "counted"))
    records = mixed(stock=shelf)
    for head_type, variant in ((SIX.variant, SIX.variant), ("", "")):
        same = records.with_table("printers", records.printers.assign(head_type=head_type))
        table = stock_table(same, DAY)
        assert table[["variant", "fitted", "on_hand"]].values.tolist() == [[variant, 4, 1]]


def test_prices_and_suppliers_are_those_of_the_type() -> None:
    records = mixed(
        ("head", SIX.variant, 1, "2025-08-01", None, "South", 600),
        ("head", EIGHT.variant, 1, "2025-09-01", None, "North", 720),
    )
    paid = type_prices(records)
    assert (paid[SIX].amount, paid[EIGHT].amount) == (600, 720)
    assert suppliers(records) == {EIGHT: ("North",), SIX: ("South",)}


def test_a_part_without_a_price_counts_what_its_own_type_costs_wherever_it_is_counted() -> None:
    records = mixed(("damper", "", 1, "2025-08-01", None, "South", 1.2))
    orders = mixed(("head", SIX.variant, 1, "2025-08-01", None, "South", 620)).orders
    records = records.with_table("orders", pd.concat([records.orders, orders]))
    costs = FailureCosts.of(records, DAY)
    listed = records.part_facts(*EIGHT).unit_cost
    assert listed != 620, "never ordered: its list price, not that of the other type"
    for part, price in ((SIX, 620), (EIGHT, listed)):
        assert price_of(records, part).amount == price
        assert costs.of_kind(*part, spare_on_shelf=True).term("part").amount == price
    heads = records.fittings[records.fittings["part_kind"] == "head"]
    told = paid_or_usual(records, heads.assign(unit_cost=np.nan))
    types = pooled_variants(records)[heads.index]
    assert set(zip(types, told, strict=True)) == {(SIX.variant, 620), (EIGHT.variant, listed)}
    assert (paid_or_usual(records, heads.assign(unit_cost=5.0)) == 5).all()


def test_of_an_order_that_came_in_part_the_rest_says_what_came() -> None:
    records = mixed(
        ("head", SIX.variant, 4, "2025-09-01", "2025-10-20", "North", 600),
        ("head", SIX.variant, 6, "2025-09-01", "2025-10-20", "North", 600),
    )
    orders = records.orders
    orders.loc[orders["quantity"] == 6, "received_on"] = pd.Timestamp("2025-09-20")
    waiting: Any = open_orders(records.with_table("orders", orders), DAY).iloc[0]
    assert (waiting["quantity"], waiting["received"]) == (4, 6)


def test_labels_name_kind_and_type_once() -> None:
    assert names.label(*SIX) == "Printhead (six-channel)"
    assert names.within(PartType("head", "six-channel head")) == "printhead (six-channel head)"
    assert names.counted(0, PartType("wiper")) == "no wiper blades"


def test_spares_that_fit_no_printer_are_told_in_one_sentence() -> None:
    stock = rows(
        "part_kind variant moved_on quantity reason",
        ("head", "ten-channel", "2025-09-01", 2, "counted"),
        ("head", "six-channel", "2025-09-01", 1, "counted"),
    )
    records = mixed(stock=stock)
    said = stock_words.taken_by_no_printer(on_hand(records, DAY), part_types(records))
    assert said == "On the shelf, but no printer takes them: 2 printheads (ten-channel)."
    fitting = mixed(stock=stock.iloc[1:])
    assert not stock_words.taken_by_no_printer(on_hand(fitting, DAY), part_types(fitting))
