"""What to order today: which of the stock table and the dated heads counts."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.decisions.order_proposal import COLUMNS, order_proposal
from tracker.decisions.preorder import IN_TURN


def test_the_proposal_takes_whole_packs_from_the_table_and_dates_from_the_heads() -> None:
    table = pd.DataFrame(
        {
            "part_kind": ["head", "damper", "wiper"],
            "order_now": [3, 10, 0],
            "unit_cost": [600.0, 9.0, 8.0],
            "cost": [1800.0, 90.0, 0.0],
            "reason": ["", "few left", ""],
        }
    )
    heads = pd.DataFrame(
        {
            "part_kind": ["head"] * 3,
            "printer": ["A", "B", "C"],
            "position": ["H1"] * 3,
            "order_by": [date(2026, 3, 1), date(2026, 3, 2), None],
            "unit_cost": [600.0] * 3,
            "reason": ["worn", "soon", "new"],
        }
    )
    lines = order_proposal(table, heads, date(2026, 3, 1))
    assert lines["part_kind"].tolist() == ["head", "damper"]
    assert lines["pieces"].tolist() == [1, 10]
    assert lines["cost"].tolist() == [600, 90]


def test_a_pool_too_large_to_be_dated_in_turn_takes_the_order_of_its_stock() -> None:
    table = pd.DataFrame(
        {
            "part_kind": ["head"],
            "order_now": [2],
            "unit_cost": [600.0],
            "cost": [1200.0],
            "reason": ["few left"],
        }
    )
    heads = pd.DataFrame(
        {
            "part_kind": ["head"] * (IN_TURN + 1),
            "printer": [f"P{n}" for n in range(IN_TURN + 1)],
            "position": ["H1"] * (IN_TURN + 1),
            "order_by": [date(2026, 3, 1)] * (IN_TURN + 1),
            "unit_cost": [600.0] * (IN_TURN + 1),
            "reason": ["worn"] * (IN_TURN + 1),
        }
    )
    day = date(2026, 3, 1)
    assert order_proposal(table, heads, day)["pieces"].tolist() == [2]
    assert order_proposal(table, heads.iloc[:IN_TURN], day)["pieces"].tolist() == [IN_TURN]


def test_nothing_to_order_is_a_list_without_lines() -> None:
    table = pd.DataFrame(columns=["part_kind", "order_now", "unit_cost", "cost", "reason"])
    heads = pd.DataFrame(columns=["part_kind", "printer", "position", "order_by", "unit_cost"])
    lines = order_proposal(table, heads, date(2026, 3, 1))
    assert lines.empty
    assert tuple(lines.columns) == COLUMNS
