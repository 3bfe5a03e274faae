"""Delivery times, late orders and prices learnt from the workshop's own orders."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.lead_time import lead_time, lead_time_of, lead_times
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.purchases import prices
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.say.spares import stock
from tracker.say.spares.orders import on_the_way
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

TODAY = date(2026, 3, 1)
ORDER = "part_kind quantity ordered_on expected_on received_on supplier unit_cost"


def orders(*values: tuple[object, ...]) -> Records:
    return workshop(orders=rows(ORDER, *values))


def test_without_own_orders_the_catalogue_stands_exactly() -> None:
    lead = lead_times(workshop(), TODAY)[PartType("head")]
    # Common practice, no source: 20 days usual, 45 days late.
    assert (lead.typical_days, lead.late_days) == (20, 45)
    assert (lead.orders, lead.guess_share) == (0, 1)


def test_own_orders_move_the_delivery_time_by_a_conjugate_update() -> None:
    # Hand calculation: the guess counts as 3 orders of ln 20; three orders of 10 days give a
    # middle of (3 ln 20 + 3 ln 10) / 6 = ln √200 = ln 14.142.
    facts = workshop().part_facts("head")
    lead = lead_time(facts, np.array([10.0, 10.0, 10.0]))
    assert lead.typical_days == pytest.approx(200**0.5, rel=1e-6)
    assert lead.guess_share == pytest.approx(0.5)


def test_many_orders_outweigh_the_guess_and_recover_the_true_quantiles() -> None:
    rng = np.random.default_rng(4)
    took = np.exp(np.log(12) + 0.3 * rng.standard_normal(400))
    lead = lead_time(workshop().part_facts("head"), took)
    assert lead.typical_days == pytest.approx(12, rel=0.05)
    assert lead.late_days == pytest.approx(12 * np.exp(0.3 * 1.2816), rel=0.06)


def test_the_points_carry_the_mean_and_spread_of_the_delivery_time() -> None:
    lead = lead_time(workshop().part_facts("head"))
    days, weight = lead.points()
    logs = np.log(days)
    assert weight.sum() == pytest.approx(1)
    assert weight @ logs == pytest.approx(lead.log_middle)
    assert weight @ logs**2 - (weight @ logs) ** 2 == pytest.approx(lead.log_spread**2)


def test_a_delivery_time_of_zero_is_one_point_at_zero() -> None:
    parts = rows("part_kind lead_days lead_days_late", ("head", 0, 0))
    lead = lead_times(workshop(parts=parts), TODAY)[PartType("head")]
    assert [found.tolist() for found in lead.points()] == [[0.0], [1.0]]
    assert lead.points()[0].tolist() == [0]


def test_orders_received_later_teach_nothing_yet() -> None:
    records = orders(("head", 1, "2026-02-01", None, "2026-03-10", "", None))
    assert lead_times(records.known_at(TODAY), TODAY)[PartType("head")].orders == 0
    assert (
        lead_times(records.known_at(date(2026, 3, 10)), date(2026, 3, 10))[PartType("head")].orders
        == 1
    )


def test_a_promised_day_that_passed_makes_an_order_late_and_its_arrival_a_forecast() -> None:
    records = orders(
        ("head", 1, "2026-01-20", "2026-02-10", None, "North", 600),
        ("wiper", 5, "2026-02-25", "2026-03-08", None, "South", 9),
        ("damper", 10, "2026-02-27", None, None, "South", 8),
    )
    waiting: Any = open_orders(records.known_at(TODAY), TODAY).set_index("part_kind")
    assert waiting.loc["head", "days_late"] == 19
    assert waiting.loc["head", "days_open"] == 40
    assert waiting.loc["head", "likely_on"].date() > TODAY
    assert waiting.loc["wiper", "days_late"] == 0
    assert waiting.loc["wiper", "likely_on"].date() == date(2026, 3, 8)
    # Without a promise: ordered two days ago, usually ten days (common practice, no source).
    assert 4 <= (waiting.loc["damper", "likely_on"].date() - TODAY).days <= 10
    assert waiting.index[0] == "head"


def test_an_order_without_a_promise_is_late_once_nine_in_ten_would_be_here() -> None:
    records = orders(("damper", 10, "2026-02-01", None, None, "", None))
    # 18 days is the trade's late guess for dampers: due by 19 February, ten days ago.
    assert open_orders(records.known_at(TODAY), TODAY)["days_late"].tolist() == [10]


def test_the_longer_one_waits_the_longer_it_still_takes() -> None:
    lead = lead_time(workshop().part_facts("head"))
    soon, later, last = (float(lead.arrival_days(days, np.array(0.5))) for days in (0, 30, 60))
    assert soon == pytest.approx(20)
    assert last > later > 0


@pytest.mark.parametrize("waited", [10.0, 250.0, 400.0, 700.0])
def test_what_is_still_to_come_follows_the_law_however_long_one_has_waited(waited: float) -> None:
    lead = lead_time_of(25.283177, 50.137749)
    share = np.array([0.1, 0.5, 0.9])
    whole = waited + lead.arrival_days(waited, share)

    def log_not_here(days: Any) -> Any:
        return norm.logsf(np.log(days), lead.log_middle, lead.log_spread)

    assert log_not_here(whole) - log_not_here(waited) == pytest.approx(np.log(1 - share))
    if waited == 700:
        assert whole - waited == pytest.approx([6.2, 41.5, 144.8], abs=0.05)


def test_the_day_after_the_promise_an_order_is_expected_no_later_than_the_day_before() -> None:
    lead = lead_time_of(20, 45)
    share = np.array([0.1, 0.5, 0.9])
    before, on_it, after = (lead.arrival_days(7.0, share, days) for days in (1.0, 0.0, -1.0))
    assert (before >= on_it).all()
    assert (on_it >= after).all()
    # Promised on the seventh day and waited for over a month: not yet, but no plain order either.
    late = lead.arrival_days(40.0, share, -33.0)
    assert 1 < late[1] < lead.arrival_days(40.0, share)[1]
    day_by_day = [
        open_orders(
            orders(("damper", 20, "2026-02-22", promised, None, "", None)).known_at(TODAY), TODAY
        )["likely_on"].iloc[0].date()
        for promised in ("2026-03-02", "2026-03-01", "2026-02-28")
    ]  # fmt: skip
    assert max(day_by_day) <= TODAY + timedelta(days=4)


def test_an_order_forgotten_for_long_is_no_cover_and_is_told() -> None:
    def shelf(days: int) -> Any:
        placed = TODAY - timedelta(days=days)
        parts = rows(TYPED, ("damper", 20, 22))
        order = rows(ORDER, ("damper", 12, placed, None, None, "", None))
        records = workshop(parts=parts, orders=order)
        row = stock_table(records, TODAY).set_index("part_kind").loc["damper"]
        return row, open_orders(records.known_at(TODAY), TODAY).iloc[0]

    # Punctual, 20 days usual: the chance that it still comes is below a half from 51 days on.
    (late, one), (row, open_one) = shelf(49), shelf(55)
    assert (late["arriving"], late["on_order"], late["forgotten"]) == (12, 12, 0)
    assert not one["forgotten"]
    assert (row["arriving"], row["on_order"], row["forgotten"], row["late"]) == (0, 0, 12, 0)
    assert row["order_now"] >= row["stock_to_keep"] > 0
    assert np.isnan(row["risk_before_arrival"])
    assert row["chance_of_shortage_now"] > late["chance_of_shortage_now"]
    assert (
        "12 pieces ordered too long ago to be counted on (chance of still coming: 45 %; 8 in 10: "
        "9 to 100 %): log what came" in stock.reason(row)
    )
    assert on_the_way(open_one).endswith(
        "; 33 days late, not counted on (chance of still coming: 45 %; 8 in 10: 9 to 100 %): has "
        "it come? Log it; else ask the supplier, order again and remove the order."
    )


def test_a_promise_that_lies_ahead_is_never_forgotten() -> None:
    parts = rows(TYPED, ("head", 10, 12))
    order = rows(ORDER, ("head", 1, "2025-10-01", "2026-04-01", None, "North", 600))
    records = workshop(parts=parts, orders=order)
    assert not open_orders(records.known_at(TODAY), TODAY)["forgotten"].any()
    assert set(preorder(records, TODAY)["spares"]) == {1}


def test_the_price_is_the_median_of_the_last_own_purchases() -> None:
    records = orders(
        ("head", 1, "2025-05-01", None, "2025-06-01", "", 300),
        ("head", 1, "2025-08-01", None, "2025-09-01", "", 640),
        ("head", 1, "2025-10-01", None, "2025-11-01", "", 610),
        ("head", 1, "2026-01-01", None, "2026-02-01", "", 700),
        ("head", 1, "2026-04-01", None, None, "", 9999),
    )
    found = prices(records.known_at(TODAY))
    assert found["head"].amount == 640
    assert found["head"].purchases == 4
    # Never bought: the catalogue's guess.
    assert (found["wiper"].amount, found["wiper"].purchases) == (9, 0)


def test_prices_of_the_parts_fitted_count_where_no_purchase_is_written_down() -> None:
    fitted = rows(
        "printer part_kind position fitted_on unit_cost",
        ("A", "head", "H1", "2025-01-01", 612.40),
        ("B", "head", "H1", "2025-06-01", 1025.00),
        ("A", "wiper", "wiper", "2025-01-01", None),
    )
    price = prices(workshop(fittings=fitted))["head"]
    assert price.amount == pytest.approx((612.40 + 1025.00) / 2)  # median of two
    assert price.purchases == 2
    assert prices(workshop(fittings=fitted))["wiper"].purchases == 0
    bought = rows(ORDER, ("head", 1, "2025-02-01", None, "2025-02-20", "", 700))
    assert prices(workshop(fittings=fitted, orders=bought))["head"].amount == 700


TYPED = "part_kind lead_days lead_days_late"


def test_a_typed_delivery_time_is_worth_five_orders_and_one_odd_order_does_not_overturn_it() -> (
    None
):
    parts = rows(TYPED, ("head", 10, 16))
    odd = rows(ORDER, ("head", 1, "2025-11-01", None, "2025-12-31", "", None))
    lead = lead_times(workshop(parts=parts, orders=odd), TODAY)[PartType("head")]
    # Hand calculation: (5 ln 10 + ln 60) / 6 = ln 13.48.
    assert lead.typical_days == pytest.approx(np.exp((5 * np.log(10) + np.log(60)) / 6), rel=1e-6)
    assert lead.typical_days < 14
    assert lead.guess_share == pytest.approx(5 / 6)


def test_an_order_just_placed_teaches_nothing_and_an_overdue_one_does() -> None:
    parts = rows(TYPED, ("head", 10, 16))

    def learnt(ordered_on: str) -> Any:
        open_one = rows(ORDER, ("head", 1, ordered_on, None, None, "", None))
        return lead_times(workshop(parts=parts, orders=open_one), TODAY)[PartType("head")]

    fresh, overdue, lost = (learnt(day) for day in ("2026-02-28", "2026-02-05", "2025-09-01"))
    assert fresh.typical_days == pytest.approx(10, rel=1e-4)
    assert fresh.late_days == pytest.approx(16, rel=1e-3)
    assert 10.5 < overdue.typical_days < 12
    # What will hardly come any more says little of the deliveries that do.
    assert lost.typical_days == pytest.approx(10, abs=0.3)
    assert (overdue.orders, overdue.guess_share) == (0, 1)
    # What is late is still judged by the deliveries that came.
    assert overdue.came.late_days == 16


def test_an_open_order_counts_as_the_fixed_point_of_its_mean_beyond_what_it_waited() -> None:
    # The censored normal's equations, checked with another program's truncated normal
    # (scipy.stats.truncnorm): middle = (5 · ln 10 + E[y | y > ln 30]) / 6 at the spread found.
    from scipy.stats import truncnorm

    facts = workshop(parts=rows(TYPED, ("head", 10, 16))).part_facts("head")
    lead = lead_time(facts, None, np.array([30.0]))
    beyond = (np.log(30) - lead.log_middle) / lead.log_spread
    mean = truncnorm.mean(beyond, np.inf, loc=lead.log_middle, scale=lead.log_spread)
    assert lead.log_middle == pytest.approx((5 * np.log(10) + mean) / 6, abs=1e-5)


def test_an_order_forgotten_for_years_does_not_teach_years() -> None:
    facts = workshop(parts=rows(TYPED, ("head", 10, 16))).part_facts("head")
    years = lead_time(facts, None, np.array([900.0]))
    assert years.typical_days == lead_time(facts, None, np.array([48.0])).typical_days


def test_an_order_is_one_delivery_however_many_lines_it_was_written_in() -> None:
    def learnt(*lines: tuple[object, ...]) -> Any:
        return lead_times(orders(*lines).known_at(TODAY), TODAY)[PartType("damper")]

    whole = learnt(("damper", 10, "2026-01-10", None, "2026-01-20", "South", 8))
    lines = [("damper", 2, "2026-01-10", None, "2026-01-20", "South", 8)] * 5
    open_rest = ("damper", 1, "2026-01-10", None, None, "South", 8)
    in_part = learnt(("damper", 9, "2026-01-10", None, "2026-01-20", "South", 8), open_rest)
    assert learnt(*lines) == whole == in_part
    assert whole.orders == 1
    # Of little that came most is still waited for; what came last does not count either.
    begun = ("damper", 1, "2026-01-10", None, "2026-01-12", "South", 8)
    rest = learnt(begun, ("damper", 9, "2026-01-10", None, None, "South", 8))
    assert rest == learnt(("damper", 10, "2026-01-10", None, None, "South", 8))
    late_rest = ("damper", 1, "2026-01-10", None, "2026-02-25", "South", 8)
    assert learnt(lines[0], *lines[:3], late_rest) == whole
    # Of two suppliers, or for two promised days, they are two.
    other = ("damper", 2, "2026-01-10", None, "2026-01-20", "North", 8)
    promised = ("damper", 2, "2026-01-10", "2026-01-25", "2026-01-20", "South", 8)
    assert learnt(lines[0], other, promised).orders == 3
