"""A position that stands empty needs a part at once: first in line for what is there or comes."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import BEGAN, rows, setting
from tracker.decisions.ordering.budget import buy_first
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.positions_ahead import positions_ahead
from tracker.decisions.ordering.site_shelves import site_shelves
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.ahead import half_a_year, need_ahead
from tracker.say.spares import answers
from tracker.say.spares import preorder as preorder_words
from tracker.say.spares import stock as stock_words
from tracker.workshop.records import Records

TODAY = date(2025, 10, 1)
OUT = "2025-09-25"
CAP = "printer part_kind position fitted_on removed_on removal_reason"
# A hundred days of delivery and review, in which a cap of 50 years seldom comes out.
LASTING = rows(
    "part_kind unit_cost pack_size lead_days lead_days_late typical_life_days belief_failures",
    ("cap", 20.0, 1, 10, 10, 18_000, 50),
)


def two_printers(
    *, on_hand: int = 0, due: str = "", kind: str = "cap", **tables: pd.DataFrame
) -> Records:
    """A and B with a cap each; that of A failed on OUT and nothing is in its place."""
    frames = {
        "printers": rows("printer started_on site", ("A", BEGAN, "Mill"), ("B", BEGAN, "Quay")),
        "fittings": rows(
            CAP, ("A", kind, kind, BEGAN, OUT, "failed"), ("B", kind, kind, BEGAN, None, "")
        ),
        "parts": LASTING.assign(part_kind=kind),
        "settings": setting(log_began_on=BEGAN, review_days=90, margin_per_hour=30),
    }
    if on_hand:
        frames["stock"] = rows(
            "part_kind moved_on quantity reason", (kind, OUT, on_hand, "counted")
        )
    if due:
        frames["orders"] = rows(
            "part_kind quantity ordered_on expected_on received_on", (kind, 1, OUT, due, None)
        )
    return Records.of(frames | tables)


def refilled(records: Records) -> Records:
    """The same with a new part in its place today, which nothing else says."""
    kind = records.fittings["part_kind"].iloc[0]
    new = rows(CAP, ("A", kind, kind, TODAY, None, ""))
    return records.with_table("fittings", pd.concat([records.fittings, new], ignore_index=True))


def stocked(records: Records, kind: str = "cap", what_if: WhatIf | None = None) -> pd.Series:
    table = stock_table(records, TODAY, 0.95, what_if=what_if or WhatIf())
    return table.set_index("part_kind").loc[kind]


def test_an_empty_position_needs_one_today_in_every_future() -> None:
    found, full = stocked(two_printers()), stocked(refilled(two_printers()))
    assert (found["fitted"], found["waiting"], found["at_once"]) == (1, 1, 1)
    assert found["chance_of_need"][0] == 0
    assert found["expected_need"] == pytest.approx(full["expected_need"] + 1, abs=0.01)
    assert found["chance_of_shortage_now"] == 1.0
    assert found["order_now"] == full["order_now"] + 1


def test_a_spare_on_the_shelf_is_spoken_for() -> None:
    # One on the shelf and one empty place: as no spare where both places are filled.
    found, bare = stocked(two_printers(on_hand=1)), stocked(refilled(two_printers()))
    assert found["chance_of_shortage_now"] == pytest.approx(
        bare["chance_of_shortage_now"], abs=0.01
    )
    assert found["chance_of_shortage_now"] < 0.1


def test_an_order_on_its_way_is_spoken_for_and_the_printer_stands_until_it_is_here() -> None:
    found = stocked(two_printers(due="2025-10-11"))
    assert found["chance_of_shortage_now"] == 1.0
    assert found["risk_before_arrival"] == 1.0
    assert (found["on_order"], found["arriving"]) == (1, 1)


def test_one_more_is_ordered_for_what_the_spoken_for_piece_leaves_open() -> None:
    # With lives of 120 days two caps fail 1.7 times in a hundred days: what is kept is the one
    # spoken for and as many as the two positions ask for besides. At 400 a piece one more or fewer
    # costs a tenth more: at a low price the costs are flat, and the luck of the futures decides.
    short = rows(
        "part_kind unit_cost pack_size lead_days lead_days_late typical_life_days belief_failures",
        ("cap", 400.0, 1, 10, 10, 120, 50),
    )
    empty = stocked(two_printers(due="2025-10-11", parts=short))
    full = stocked(refilled(two_printers(due="2025-10-11", parts=short)))
    assert empty["expected_need"] == pytest.approx(full["expected_need"] + 1, abs=0.05)
    assert empty["stock_to_keep"] == full["stock_to_keep"] + 1
    assert empty["order_now"] == full["order_now"] + 1


def test_what_is_needed_today_is_no_rate_of_need() -> None:
    # One piece now and 0.011 in a hundred days: a shelf life of 400 days uses up the one and, as
    # any stock is taken to, one more.
    found = stocked(two_printers(parts=LASTING.assign(pack_size=10, shelf_life_days=400)))
    assert found["order_now"] == 10
    assert found["more_than_used"]


def test_the_first_pack_of_a_short_budget_is_for_the_printer_that_stands() -> None:
    records = two_printers()
    table = stock_table(records, TODAY, 0.95)
    lines = order_proposal(table, preorder(records, TODAY), TODAY)
    bought = buy_first(table, lines, 20.0)
    assert bought["part_kind"].tolist() == ["", "cap"]
    # Today's certain standing is avoided.
    assert bought["avoided_cost"].iloc[1] > 0.9 * table["shortage_cost"].iloc[0] - 20


def test_each_site_keeps_what_its_own_empty_position_asks_for() -> None:
    found = site_shelves(two_printers(), TODAY, 0.95).iloc[0]
    assert found["by_site"] == {"Mill": 1, "Quay": 0}
    assert found["fitted_by_site"] == {"Mill": 0, "Quay": 1}


def test_a_printer_that_is_gone_before_today_is_over_waits_for_nothing() -> None:
    assert stocked(two_printers(), what_if=WhatIf(leaving={"A": TODAY}))["at_once"] == 0


def test_the_months_ahead_count_the_empty_position() -> None:
    def next_month(records: Records) -> pd.Series:
        fitted = fit_lives(records, TODAY)
        positions = positions_ahead(fitted.known, fitted)
        return need_ahead(positions, half_a_year(fitted, positions)).iloc[0]

    found = next_month(two_printers())
    assert (found["fitted"], found["low_1"]) == (1, 1)
    full = next_month(refilled(two_printers()))
    assert found["mean_1"] == pytest.approx(full["mean_1"] + 1, abs=0.01)


def test_a_head_that_is_out_is_ordered_now_and_the_others_after_it() -> None:
    found = preorder(two_printers(kind="head"), TODAY).set_index("printer")
    assert found.index.tolist() == ["A", "B"]
    assert found.at["A", "empty_since"] == pd.Timestamp(OUT)
    assert found.at["A", "order_by"] == TODAY
    assert found.at["A", "risk_if_ordered_now"] == 1.0
    assert pd.isna(found.at["A", "age_days"])
    assert pd.isna(found.at["B", "empty_since"])
    assert (found.at["B", "fitted"], found.at["B", "waiting"]) == (1, 1)
    assert found.at["B", "ordered_before"] == 1
    assert found.at["B", "risk_if_ordered_now"] < 0.05
    # Every day's delay is a day more of standing: 30 an hour, eight hours, five days in seven.
    cost = dict(found.at["A", "curve"])
    assert cost[1] - cost[0] == pytest.approx(30 * 8 * 5 / 7, abs=0.02)


def test_the_order_on_its_way_is_for_the_empty_printer_and_not_for_the_other() -> None:
    found = preorder(two_printers(kind="head", due="2025-10-11"), TODAY)
    assert found["printer"].tolist() == ["B"]
    assert found["spares"].item() == 1
    assert found["ordered_before"].item() == 0
    # One is needed, and missing, on every day until it comes.
    assert found["risk_before_arrival"].item() == 1.0


def test_the_order_list_orders_the_head_that_a_printer_waits_for() -> None:
    # Dear heads that seldom fail: nothing is ordered ahead of its need.
    dear = LASTING.assign(part_kind="head", unit_cost=5_000.0)
    records = two_printers(kind="head", parts=dear)
    lines = order_proposal(stock_table(records, TODAY), preorder(records, TODAY), TODAY)
    assert lines["pieces"].tolist() == [1]
    coming = two_printers(kind="head", parts=dear, due="2025-10-11")
    assert order_proposal(stock_table(coming, TODAY), preorder(coming, TODAY), TODAY).empty
    full = refilled(records)
    assert order_proposal(stock_table(full, TODAY), preorder(full, TODAY), TODAY).empty


def test_the_only_head_that_is_out_is_still_ordered() -> None:
    alone = two_printers(kind="head")
    alone = alone.with_table("printers", alone.printers.iloc[:1])
    alone = alone.with_table("fittings", alone.fittings.iloc[:1].assign(variant="six-channel head"))
    found = preorder(alone, TODAY)
    assert found[["printer", "variant"]].to_numpy().tolist() == [["A", "six-channel head"]]
    lines = order_proposal(stock_table(alone, TODAY), found, TODAY)
    assert lines[["variant", "pieces"]].to_numpy().tolist() == [["six-channel head", 1]]


def test_what_a_printer_stands_for_is_told_as_needed_now_and_not_as_a_chance() -> None:
    found = stocked(two_printers()).rename("cap")
    row = next(stock_table(two_printers(), TODAY, 0.95).itertuples())
    assert ": 1 is needed now and not there; keeping" in stock_words.reason(row)
    lasts = answers.how_long_it_lasts(
        found, np.array(found["chance_of_need"]), int(found["stock_to_keep"]), 0.95
    )
    assert "With none on the shelf or on the way by then: 1 is needed now and not there." in lasts
    for said in (stock_words.reason(row), lasts):
        assert "over 99 %" not in said


def test_a_piece_on_its_way_to_a_printer_that_stands_is_needed_now() -> None:
    records = two_printers(due="2025-10-11")
    row = next(stock_table(records, TODAY, 0.95).itertuples())
    assert (
        "1 is needed now and not there (before what is on the way is here: only express delivery "
        "helps)" in stock_words.reason(row)
    )
    heads = preorder(two_printers(kind="head", due="2025-10-11"), TODAY)
    said = preorder_words.before_arrival(next(heads.itertuples()))
    assert said.startswith("One is needed now, and missing until what is on its way is here (about")


def test_with_the_piece_on_the_shelf_running_short_is_a_chance_again() -> None:
    row = next(stock_table(two_printers(on_hand=1), TODAY, 0.95).itertuples())
    assert "chance of running short" in stock_words.reason(row)
    assert "needed now" not in stock_words.reason(row)
