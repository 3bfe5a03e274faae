"""A supplier who is shut sends nothing: what is learnt, when it is here and when to order."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tests.simulation.simulated_shelf import waited_out
from tracker.decisions.ordering.lead_time import LeadTime, lead_time_of, lead_times
from tracker.decisions.ordering.order_curve import OrderCosts, curves_of_failures, time_grid
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.shut_ahead import shut_ahead
from tracker.decisions.ordering.supplier_days import SupplierDays
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.lives.open_days import Closures, quiet_gaps
from tracker.say.spares.suppliers_shut import shut_sentences
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

TODAY = date(2026, 3, 1)
ORDER = "part_kind quantity ordered_on received_on supplier"
SHUT = "began_on ended_on supplier"
HEAD = PartType("head")


def bought(*orders: tuple[object, ...], shut: tuple[tuple[str, str, str], ...] = ()) -> Records:
    return workshop(orders=rows(ORDER, *orders), closures=rows(SHUT, *shut))


@pytest.mark.parametrize("seed", range(20))
def test_a_delivery_waits_out_the_shut_days_as_walked_day_by_day(seed: int) -> None:
    rng = np.random.default_rng(seed)
    begins = np.cumsum(rng.integers(2, 20, 6)) - 30
    spans = np.array([[first, first + rng.integers(1, 2)] for first in begins], dtype=float)
    days = SupplierDays(spans)
    shut = {day for first, after in spans.astype(int) for day in range(first, after)}
    for ordered in range(-35, 60, 7):
        for takes in (0, 1, 5, 25):
            found = float(days.here(float(ordered), float(takes)))
            assert found == waited_out(shut, ordered, takes)
            assert float(days.open_days(ordered, found)) == takes
    assert days.wait(np.array([3.0]), 4.0) == waited_out(shut, 3, 4) - 3


def test_what_is_ordered_never_comes_later_for_being_ordered_earlier() -> None:
    days = SupplierDays(np.array([[-3.0, 4.0], [10.0, 31.0]]))
    here = days.here(np.arange(60.0), 7.5)
    assert (np.diff(here) >= 0).all()
    assert (here - np.arange(60.0) >= 7.5).all()


def test_the_days_a_supplier_was_shut_are_no_delivery_time() -> None:
    # Ten days of work each, the third one interrupted by 20 shut days.
    orders = (
        ("head", 1, "2025-10-01", "2025-10-11", "North"),
        ("head", 1, "2025-11-01", "2025-11-11", "North"),
        ("head", 1, "2025-12-15", "2026-01-14", "North"),
    )
    shut = ("2025-12-20", "2026-01-08", "North")
    plain = lead_times(bought(*orders), TODAY)[HEAD]
    known = lead_times(bought(*orders, shut=(shut,)), TODAY)[HEAD]
    # Conjugate by hand: (3 ln 20 + 3 ln 10) / 6 = ln √200, as if each had taken ten days.
    assert known.typical_days == pytest.approx(200**0.5, rel=1e-6)
    assert plain.typical_days > known.typical_days
    assert known.usual_now == known.typical_days


def test_the_curve_with_a_shut_supplier_equals_a_simulation() -> None:
    rng = np.random.default_rng(8)
    shut = SupplierDays(np.array([[20.0, 45.0]]))
    base = lead_time_of(10.0, 10.0)
    lead = LeadTime(**{**vars(base), "shut": shut})
    times = np.concatenate([time_grid(lead, None, 90), np.arange(160.0, 2000.0, 5.0)])
    # A Weibull life of shape 3 and scale 80 days, new today.
    failed = -np.expm1(-((times / 80) ** 3))
    costs = OrderCosts(downtime_per_day=30, holding_per_day=2, longest_wait_days=22)
    (curve,) = curves_of_failures(times, failed[None], lead, costs, 90)
    lives = 80 * rng.weibull(3, 400_000)
    for day in (0, 8, 15, 30, 44, 60, 80):
        ordered = np.minimum(lives, day)  # at the failure, where it comes first
        here = shut.here(ordered, 10.0)
        wait = np.minimum(np.maximum(here - lives, 0), 22)
        held = np.maximum(lives - here, 0)
        paid = 30 * wait + 2 * held
        assert curve.cost[day] == pytest.approx(paid.mean(), abs=5 * paid.std() / 400_000**0.5)
        spare = float(shut.here(float(day), 10.0))
        assert curve.risk[day] == pytest.approx((lives <= spare).mean(), abs=0.004)
    assert curve.best_day < 10  # in time for the spare to be here before


def test_an_open_order_waits_for_its_own_supplier() -> None:
    shut = (("2026-03-05", "2026-03-24", "North"),)
    orders = (
        ("head", 1, "2025-09-01", "2025-09-21", "North"),
        ("head", 1, "2026-02-25", None, "North"),
        ("head", 2, "2026-02-25", None, "South"),
    )
    found = open_orders(bought(*orders, shut=shut), TODAY).set_index("supplier")["likely_on"]
    free = open_orders(bought(*orders), TODAY).set_index("supplier")["likely_on"]
    assert found["North"] - free["North"] == pd.Timedelta(days=20)
    assert found["South"] == free["South"]


def test_an_order_is_not_late_for_the_days_its_supplier_was_shut() -> None:
    waiting = ("head", 1, "2026-01-01", None, "North")
    (late,) = open_orders(bought(waiting), TODAY)["days_late"]
    shut = (("2026-01-10", "2026-02-20", "North"),)
    (told,) = open_orders(bought(waiting, shut=shut), TODAY)["days_late"]
    assert late > 0
    assert told == 0


def standing(shut: tuple[tuple[str, str, str], ...], **tables: Any) -> Records:
    """Two printers with a head each, half through their lives, bought from North."""
    fitted = rows(
        "printer part_kind position fitted_on supplier",
        ("A", "head", "H1", "2025-06-01", "North"), ("B", "head", "H1", "2025-08-01", "North"),
        ("A", "pump", "P", "2025-06-01", "South"), ("B", "pump", "P", "2025-08-01", "South"),
    )  # fmt: skip
    return workshop(2, fittings=fitted, closures=rows(SHUT, *shut), **tables)


def test_a_shut_supplier_brings_its_order_dates_forward_and_no_others() -> None:
    shut = (("2026-03-25", "2026-04-30", "North"),)
    plain, ahead = (preorder(standing(one), TODAY) for one in ((), shut))
    later = ahead["risk_if_waiting_30_days"].to_numpy()
    assert (later > 1.4 * plain["risk_if_waiting_30_days"].to_numpy()).all()
    assert (ahead["later_here_days"] > plain["later_here_days"] + 30).all()
    assert ahead["order_by"].iloc[0] <= plain["order_by"].iloc[0]
    before, after = (stock_table(standing(one), TODAY).set_index("part_kind") for one in ((), shut))
    assert after.at["head", "expected_need"] > 1.4 * before.at["head", "expected_need"]
    assert after.at["head", "stock_for_service"] >= before.at["head", "stock_for_service"]
    assert after.loc["pump"].equals(before.loc["pump"])


def test_whose_supplier_nobody_said_is_bought_from_the_only_one_there_is() -> None:
    shut = (("2026-03-05", "2026-03-24", "North"),)
    alone = lead_times(bought(shut=shut), TODAY)
    assert alone[HEAD].usual_now == alone[HEAD].typical_days + 20
    other = ("pump", 1, "2025-10-01", "2025-10-11", "South")
    two = lead_times(bought(other, shut=shut), TODAY)
    assert two[HEAD].usual_now == two[HEAD].typical_days


def test_the_workshop_works_while_a_supplier_is_shut() -> None:
    log = rows(
        "printer task done_on why",
        *(("A", "stir_ink", f"2026-01-0{day}", "planned") for day in range(1, 7)),
        ("A", "stir_ink", "2026-02-20", "planned"),
    )
    records = standing((("2026-01-07", "2026-02-19", "North"),), maintenance=log)
    assert Closures.of(records).spans == {}
    assert len(quiet_gaps(records, TODAY)) == 1


def test_a_supplier_that_will_be_shut_is_told_with_the_last_day_to_order_before() -> None:
    shut = (("2026-03-25", "2026-04-30", "North"), ("2026-02-20", "2026-03-04", "South"),
            ("2027-01-01", "2027-01-20", "North"))  # fmt: skip
    records = standing(shut)
    now, soon = shut_ahead(records, TODAY)
    assert (now.supplier, now.ended_on) == ("South", date(2026, 3, 4))
    usual = lead_times(records, TODAY)[HEAD].typical_days
    assert soon.order_by == {HEAD: date(2026, 3, 25) - timedelta(days=round(usual))}
    assert list(shut_sentences([now, soon], TODAY)) == [
        "South sends nothing until 4 Mar 2026; the delivery times here count that in.",
        "North sends nothing from 25 Mar to 30 Apr 2026; the delivery times here count that in. To "
        "have it before, order printhead by 5 Mar 2026.",
    ]
