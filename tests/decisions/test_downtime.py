"""One cost of standing still behind every decision."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.downtime import Downtime
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.ordering.budget import buy_first
from tracker.decisions.ordering.lead_time import lead_time_of
from tracker.decisions.ordering.order_curve import OrderCosts, curves_of_failures
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.replay.costs import advice_cost
from tracker.replay.findings import NONE
from tracker.review.month import month_review
from tracker.workshop.records import Records

DAY = date(2026, 6, 30)
FEW = {"margin_per_hour": 2, "log_began_on": "2025-01-01"}


def broken_wipers() -> pd.DataFrame:
    """One printer whose wiper failed every 30 days, and its head."""
    days = [*pd.date_range("2025-01-01", "2026-06-01", freq="30D"), None]
    wipers = [
        ("A", "wiper", "wiper", first, last, "failed" if last is not None else "")
        for first, last in pairwise(days)
    ]
    return rows(
        "printer part_kind position fitted_on removed_on removal_reason",
        *wipers, ("A", "head", "H1", "2025-01-01", None, ""),
    )  # fmt: skip


def asked(**more: object) -> Records:
    return workshop(1, fittings=broken_wipers(), settings=setting(**FEW, **more))


def shortage(records: Records) -> float:
    table = stock_table(records, DAY).set_index("part_kind")
    return float(table["shortage_cost"].to_dict()["wiper"])


def waiting_cost(records: Records) -> float:
    """What ordering a head in half a year costs more than ordering it today."""
    costs = [cost for _, cost in preorder(records, DAY)["curve"].iloc[0]]
    return float(costs[-1] - costs[0])


def avoided(records: Records) -> float:
    table, heads = stock_table(records, DAY), preorder(records, DAY)
    return float(buy_first(table, order_proposal(table, heads, DAY))["avoided_cost"].sum())


def replayed(records: Records) -> float:
    return advice_cost(records, DAY, draws=2).of(NONE).downtime_cost


def cost_of_a_failure(records: Records) -> float:
    """What the routine, its yearly costs and what skipping cost are reckoned with."""
    costs = FailureCosts.of(records.known_at(DAY), DAY)
    return costs.of_kind("wiper", spare_on_shelf=True).total


def planned_change(records: Records) -> float:
    ages = planned_ages(records, DAY).by_group
    return float(ages.loc[ages["part_kind"] == "wiper", "failing"].iloc[0])


def reviewed(records: Records) -> float:
    """What the review counts as margin lost while a printer stood for two working hours."""
    began = pd.to_datetime(["2026-06-02 09:00"])
    stop = pd.DataFrame(
        {"printer": "A", "began_at": began, "ended_at": began + pd.Timedelta(hours=2)}
    )
    review = month_review(records.with_table("stoppages", stop), date(2026, 6, 1))
    return float(review.happened.money.to_dict()["this_month"]["standing"])


@pytest.mark.parametrize(
    "decision",
    [shortage, waiting_cost, avoided, replayed, cost_of_a_failure, planned_change, reviewed],
)
def test_what_other_printers_take_over_moves_every_decision_that_prices_standing(
    decision: Callable[[Records], float],
) -> None:
    assert decision(asked(taken_over_share=0.75)) < decision(asked())


@pytest.mark.parametrize("decision", [shortage, waiting_cost, avoided, replayed])
def test_a_courier_bounds_what_waiting_costs_everywhere(
    decision: Callable[[Records], float],
) -> None:
    assert decision(asked(courier_days=2, courier_cost=5)) < decision(asked())


def test_a_missing_piece_costs_the_wait_for_the_usual_delivery() -> None:
    """Delivery of ten days always: 10 days · 2 an hour · 8 hours · 5/7."""
    parts = rows("part_kind lead_days lead_days_late", ("wiper", 10, 10))
    assert shortage(asked().with_table("parts", parts)) == pytest.approx(10 * 16 * 5 / 7)
    courier = asked(courier_days=2, courier_cost=5).with_table("parts", parts)
    assert shortage(courier) == pytest.approx(5 + 2 * 16 * 5 / 7)


def test_the_mean_wait_with_a_courier_is_the_mean_of_the_bounded_waits() -> None:
    """A part that fails on day 0 to 40, each alike; delivery 10 days, never more than 4 waited.

    Ordered on day 5 it waits 4 where it fails by day 11 and 15 − x from then to day 15:
    (11 · 4 + 4²/2) / 40 = 1.3 days.
    """
    times = np.linspace(0.0, 100.0, 10_001)
    failed = np.minimum(times / 40, 1.0)
    costs = OrderCosts(downtime_per_day=1.0, holding_per_day=0.0, longest_wait_days=4.0)
    (curve,) = curves_of_failures(times, failed[None], lead_time_of(10, 10), costs, 20)
    assert curve.curve["expected_cost"][5] == pytest.approx(1.3, abs=1e-4)


def test_where_nothing_is_lost_no_wait_is_too_long() -> None:
    assert Downtime(0.0, 8.0, 0.7, 2.0, 50.0).longest_wait_days == float("inf")
    assert Downtime(0.0, 8.0, 0.7, 2.0, 50.0).waiting(30.0) == 0
