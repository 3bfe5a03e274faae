"""Work grows with what could be needed, never with what lies on the shelf or is on order."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.order_together import order_together
from tracker.decisions.preorder import preorder, spare_pools
from tracker.decisions.stock_table import stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.workshop.records import Records

AS_OF = date(2026, 3, 1)
BAR_CODE = 4_006_381_333_931.0


def with_stock(quantity: float) -> Records:
    return workshop(stock=rows(
        "part_kind moved_on quantity reason", ("damper", "2026-01-05", quantity, "received"),
    ))  # fmt: skip


def with_orders(quantity: float, lines: int = 1) -> Records:
    order = ("head", quantity, "2026-02-20", "North")
    return workshop(orders=rows("part_kind quantity ordered_on supplier", *[order] * lines))


@pytest.mark.parametrize("made", [with_stock, with_orders])
def test_a_bar_code_of_pieces_costs_no_more_than_plenty_of_them(made: object) -> None:
    assert callable(made)
    plenty, absurd = stock_table(made(900.0), AS_OF), stock_table(made(BAR_CODE), AS_OF)
    pieces = ["on_hand", "on_order", "arriving", "available"]
    pd.testing.assert_frame_equal(plenty.drop(columns=pieces), absurd.drop(columns=pieces))
    assert (absurd["chance_of_need"].map(len) < 100).all()
    dated = preorder(made(BAR_CODE), AS_OF)
    assert dated["risk_if_ordered_now"].between(0, 1).all()


def test_orders_written_in_three_thousand_lines_are_one_delivery() -> None:
    pools = spare_pools(fit_lives(with_orders(1.0, 3000), AS_OF))
    (pool,) = pools.values()
    assert pool.shelf.quantity.tolist() == [3000]


def test_a_pack_of_all_pieces_there_are_is_weighed_by_what_could_be_used() -> None:
    parts = pd.DataFrame(
        {"part_kind": ["damper", "head"], "pack_size": [1e12, 1.0], "unit_cost": [8.0, 600.0]}
    )
    records = with_stock(30.0).with_table("parts", Records.of({"parts": parts}).parts)
    table, dated = stock_table(records, AS_OF), preorder(records, AS_OF)
    lines = order_proposal(table, dated, AS_OF)
    added = order_together(records, AS_OF, table, dated, lines, shipping=20.0)
    assert (added["earlier_cost"] >= 0).all()
