"""What to order, line by line: why each stands there and whose parts call for it."""

from __future__ import annotations

import re
from datetime import date

import pandas as pd

from tests.decisions.test_stock_table import WIPERS_CHANGED
from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.say.spares.answers import what_to_order
from tracker.say.spares.order_lines import SOON_DAYS, order_lines, order_name, order_terms
from tracker.say.spares.thin import by_guess

TODAY = date(2025, 7, 10)


def lines_of(**stock: pd.DataFrame):  # type: ignore[no-untyped-def]
    records = workshop(1, "C W1", **stock)
    table, dated = stock_table(records, TODAY), preorder(records, TODAY)
    return order_lines(order_proposal(table, dated, TODAY), table, dated, TODAY, "EUR"), dated


def test_every_order_of_the_day_has_its_line_with_a_short_reason() -> None:
    lines, _ = lines_of()
    assert {line.part_kind for line in lines if line.is_due} >= {"damper", "wiper"}
    for line in lines:
        assert line.reason.startswith("By the trade's guess, until more parts fail here: ")
        assert all(len(sentence.split()) <= 20 for sentence in re.split("[.:;] ", line.reason))
        assert order_name(line).startswith(f"{line.pieces} × ")
        assert order_terms(line, "EUR").startswith("today, about " if line.is_due else "by ")
    damper = next(line for line in lines if line.part_kind == "damper")
    assert "fail here: none on the shelf or on the way; " in damper.reason


def test_what_rests_on_failures_or_on_the_workshops_own_figure_is_not_called_the_trades_guess() -> (
    None
):
    _lines, dated = lines_of()
    row = dated.iloc[0]
    assert by_guess(row, "Wait.") == "By the trade's guess, until more parts fail here: wait."
    assert by_guess(
        pd.concat([row.drop("life_guessed"), pd.Series({"life_guessed": False})]), "Wait."
    ).startswith("By your starting guess, ")
    assert by_guess(pd.Series({"failures": 2, "life_guessed": True}), "Wait.") == "Wait."


def test_what_is_changed_by_plan_is_ordered_by_that_habit_and_not_by_a_guess() -> None:
    # Four changed at 58 days, working; the fifth gets there in twelve days: no failure so far.
    parts = rows("part_kind lead_days lead_days_late", ("wiper", 10, 10))
    records = workshop(1, parts=parts).with_table("fittings", WIPERS_CHANGED)
    table, dated = stock_table(records, TODAY), preorder(records, TODAY)
    lines = order_proposal(table, dated, TODAY)
    told = {line.part_kind: line.reason for line in order_lines(lines, table, dated, TODAY, "EUR")}
    assert "guess" in told["head"]
    assert "guess" not in told["wiper"]
    assert told["wiper"].endswith(
        "Changed by plan at about 58 days (4 of the last 4 that got there)."
    )
    only = lines[lines["part_kind"] == "wiper"]
    said = what_to_order(only, table.assign(counted_on=TODAY), dated, "EUR")
    assert said.startswith("Order now: 5 wiper blades – ")


def test_a_head_whose_date_comes_soon_is_told_with_that_date() -> None:
    on_shelf = rows("part_kind moved_on quantity reason", ("head", "2025-07-01", 1, "received"))
    lines, dated = lines_of(stock=on_shelf)
    told = [line for line in lines if line.part_kind == "head"]
    (row,) = dated.itertuples()
    soon = row.order_by is not None and (row.order_by - TODAY).days <= SOON_DAYS
    assert len(told) == soon
    assert all(line.on == row.order_by for line in told)
    assert all(line.there == f"1 on the shelf; for {row.printer}." for line in told)


def test_a_line_by_date_says_what_there_is_and_whose_heads_call_for_it() -> None:
    due = pd.DataFrame(
        {"part_kind": "head", "variant": "", "printer": ["Yard", "Loft", "Yard", "Door", "Barn"],
         "position": "H1", "empty_since": pd.Timestamp("2025-07-01")}
    )  # fmt: skip
    line = pd.DataFrame(
        {"part_kind": ["head"], "variant": [""], "pieces": [2], "unit_cost": [500.0],
         "by_date": [True], "due": [(0, 1, 2, 3, 4)]}
    )  # fmt: skip
    table = pd.DataFrame(
        {"part_kind": ["head"], "variant": [""], "on_hand": [1], "on_order": [2], "arriving": [2],
         "available": [3],
         "stock_for_service": [9]}
    )  # fmt: skip
    for places, for_whom in (
        ((0,), "Yard"), ((0, 1, 2), "Yard and Loft"),
        ((0, 1, 2, 3, 4), "Yard, Loft, Door and 1 more printer"),
    ):  # fmt: skip
        asked = line.assign(due=[places])
        (told,) = order_lines(asked, table, due.assign(order_by=None), TODAY, "EUR")
        assert told.there == f"1 on the shelf, 2 on the way; for {for_whom}."
        assert told.reason.startswith("The most urgent one: ") == (len(places) > 1)
