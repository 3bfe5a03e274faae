"""What to buy first, against a published method and brute force."""

from __future__ import annotations

from datetime import date
from itertools import product
from math import exp, factorial
from typing import Any

import numpy as np
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tests.reference import reference_case
from tracker.decisions.ordering.budget import COLUMNS, Buyable, buy_first, buying_order
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_level import least_cost_stock
from tracker.decisions.stock_table import stock_table
from tracker.errors import UsageError
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in

TODAY = date(2025, 6, 1)


def poisson(mean: float, size: int = 60) -> Any:
    return np.array([exp(-mean) * mean**k / factorial(k) for k in range(size)])


def buyable(
    name: str,
    law: Any,
    available: int,
    unit_cost: float,
    shortage_cost: float,
    *,
    holding_cost: float = 0.0,
    wanted: int = 50,
) -> Buyable:
    """Each missing piece costs ``shortage_cost``, each piece left over ``holding_cost``."""
    costs = least_cost_stock(law, shortage_cost, holding_cost).costs
    short = 1 - np.cumsum(law)[available:]  # all are there from the first day
    return Buyable(PartType(name), costs, short, available, unit_cost, wanted=wanted)


def listed(records: Records, budget: float | None = None) -> Any:
    """What to buy first of today's order list."""
    table, heads = stock_table(records, TODAY), preorder(records, TODAY)
    return buy_first(table, order_proposal(table, heads, TODAY), budget)


def test_next_to_no_money_buys_nothing() -> None:
    items = [buyable("first", poisson(1.0), 0, 5.0, 1.0)]
    for budget in (5e-324, 1e-9):
        assert buying_order(items, budget)["pieces"].tolist() == [0]


def test_two_items_are_bought_in_the_order_of_marginal_analysis() -> None:
    # Case D9e: Sherbrooke's method, Poisson pipelines 1 and 4, costs 5 and 1: each step is
    # [money spent, [pieces of the first, of the second], expected backorders left].
    items = [
        buyable("first", poisson(1.0), 0, 5.0, 1.0),
        buyable("second", poisson(4.0), 0, 1.0, 1.0),
    ]
    found = buying_order(items, budget=24)
    bought = {"first": 0, "second": 0}
    steps = []
    for row in found.to_dict("records"):
        if row["part_kind"]:
            bought[row["part_kind"]] += row["pieces"]
        steps.append([row["spent"], list(bought.values()), row["risk_left"]])
    for step, expected in zip(steps, reference_case("D9e")["marginal"], strict=False):
        assert step[:2] == expected[:2]
        assert step[2] == pytest.approx(expected[2], rel=1e-4)
    assert len(steps) >= len(reference_case("D9e")["marginal"])


def test_on_every_step_no_other_purchase_of_that_money_leaves_less_risk() -> None:
    # Brute force over all combinations at each sum that marginal analysis stops at.
    items = [
        buyable("a", poisson(1.5), 0, 3.0, 40.0),
        buyable("b", poisson(3.0), 1, 2.0, 10.0),
    ]
    for row in buying_order(items, budget=18).to_dict("records"):
        best = min(
            items[0].risk(a) + items[1].risk(b)
            for a, b in product(range(8), range(12))
            if 3 * a + 2 * b <= row["spent"] + 1e-9
        )
        assert row["risk_left"] == pytest.approx(best)


def test_risk_falls_and_each_step_is_worth_less_money_than_the_one_before() -> None:
    found = listed(workshop(1))
    assert tuple(found.columns) == COLUMNS
    steps = found.iloc[1:]
    assert len(steps) >= 3
    assert np.all(np.diff(found["risk_left"]) < 0)
    assert np.all(np.diff(steps["per_money"]) <= 1e-9)
    assert np.all(np.diff(found["chance_of_no_shortage"]) > 0)


def test_the_budget_is_kept_and_a_cheaper_pack_takes_the_place_of_a_dear_one() -> None:
    found = listed(workshop(), budget=200)
    assert found["spent"].iloc[-1] <= 200
    # A head costs 600 (common practice, no source): out of reach, so dampers and wipers only.
    assert set(found["part_kind"]) <= {"", "damper", "wiper"}
    assert len(found) > 1


def test_a_dear_pack_that_avoids_more_takes_the_place_of_cheap_ones() -> None:
    # Cheap packs avoid more per money, but 20 of 100 would then be left over; by hand: three at
    # 10 avoid 30 × P(need > 0, 1, 2), the dear one at 90 avoids 200 × P(need > 0).
    cheap = buyable("cheap", poisson(3.0), 0, 10.0, 30.0)
    dear = buyable("dear", poisson(0.5), 0, 90.0, 200.0)
    found = buying_order([cheap, dear], budget=100)
    assert found["part_kind"].tolist() == ["", "cheap", "dear"]
    assert found["spent"].iloc[-1] == 100
    for a, b in product(range(11), range(2)):
        if 10 * a + 90 * b <= 100:
            assert found["risk_left"].iloc[-1] <= cheap.risk(a) + dear.risk(b) + 1e-9


