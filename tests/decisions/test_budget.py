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
from tracker.decisions.budget import COLUMNS, Buyable, buy_first, buying_order
from tracker.errors import UsageError
from tracker.records.model import Records

TODAY = date(2025, 6, 1)


def poisson(mean: float, size: int = 60) -> Any:
    return np.array([exp(-mean) * mean**k / factorial(k) for k in range(size)])


def test_two_items_are_bought_in_the_order_of_marginal_analysis() -> None:
    # Case D9e: Sherbrooke's method, Poisson pipelines 1 and 4, costs 5 and 1: each step is
    # [money spent, [pieces of the first, of the second], expected backorders left].
    items = [
        Buyable("first", poisson(1.0), 0, 5.0, 1.0),
        Buyable("second", poisson(4.0), 0, 1.0, 1.0),
    ]
    found = buying_order(items, least_avoided=0.0, budget=24)
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
    items = [Buyable("a", poisson(1.5), 0, 3.0, 40.0), Buyable("b", poisson(3.0), 1, 2.0, 10.0)]
    for row in buying_order(items, budget=18).to_dict("records"):
        best = min(
            items[0].risk(a) + items[1].risk(b)
            for a, b in product(range(8), range(12))
            if 3 * a + 2 * b <= row["spent"] + 1e-9
        )
        assert row["risk_left"] == pytest.approx(best)


def test_risk_falls_and_each_step_is_worth_less_money_than_the_one_before() -> None:
    found = buy_first(workshop(1), TODAY)
    assert tuple(found.columns) == COLUMNS
    steps = found.iloc[1:]
    assert len(steps) > 3
    assert np.all(np.diff(found["risk_left"]) < 0)
    assert np.all(np.diff(steps["per_money"]) <= 1e-9)
    assert np.all(np.diff(found["chance_of_no_shortage"]) > 0)


def test_the_budget_is_kept_and_a_cheaper_pack_takes_the_place_of_a_dear_one() -> None:
    found = buy_first(workshop(), TODAY, budget=200)
    assert found["spent"].iloc[-1] <= 200
    # A head costs 600 (common practice, no source): out of reach, so dampers and wipers only.
    assert set(found["part_kind"]) <= {"", "damper", "wiper"}
    assert len(found) > 1


def test_packs_are_bought_whole() -> None:
    found = buy_first(workshop(1), TODAY)
    dampers = found[found["part_kind"] == "damper"]
    assert set(dampers["pieces"]) == {10}
    assert dampers["price"].tolist() == [90.0] * len(dampers)


def test_pieces_that_cost_more_to_hold_than_they_avoid_are_not_bought() -> None:
    few = [Buyable("a", poisson(2.0), 0, 1.0, 10.0, holding_cost=5.0)]
    # A piece is worth 10·P(need > stock): 8.6, 5.9, 3.2: the third costs more than it avoids.
    assert buying_order(few)["pieces"].sum() == 2


def test_what_is_on_the_shelf_is_not_bought_again() -> None:
    moves = rows("part_kind moved_on quantity reason", ("wiper", "2025-05-01", 30, "received"))
    found = buy_first(workshop(stock=moves), TODAY)
    assert "wiper" not in set(found["part_kind"])


def test_without_margin_or_without_parts_nothing_is_bought() -> None:
    for records in (workshop(settings=setting(margin_per_hour=0)), Records()):
        found = buy_first(records, TODAY)
        assert found["part_kind"].tolist() == [""]


def test_a_negative_budget_is_refused() -> None:
    with pytest.raises(UsageError, match="budget: -1"):
        buying_order([], budget=-1)
