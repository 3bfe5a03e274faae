"""What to order today: which of the stock table and the dated heads counts."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.ordering.order_proposal import (
    COLUMNS,
    order_proposal,
    types_by_date,
)
from tracker.decisions.preorder import IN_TURN, preorder
from tracker.decisions.stock_table import stock_table
from tracker.workshop.variants import PartType

DAY = date(2026, 3, 1)
TABLE = "part_kind variant fitted waiting stock_for_service order_now unit_cost pack_size"
HEADS = "part_kind variant printer position order_by unit_cost"


def heads(*order_by: date | None, kind: str = "head") -> pd.DataFrame:
    """One head in each of the printers P0, P1, … with these dates."""
    return pd.DataFrame(
        [(kind, "", f"P{number}", "H1", day, 600.0) for number, day in enumerate(order_by)],
        columns=HEADS.split(),
    )


def stock(*found: tuple[object, ...], chance: float = 0.5, costs: float = 100.0) -> pd.DataFrame:
    """A stock table of those rows, equal in what running short means."""
    return rows(TABLE, *found).assign(chance_of_shortage_now=chance, shortage_cost=costs)


def test_the_proposal_takes_whole_packs_from_the_table_and_dates_from_the_heads() -> None:
    table = stock(
        ("head", "", 3, 0, 3, 3, 600.0, 1),
        ("damper", "", 12, 0, 11, 10, 9.0, 10),
        ("wiper", "", 3, 0, 1, 0, 8.0, 1),
    )
    lines = order_proposal(table, heads(DAY, date(2026, 3, 2), None), DAY)
    assert lines["part_kind"].tolist() == ["head", "damper"]
    assert lines["pieces"].tolist() == [1, 10]
    assert lines["cost"].tolist() == [600, 90]


def test_the_line_with_most_at_stake_stands_first_whatever_it_costs() -> None:
    table = stock(
        ("head", "eight-channel head", 3, 0, 3, 1, 900.0, 1),
        ("head", "six-channel head", 3, 0, 3, 1, 600.0, 1),
        ("cap", "", 3, 0, 3, 1, 20.0, 1),
        ("wiper", "", 3, 0, 3, 1, 8.0, 1),
    ).assign(chance_of_shortage_now=[0.1, 0.6, 0.9, 0.9], shortage_cost=[400.0, 400.0, 300.0, 20.0])
    lines = order_proposal(table, heads(), DAY)
    assert lines["unit_cost"].tolist() == [20.0, 600.0, 900.0, 8.0]


def test_a_dated_line_names_the_parts_whose_date_has_come() -> None:
    table = stock(("head", "", 5, 0, 2, 0, 600.0, 1))
    line: Any = order_proposal(table, heads(DAY, DAY, date(2026, 3, 2)), DAY).iloc[0]
    assert (line["by_date"], line["dated_too"], line["due"]) == (True, False, (0, 1))


def test_a_costly_part_sold_in_packs_is_ordered_in_whole_packs() -> None:
    table = stock(("head", "", 4, 0, 2, 0, 600.0, 2))
    assert order_proposal(table, heads(DAY, DAY, DAY), DAY)["pieces"].tolist() == [4]


def test_a_pool_too_large_to_be_dated_in_turn_takes_the_order_of_its_stock() -> None:
    table = stock(("head", "", IN_TURN + 1, 0, 4, 2, 600.0, 1))
    many = heads(*[DAY] * (IN_TURN + 1))
    assert order_proposal(table, many, DAY)["pieces"].tolist() == [2]
    assert types_by_date(table, many) == frozenset()
    assert order_proposal(table, many.iloc[:IN_TURN], DAY)["pieces"].tolist() == [IN_TURN]


def test_where_a_place_may_need_a_second_spare_first_the_larger_of_both_is_ordered() -> None:
    # More spares wanted than parts fitted: the dates, one for each part, cannot say so.
    table = stock(("head", "", 2, 0, 5, 4, 600.0, 1))
    line: Any = order_proposal(table, heads(DAY, None), DAY).iloc[0]
    assert line["pieces"] == 4
    assert (line["by_date"], line["dated_too"]) == (False, True)
    # With enough on the shelf for the service level the dates still speak.
    filled = table.assign(order_now=0)
    assert order_proposal(filled, heads(DAY, None), DAY)["pieces"].tolist() == [1]
    assert order_proposal(table.assign(order_now=1), heads(DAY, DAY), DAY)["pieces"].item() == 2


def test_a_place_that_stands_empty_has_a_date_too() -> None:
    table = stock(("head", "", 1, 1, 2, 2, 600.0, 1))
    assert types_by_date(table, heads(DAY, None)) == {PartType("head")}
    assert types_by_date(table.assign(waiting=0), heads(DAY)) == frozenset()


def test_a_delivery_far_beyond_the_life_is_ordered_for_by_stock() -> None:
    # Lives of about 60 days (well known), deliveries of 300: some five heads each are needed.
    figures = ("head", 60, 50, 300, 300)
    parts = rows("part_kind typical_life_days belief_failures lead_days lead_days_late", figures)
    records = workshop(2, "C", parts=parts, settings=setting(review_days=30))
    day = date(2025, 2, 1)
    table, dated = stock_table(records, day), preorder(records, day)
    line = order_proposal(table, dated, day).set_index("part_kind").loc["head"]
    row = table.set_index("part_kind").loc["head"]
    assert row["expected_need"] > 2 * row["fitted"]
    assert line["pieces"] == row["order_now"] == row["stock_to_keep"] >= row["stock_for_service"]
    # At the usual delivery time of the trade the dates suffice (common practice, no source).
    usual = workshop(2, "C")
    assert types_by_date(stock_table(usual, day), preorder(usual, day)) == {PartType("head")}


def test_nothing_to_order_is_a_list_without_lines() -> None:
    lines = order_proposal(stock(), heads(), DAY)
    assert lines.empty
    assert tuple(lines.columns) == COLUMNS