def test_under_a_budget_no_other_set_of_packs_leaves_less_risk() -> None:
    rng = np.random.default_rng(3)
    for _ in range(10):
        items = [
            buyable(name, poisson(rng.uniform(0.2, 3)), 0, float(price), rng.uniform(20, 300))
            for name, price in zip("abc", rng.integers(5, 60, 3), strict=True)
        ]
        budget = float(rng.integers(40, 150))
        found = buying_order(items, budget=budget)
        sets = product(*(range(int(budget // item.unit_cost) + 1) for item in items))
        best = min(
            sum(item.risk(n) for item, n in zip(items, numbers, strict=True))
            for numbers in sets
            if sum(n * item.unit_cost for item, n in zip(items, numbers, strict=True)) <= budget
        )
        assert found["spent"].iloc[-1] <= budget
        # Prices are rounded up to a thousandth of the budget: at most a few pieces' worth apart.
        assert found["risk_left"].iloc[-1] == pytest.approx(best, rel=0.01, abs=0.05)


def test_free_packs_and_a_budget_of_nothing_are_no_trouble() -> None:
    free = buyable("free", poisson(1.0), 0, 0.0, 50.0)
    dear = buyable("dear", poisson(1.0), 0, 30.0, 50.0)
    assert set(buying_order([free, dear], budget=0)["part_kind"]) == {"", "free"}
    both = buying_order([free, dear], budget=35)
    assert both["part_kind"].tolist()[-1] == "dear"
    assert both["spent"].iloc[-1] == 30


def test_without_delivery_time_and_review_there_is_nothing_to_run_short_of() -> None:
    parts = rows(
        "part_kind lead_days lead_days_late",
        *((kind, 0, 0) for kind in ("head", "damper", "wiper")),
    )
    found = listed(workshop(parts=parts, settings=setting(review_days=0)))
    assert found["part_kind"].tolist() == [""]
    assert found["risk_left"].tolist() == [0.0]


def test_packs_are_bought_whole() -> None:
    found = listed(workshop(1))
    dampers = found[found["part_kind"] == "damper"]
    assert set(dampers["pieces"]) == {10}
    assert dampers["price"].tolist() == [90.0] * len(dampers)


def test_a_sum_that_pays_for_the_whole_list_buys_the_whole_list() -> None:
    records = workshop(1)
    table, heads = stock_table(records, TODAY), preorder(records, TODAY)
    lines = order_proposal(table, heads, TODAY)
    assert len(lines) > 1
    for budget in (None, float(lines["cost"].sum())):
        bought = buy_first(table, lines, budget).groupby("part_kind")["pieces"].sum()
        assert bought.drop("").to_dict() == lines.set_index("part_kind")["pieces"].to_dict()
    # With less, nothing is bought that is not on it.
    less = buy_first(table, lines, float(lines["cost"].sum()) / 2)
    assert less["spent"].iloc[-1] <= lines["cost"].sum() / 2
    some = less.groupby("part_kind")["pieces"].sum().drop("")
    assert (some <= lines.set_index("part_kind")["pieces"].reindex(some.index)).all()


def test_packs_that_only_the_service_level_asks_for_are_bought_where_the_money_reaches() -> None:
    records = workshop(settings=setting(service_level=0.999, margin_per_hour=0.2))
    table, heads = stock_table(records, TODAY), preorder(records, TODAY)
    lines = order_proposal(table, heads, TODAY)
    whole = float(lines["cost"].sum())
    wanted = lines.set_index("part_kind")["pieces"]
    assert listed(records)["avoided_cost"].min() < 0, "holding them costs more than they avoid"
    for budget in (whole, whole + 1000):
        bought = listed(records, budget).groupby("part_kind")["pieces"].sum().drop("")
        assert bought.to_dict() == wanted.to_dict()
    # With one unit less a pack is missing, and no more than the money does not pay for.
    found = listed(records, whole - 1)
    left = wanted - found.groupby("part_kind")["pieces"].sum().reindex(wanted.index, fill_value=0)
    assert left.sum() > 0
    packs = table.set_index("part_kind").loc[left.index[left > 0]]
    assert (packs["pack_size"] * packs["unit_cost"] > whole - 1 - found["spent"].iloc[-1]).all()


def test_what_is_on_the_shelf_is_not_bought_again() -> None:
    moves = rows("part_kind moved_on quantity reason", ("wiper", "2025-05-01", 30, "received"))
    found = listed(workshop(stock=moves))
    assert "wiper" not in set(found["part_kind"])


def test_without_margin_or_without_parts_nothing_is_bought() -> None:
    for records in (workshop(settings=setting(margin_per_hour=0)), Records()):
        assert listed(records)["part_kind"].tolist() == [""]


def test_a_negative_budget_is_refused() -> None:
    with pytest.raises(UsageError, match="budget: -1"):
        buying_order([], budget=-1)


def test_no_sum_of_money_mends_what_is_missing_before_the_order_is_here() -> None:
    records = workshop(1)
    table, heads = stock_table(records, TODAY), preorder(records, TODAY)
    lines = order_proposal(table, heads, TODAY)
    found = buy_first(table, lines, 1e6)["chance_of_no_shortage"]
    listed_types = set(types_in(lines))
    own = table[[part in listed_types for part in types_in(table)]]
    # As things are: the chance of running short that the table tells, kinds taken as independent.
    assert found.iloc[0] == pytest.approx(np.prod(1 - own["chance_of_shortage_now"]))
    waiting = own["risk_before_arrival"].fillna(0)
    assert found.iloc[-1] <= np.prod(1 - waiting) + 1e-9
    least = np.array([short[-1] for short in own["short_if_ordered"]])
    assert np.all(least >= waiting - 0.02), "ordered today, it comes after what is on its way"
