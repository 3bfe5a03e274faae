"""What to order, in words: whose risk it is, which rule counted, and what comes first."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.budget import buy_first
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.say import numbers
from tracker.say.spares import preorder as preorder_words
from tracker.say.spares import stock
from tracker.say.spares.answers import (
    bars_and_chance,
    costly_to_keep,
    running_short,
    what_money_buys,
)
from tracker.say.spares.orders import addition, reasons, why_dated
from tracker.say.spares.thin import standing_guessed
from tracker.workshop.variants import PartType

DAY = date(2025, 10, 1)


def test_the_reason_of_a_dated_part_says_whose_risk_it_is() -> None:
    records = workshop(5)
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    heads = heads.assign(order_by=DAY)
    lines = order_proposal(table, heads, DAY)
    (said,) = (
        reason
        for line, reason in zip(
            lines.itertuples(), reasons(lines, table, heads, "EUR"), strict=True
        )
        if line.part_kind == "head"
    )
    first, second = list(heads.itertuples())[:2]
    why = preorder_words.reason(second, "EUR")
    assert said.startswith(
        f"Most at risk: {first.printer} H1. {preorder_words.reason(first, 'EUR')}"
    )
    assert f"Then {second.printer} H1: {why[0].lower()}{why[1:]}" in said
    assert said.endswith(" And 2 more.")


def test_each_piece_that_is_due_has_its_own_reason_and_what_rests_on_cost_is_said() -> None:
    records = workshop(5)
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    first, second = list(heads.itertuples())[:2]
    (shelf,) = (row for row in table.itertuples() if row.part_kind == "head")
    there = shelf.available

    def said(enough: int, *, by_risk: bool = False) -> str:
        due = heads.iloc[:2].assign(dated_by_risk=by_risk)
        return why_dated(due, shelf._replace(stock_for_service=there + enough), "EUR")

    whole, why = preorder_words.why(first, "EUR"), preorder_words.why(second, "EUR")
    assert said(2).startswith(
        "By the trade's guess, until more parts fail here: "
        f"{whole[0].lower()}{whole[1:]} Piece 2, for {second.printer} H1: {why[0].lower()}"
    )
    assert "For the chance wanted 1 would do; each is dated by cost" in said(1)
    assert "For the chance wanted none would do" in said(0)
    assert "would do" not in said(2)
    assert "would do" not in said(1, by_risk=True)


def test_a_line_counted_by_stock_although_it_has_dates_says_so() -> None:
    # Lives of about 60 days (well known), deliveries of 300: some five heads each are needed.
    figures = ("head", 60, 50, 300, 300)
    parts = rows("part_kind typical_life_days belief_failures lead_days lead_days_late", figures)
    records = workshop(2, "C", parts=parts)
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    lines = order_proposal(table, heads, DAY)
    said = dict(zip(lines["part_kind"], reasons(lines, table, heads, "EUR"), strict=True))
    row = next(row for row in table.itertuples() if row.part_kind == "head")
    assert said["head"].startswith(f"{stock.reason(row)} Counted by stock and not by date, ")


def test_a_shelf_that_was_never_counted_is_to_be_counted_before_ordering() -> None:
    assert "Count your shelf first" in stock.count_first(stock_table(workshop(), DAY))
    moves = [(kind, "2025-06-01", 1, "counted") for kind in ("head", "damper", "wiper")]
    some, whole = (
        stock.count_first(
            stock_table(workshop(stock=rows("part_kind moved_on quantity reason", *own)), DAY)
        )
        for own in (moves[:1], moves)
    )
    assert some.startswith("Not counted yet: damper; wiper blade.")
    assert whole == ""


def test_an_uncounted_kind_is_not_said_to_be_none_but_not_counted() -> None:
    moves = rows("part_kind moved_on quantity reason", ("wiper", "2025-06-01", 0, "counted"))
    table = stock_table(workshop(stock=moves), DAY).set_index("part_kind")
    assert "0 on the shelf, not counted yet" in stock.reason(table.loc["head"])
    assert "not counted" not in stock.reason(table.loc["wiper"])


def test_a_reason_says_whether_money_or_the_service_level_decides() -> None:
    row = stock_table(workshop(), DAY).set_index("part_kind").loc["wiper"].copy()
    row["cost_of_stock"], row["chance_of_need"] = [5.0, 4.0, 3.0, 2.0], [0.5, 0.2, 0.2, 0.1]
    assert "; keeping 2 is enough: more would pay only if" in stock.reason(_with(row, 2, 2))
    row["cost_of_stock"] = [1.0]
    told = {
        (keep, least): stock.reason(_with(row, keep, least))
        for keep, least in ((0, 0), (1, 1), (4, 2))
    }
    assert "; keeping none costs least, standing, holding and ageing together." in told[0, 0]
    assert "; keeping 1 costs least, standing, holding and ageing together." in told[1, 1]
    assert "; keeping 4 holds it within the 5 % you accept (money alone: 2)." in told[4, 2]


def _with(row: pd.Series, keep: int, least: int) -> pd.Series:
    changed = row.copy()
    changed["stock_to_keep"], changed["stock_least_cost"] = keep, least
    return changed


def test_every_chance_of_running_out_says_within_how_many_days() -> None:
    records = workshop(5)
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    first = next(heads.itertuples())
    told = [preorder_words.why(first, "EUR"), preorder_words.reason(first, "EUR")]
    told.append(preorder_words.why(first._replace(dated_by_risk=True), "EUR"))
    soon, late = numbers.days(first.lead_days), numbers.days(first.lead_days + 30)
    assert all(f"(within {soon})" in said and f"(within {late})" in said for said in told)
    stocked = table.assign(chance_of_shortage_now=0.01)
    days = numbers.day_range(table["horizon_days"].min(), table["horizon_days"].max())
    assert f"before the next order can be here ({days})." in running_short(stocked, 0.95, [])
    assert " % within " in running_short(table, 0.99, [])
    steps = buy_first(table, order_proposal(table, heads, DAY), 300.0)
    assert f"({days}) rises from" in what_money_buys(steps, {PartType("head"): 1}, table, "EUR")


def test_how_many_heads_to_keep_is_told_with_what_decides() -> None:
    records = workshop(2)
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    kinds = table["part_kind"] == "head"
    days = numbers.days(table.loc[kinds, "horizon_days"].item())

    def said(keep: int, least: int, *, failures: int = 9) -> str:
        costs = [[5.0, 4.0, 3.0, 4.0, 5.0]] * len(table)
        changed = table.assign(cost_of_stock=costs, stock_to_keep=keep, stock_least_cost=least)
        return costly_to_keep(changed.assign(failures=failures, service=0.95), heads)

    assert said(2, 2) == (
        f"Keep 2 printheads on the shelf: over the next {days} (delivery and review) that costs "
        "least, standing, holding and ageing together. Not all at once: each is ordered by its own "
        "date (see Order dates)."
    )
    assert "more would pay only if they lasted much less long" in said(1, 1)
    assert f"short within the next {days} (delivery and review) within the 5 %" in said(3, 2)
    assert said(2, 2, failures=0).startswith(
        "By the trade's guess, until more parts fail here: keep 2 printheads"
    )
    assert costly_to_keep(table, heads.head(0)) == ""


def test_what_standing_costs_is_called_a_guess_until_the_workshop_says_it() -> None:
    records = workshop(1)
    assert (
        "counted at a guessed 20 € a working hour: say under Records, Settings"
        in standing_guessed(records)
    )
    own = rows("name value", ("margin_per_hour", "20"))
    assert standing_guessed(records.with_table("settings", own)) == ""


def test_a_verdict_names_the_day_of_the_order() -> None:
    row = preorder(workshop(1), DAY).iloc[0].copy()
    days = (DAY, DAY + timedelta(days=11), None)
    told = []
    for day in days:
        row["order_by"] = day
        told.append(preorder_words.verdict(row))
    assert told == ["order now", "order by 12 Oct 2025", "not yet"]


def test_an_addition_is_named_by_its_part_and_where_it_goes() -> None:
    row = pd.Series(
        {"part_kind": "head", "variant": "", "pieces": 1, "printer": "Yard", "position": "H1"}
    )
    assert addition(row) == "1 × printhead for Yard H1"
    row = pd.Series(
        {"part_kind": "line", "variant": "", "pieces": 2, "printer": "", "position": ""}
    )
    assert addition(row) == "2 × ink line"


def test_where_bars_and_the_chance_of_running_short_differ_the_two_are_told_apart() -> None:
    row = {
        "on_hand": 1, "arriving": 1, "available": 2, "at_once": 0, "horizon_days": 40.0,
        "chance_of_shortage_now": 0.15, "risk_before_arrival": 0.09,
        "late_comes": np.nan, "late_comes_low": np.nan, "late_comes_high": np.nan,
    }  # fmt: skip
    law = np.array([0.5, 0.3, 0.13, 0.05, 0.02])  # 7 % for three or four
    said = bars_and_chance(pd.Series(row), law).replace("\N{NO-BREAK SPACE}", " ")
    assert "these 40 days: 7 % chance of more than 2. The chance of running short is 15 %" in said
    assert "(9 % until the last of it comes)" in said
    alike = pd.Series({**row, "chance_of_shortage_now": 0.07, "risk_before_arrival": 0.0})
    assert bars_and_chance(alike, law) == ""
