"""Which spares serve which need: planned changes, late promises, printers that leave, luck."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.purchases import type_prices
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.ahead import months_ahead
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

DAY = date(2025, 6, 1)
HEAD = PartType("head")
FITTINGS = "printer part_kind position fitted_on removed_on removal_reason"
MOVES = "part_kind moved_on quantity reason"
ORDERS = "part_kind quantity ordered_on expected_on"
LEADS = rows("part_kind lead_days lead_days_late", ("head", 20, 30))
ONE_SPARE = rows(MOVES, ("head", "2025-01-10", 1, "received"))


def changed_by_plan(running: int, day: date = DAY, **tables: pd.DataFrame) -> Records:
    """Printer A whose head was changed at about 200 days of age each time; and one let run in B."""
    fitted, lives = pd.Timestamp(day) - pd.Timedelta(days=running), []
    end = fitted
    for age in (202, 200, 199, 201, 200):
        begin = end - pd.Timedelta(days=age)
        lives.append(("A", "head", "H1", begin, end, "planned"))
        end = begin
    printers = rows("printer started_on channels", ("A", end, "C M Y K"))
    fittings = rows(FITTINGS, *reversed(lives), ("A", "head", "H1", fitted, None, ""))
    return Records.of({"printers": printers, "fittings": fittings, "parts": LEADS} | tables)


def leaving(days: int, records: Records) -> Records:
    """Printer B leaves in so many days."""
    on = [pd.NaT, pd.Timestamp(DAY + timedelta(days=days))]
    return records.with_table("printers", records.printers.assign(retired_on=on))


def stock(records: Records, kind: str = "head") -> Any:
    return stock_table(records, DAY).set_index("part_kind").loc[kind]


def test_a_change_by_plan_takes_the_spare_that_is_there() -> None:
    before = preorder(changed_by_plan(195, stock=ONE_SPARE), DAY).iloc[0]
    # The same six days later, the change made, the spare in the printer.
    after_change = changed_by_plan(1, DAY + timedelta(days=6))
    after = preorder(after_change, DAY + timedelta(days=6)).iloc[0]
    assert before["order_by"] is not None
    assert after["order_by"] is not None
    assert abs((after["order_by"] - before["order_by"]).days) <= 14


def test_a_part_let_run_well_past_the_practised_age_is_not_needed_today() -> None:
    records = changed_by_plan(100)
    long = pd.Timestamp(DAY) - pd.Timedelta(days=500)
    let_run = rows(FITTINGS, ("B", "head", "H1", long, None, ""))
    both = records.with_table(
        "fittings", pd.concat([records.fittings, let_run], ignore_index=True)
    ).with_table(
        "printers",
        pd.concat([records.printers, records.printers.assign(printer="B")], ignore_index=True),
    )
    assert stock(both)["planned_age_days"] == 200
    assert stock(both)["at_once"] == 0
    # Two heads that may fail, none due: not much more than one of them is at risk.
    alone = stock(records)["chance_of_shortage_now"]
    assert alone < stock(both)["chance_of_shortage_now"] < alone + 0.2
    # Just past the age, within the days by which changes differ, it is.
    assert stock(changed_by_plan(203))["at_once"] == 1


def test_an_empty_place_is_not_filled_in_a_printer_that_leaves_before_a_part_can_come() -> None:
    records = workshop(2)
    out = (records.fittings["part_kind"] == "head") & (records.fittings["printer"] == "B")
    fittings = records.fittings.assign(removed_on=pd.NaT, removal_reason="")
    fittings.loc[out, ["removed_on", "removal_reason"]] = [pd.Timestamp("2025-05-28"), "failed"]
    records = records.with_table("fittings", fittings)
    assert stock(records)["at_once"] == 1
    assert preorder(records, DAY)["printer"].tolist()[0] == "B"
    soon, later = leaving(2, records), leaving(90, records)
    assert stock(soon)["at_once"] == 0
    assert preorder(soon, DAY)["printer"].tolist() == ["A"]
    assert stock(later)["at_once"] == 1
    assert preorder(later, DAY)["printer"].tolist()[0] == "B"


def test_the_next_spare_is_named_after_a_part_that_may_still_use_it() -> None:
    assert preorder(leaving(3, workshop(2)), DAY)["printer"].tolist()[0] == "A"


def test_the_review_knows_of_a_printer_that_leaves_as_the_stock_does() -> None:
    records = leaving(10, workshop(2))
    ahead = months_ahead(records, fit_lives(records, DAY))
    orders = ahead.orders.set_index("part_kind")
    assert orders.loc["damper", "expected_need"] == stock(records, "damper")["expected_need"]
    stays = months_ahead(workshop(2), fit_lives(workshop(2), DAY)).need.set_index("part_kind")
    leaves = ahead.need.set_index("part_kind")
    assert leaves.loc["damper", "mean_3"] < 0.7 * stays.loc["damper", "mean_3"]


def test_what_was_promised_for_a_late_day_keeps_nobody_from_ordering_what_is_here_sooner() -> None:
    one = workshop(1, parts=LEADS)
    none = preorder(one, DAY).iloc[0]
    late = one.with_table("orders", rows(ORDERS, ("head", 1, "2025-05-30", "2025-09-29")))
    told = preorder(late, DAY).iloc[0]
    assert none["order_by"] == DAY
    assert (told["order_by"], told["ordered_before"], told["spares"]) == (DAY, 0, 1)
    assert told["risk_if_ordered_now"] == pytest.approx(none["risk_if_ordered_now"], rel=0.05)
    proposal = order_proposal(stock_table(late, DAY), preorder(late, DAY), DAY)
    assert ("head", 1) in zip(proposal["part_kind"], proposal["pieces"], strict=True)
    # Likely here before a new one would be: it serves the next failure.
    usual = one.with_table("orders", rows(ORDERS, ("head", 1, "2025-05-20", "2025-06-12")))
    assert preorder(usual, DAY).iloc[0]["order_by"] != DAY


def test_the_day_of_a_covered_spare_does_not_hang_on_the_name_of_the_printer() -> None:
    days = []
    for name in ("A", "Ada", "Printer 2", "Q", "Zoe", "K9"):
        records = workshop(1, stock=ONE_SPARE)
        for table in ("printers", "fittings"):
            records = records.with_table(table, records.table(table).assign(printer=name))
        days.append(preorder(records, date(2025, 7, 13)).iloc[0]["order_by"])
    assert None not in days
    # With a tenth of the futures: a month, and half of them none.
    assert (max(days) - min(days)).days <= 28


def test_what_came_for_nothing_is_no_price_of_the_next_one() -> None:
    bought = rows(
        "part_kind quantity ordered_on received_on unit_cost",
        ("head", 1, "2025-01-01", "2025-01-20", 580.0),
        ("head", 1, "2025-02-01", "2025-02-20", 0.0),
        ("head", 1, "2025-03-01", "2025-03-20", 0.0),
    )
    assert type_prices(workshop(1, orders=bought))[HEAD].amount == 580.0
