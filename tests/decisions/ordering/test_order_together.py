"""What joins an order, by hand calculation and by trying every set."""

from __future__ import annotations

from datetime import date
from itertools import combinations
from math import exp, factorial
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.ordering.coming_orders import chances_of_order
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.order_together import COLUMNS, order_together
from tracker.decisions.ordering.purchases import suppliers
from tracker.decisions.ordering.shared_shipment import MOST_WEIGHED, Waiting, best_additions
from tracker.decisions.ordering.stretched_need import StretchedNeed
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.errors import UsageError
from tracker.say.spares.orders import why_added
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

TODAY = date(2026, 3, 1)
NEXT, LATER = np.array([1.0, 0.0]), np.array([0.0, 1.0])
NO_HEADS = preorder(Records(), TODAY)


def test_a_part_joins_when_its_own_shipment_costs_more_than_having_it_early() -> None:
    assert best_additions([Waiting(NEXT, 5.0)], 12).saving == pytest.approx(7)
    assert best_additions([Waiting(NEXT, 13.0)], 12).chosen == ()


def test_two_parts_that_fall_due_together_save_one_shipment_only_together() -> None:
    # One shipment of 12 at the next review carries both; it falls away when both join: 12 − 2 − 3.
    found = best_additions([Waiting(NEXT, 2.0), Waiting(NEXT, 3.0)], 12)
    assert found.chosen == (0, 1)
    assert found.saving == pytest.approx(7)
    # Without the first the shipment goes anyway, so each is worth the whole of it, less its cost.
    assert found.each == pytest.approx((10, 9))
    dear = best_additions([Waiting(NEXT, 7.0), Waiting(NEXT, 6.0)], 12)
    assert dear.chosen == ()


def test_a_shipment_counts_with_its_chance_and_not_where_another_part_shares_it() -> None:
    due = np.array([0.5, 0.2])
    # 12 × (0.5 + 0.2) − 1 = 7.4; another part due at the next review with chance one half:
    # 12 × (0.5 × 0.5 + 0.2) − 1 = 4.4.
    assert best_additions([Waiting(due, 1.0)], 12).saving == pytest.approx(7.4)
    shared = best_additions([Waiting(due, 1.0)], 12, others=[np.array([0.5, 0.0])])
    assert shared.saving == pytest.approx(4.4)


def test_a_kind_ordered_at_nearly_every_review_carries_the_others_anyway() -> None:
    # Needed 3 a month at one review a month it is ordered with chance 1 − e^(−3) = 0.95 each time,
    # not only the first; a part due in month 2 or 3 then saves 10 e^(−3) = 0.50 of a shipment of
    # 10 and is not worth 2.00.
    often = chances_of_order(StretchedNeed(0.1, 0.0), 0, 1, np.array([30.0, 60.0, 90.0]))
    assert often == pytest.approx(np.full(3, 1 - exp(-3)))
    later = np.array([0.0, 0.5, 0.5])
    assert best_additions([Waiting(later, 2.0)], 10, others=[often]).chosen == ()
    free = best_additions([Waiting(later, 0.0)], 10, others=[often])
    assert free.saving == pytest.approx(10 * exp(-3))


def test_what_is_ordered_again_although_it_joined_still_counts_as_a_shipment() -> None:
    # Stays: shipments of 12 at both reviews; joins: the second is needed all the same, and the
    # other part, due then, shares it: 12 − 2. That part alone saves nothing.
    both, again = np.array([1.0, 1.0]), np.array([0.0, 1.0])
    found = best_additions([Waiting(both, 2.0, again), Waiting(LATER, 1.0)], 12)
    assert found.chosen == (0,)
    assert found.saving == pytest.approx(10)


@pytest.mark.parametrize(
    ("slack", "pack", "extra_daily"),
    [(0, 1, 0.0), (2, 1, 2e-4), (1, 4, 2e-4), (5, 2, 1e-3)],
)
def test_the_chances_of_an_order_are_those_of_a_simulated_shelf(
    slack: int, pack: int, extra_daily: float
) -> None:
    rng = np.random.default_rng(3)
    many, reviews = 20_000, np.array([30.0, 60, 90, 120, 150, 180])
    # The rate is known as a gamma law of mean 0.04 a day and that variance.
    rate = np.full(many, 0.04)
    if extra_daily:
        rate = rng.gamma(0.04**2 / extra_daily, extra_daily / 0.04, many)
    above, ordered = np.full(many, slack), []
    for _ in reviews:
        above = above - rng.poisson(30 * rate)
        short = above < 0
        ordered.append(short.mean())
        above = np.where(short, above + pack * -(above // pack), above)
    told = chances_of_order(StretchedNeed(0.04, extra_daily), slack, pack, reviews)
    # Four standard errors of a share of 20 000: at most 0.014.
    assert told == pytest.approx(np.array(ordered), abs=0.014)


def test_the_saving_told_is_that_of_a_simulated_year() -> None:
    # A roller is ordered now and used 1.2 times a month; a strip at its level 0.75 times. Both
    # are ordered up to their level at monthly reviews over the next year, with and without one
    # strip more in today's order; the strip's price and so its holding are nearly nothing.
    rng = np.random.default_rng(4)
    many, months = 40_000, 13
    table = shelf(("roller", 0, 1, 30, 1.6), ("encoder", 1, 1, 0.01, 1.0))
    roller = rng.poisson(1.2, (months, many)) > 0
    used = rng.poisson(0.75, (months, many))

    def shipments(more: int) -> float:
        above, sent = np.full(many, more), 0.0
        for month in range(months):
            above = above - used[month]
            sent += float((roller[month] | (above < 0)).mean())
            above = np.maximum(above, 0)
        return 10 * sent

    saved = shipments(0) - shipments(1)
    row: Any = together(table).iloc[0]
    assert row["saving"] == pytest.approx(saved, abs=0.05)


def test_the_set_chosen_is_the_best_of_all_sets() -> None:
    rng = np.random.default_rng(8)
    for _ in range(20):
        parts = [Waiting(rng.dirichlet(np.ones(4))[:3], rng.uniform(0, 6)) for _ in range(5)]
        other = rng.dirichlet(np.ones(4))[:3]

        def cost(joining: tuple[int, ...], parts: Any = parts, other: Any = other) -> float:
            stay = [part.ordered for i, part in enumerate(parts) if i not in joining] + [other]
            shipments = sum(1 - np.prod([1 - due[n] for due in stay]) for n in range(3))
            return float(9 * shipments + sum(parts[i].earlier_cost for i in joining))

        sets = [joining for size in range(6) for joining in combinations(range(5), size)]
        best = min(sets, key=cost)
        found = best_additions(parts, 9, others=[other])
        assert found.chosen == best
        assert found.saving == pytest.approx(cost(()) - cost(best))


def test_too_many_parts_to_weigh_are_refused_with_the_number() -> None:
    with pytest.raises(UsageError, match=f"at most {MOST_WEIGHED}"):
        best_additions([Waiting(NEXT, 1.0)] * (MOST_WEIGHED + 1), 12)


def shelf(*kinds: tuple[str, int, int, float, float], horizon: float = 40.0) -> pd.DataFrame:
    """A stock table by hand: kind, on hand, target, price, Poisson mean over the horizon."""
    return pd.DataFrame(
        [
            {
                "part_kind": kind,
                "variant": "",
                "fitted": 100,
                "waiting": 0,
                "at_once": 0,
                "horizon_days": horizon,
                "chance_of_need": [exp(-mean) * mean**k / factorial(k) for k in range(40)],
                "on_hand": there,
                "arriving": 0,
                "available": there,
                "stock_for_service": target,
                "stock_to_keep": target,
                "order_now": max(0, target - there),
                "chance_of_shortage_now": 0.5,
                "shortage_cost": 100.0,
                "pack_size": 1,
                "unit_cost": price,
                "cost": max(0, target - there) * price,
            }
            for kind, there, target, price, mean in kinds
        ]
    )


def together(table: pd.DataFrame, records: Records | None = None, **more: Any) -> pd.DataFrame:
    records = Records() if records is None else records
    lines = order_proposal(table, NO_HEADS, TODAY)
    return order_together(records, TODAY, table, NO_HEADS, lines, shipping=10, **more)


def test_a_small_part_joins_at_the_saving_of_the_hand_calculation() -> None:
    # One roller is ordered now and needed so rarely that it shares nothing later. An encoder
    # strip (Poisson, one in 40 days, at its target) falls due by review n (every 30 days, the
    # default) with chance 1 − e^(−0.75 n); it comes 30 / (1 − e^(−0.75)) = 56.9 days early on
    # average and costs 20 % of 20 a year to hold; it keeps for ten years, so nothing ages. Its
    # next shipment is saved unless it would have brought more than the one that joins: with
    # chance 0.75 e^(−0.75) / (1 − e^(−0.75)) = 0.67.
    table = shelf(("roller", 0, 1, 30, 1e-6), ("encoder", 1, 1, 20, 1.0))
    found = together(table)
    assert found["part_kind"].tolist() == ["encoder"]
    early = 30 / (1 - exp(-0.75))
    row: Any = found.iloc[0]
    assert row["earlier_cost"] == pytest.approx(0.2 * 20 / 365 * early, rel=1e-3)
    saved = 10 * 0.75 * exp(-0.75) / (1 - exp(-0.75))
    assert row["saving"] == pytest.approx(saved - row["earlier_cost"], rel=1e-3)
    assert row["saving_together"] == row["saving"]
    # As likely as not due by the first review: 1 − e^(−0.75) = 0.53.
    assert row["due_on"] == date(2026, 3, 31)
    assert tuple(found.columns) == COLUMNS


def test_a_part_that_grows_too_old_meanwhile_stays_out() -> None:
    # A damper keeps 540 days (common practice, no source). Twenty on the shelf, needed at one in
    # 40 days, last 800 days: most of a further one is lost whether or not it comes early, and
    # coming 57 days early loses e^…: the chance that 20 or fewer are needed in 540 but not 597.
    few = together(shelf(("roller", 0, 1, 30, 1e-6), ("damper", 20, 20, 100, 1.0)))
    many = together(shelf(("roller", 0, 1, 30, 1e-6), ("encoder", 20, 20, 100, 1.0)))
    assert few.empty
    assert many["part_kind"].tolist() == ["encoder"]


def test_what_is_not_likely_due_within_three_months_waits() -> None:
    assert together(shelf(("roller", 0, 1, 30, 1e-6), ("encoder", 3, 1, 5, 1.0))).empty


def test_a_part_joins_only_at_a_supplier_it_was_bought_from() -> None:
    records = Records.of({
        "orders": rows(
            "part_kind quantity ordered_on received_on supplier unit_cost",
            ("roller", 1, "2025-05-01", "2025-05-09", "North", 30),
            ("encoder", 1, "2025-06-01", "2025-06-09", "South", 20),
            ("line", 1, "2025-06-01", "2025-06-09", "North", 20),
            ("line", 1, "2025-09-01", "2025-09-09", "South", 20),
        )
    })  # fmt: skip
    assert suppliers(records.known_at(TODAY))[PartType("line")] == ("South", "North")
    table = shelf(("roller", 0, 1, 30, 1e-6), ("encoder", 1, 1, 20, 1.0), ("line", 1, 1, 20, 1.0))
    found = together(table, records)
    assert found[["part_kind", "supplier"]].values.tolist() == [["line", "North"]]


def test_a_dated_head_joins_at_the_cost_its_own_curve_tells() -> None:
    table = shelf(("roller", 0, 1, 30, 1e-6), ("head", 0, 0, 600, 0.1))
    table.loc[table["part_kind"] == "head", "fitted"] = 2  # few enough to be dated in turn
    heads = pd.DataFrame(
        {
            "part_kind": ["head", "head"],
            "variant": ["", ""],
            "printer": ["A", "B"],
            "position": ["H1", "H1"],
            "order_by": [date(2026, 3, 21), date(2026, 8, 1)],
            "curve": [[[0, 54.0], [20, 50.0], [40, 53.0]], [[0, 90.0], [153, 50.0]]],
            "unit_cost": [600.0, 600.0],
        }
    )
    lines = order_proposal(table, heads, TODAY)
    found = order_together(Records(), TODAY, table, heads, lines, shipping=10)
    assert found[["part_kind", "printer", "pieces"]].values.tolist() == [["head", "A", 1]]
    assert found["earlier_cost"].tolist() == [4.0]
    assert found["saving"].iloc[0] == pytest.approx(6.0, abs=1e-3)
    assert "21 Mar 2026" in why_added(next(found.itertuples()), "EUR")


def test_a_dated_part_that_comes_in_packs_joins_by_the_pack() -> None:
    table = shelf(("roller", 0, 1, 30, 1e-6), ("head", 0, 0, 365, 0.1))
    table.loc[table["part_kind"] == "head", "fitted"] = 3
    dates = [date(2026, 3, 21), date(2026, 4, 20), date(2026, 5, 20)]
    heads = pd.DataFrame(
        {
            "part_kind": "head",
            "variant": "",
            "printer": ["A", "B", "C"],
            "position": "H1",
            "order_by": dates,
            "curve": [
                [[0, 14.0], [20, 10.0]],
                [[0, 13.0], [20, 11.0], [50, 9.0]],
                [[0, 20.0], [80, 12.0]],
            ],
            "unit_cost": 365.0,
        }
    )
    records = Records.of(
        {
            "parts": rows("part_kind pack_size", ("head", 2)),
            "settings": setting(holding_rate_per_year=0.1),
        }
    )
    lines = order_proposal(table, heads, TODAY)
    found = order_together(records, TODAY, table, heads, lines, shipping=100)
    assert found[["printer", "pieces", "cost"]].values.tolist() == [["A", 2, 730], ["C", 2, 730]]
    # That for A brings B's along, 20 days from now at the latest: 14 − 10 + 13 − 11. Beside C's,
    # which costs 20 − 12, one more lies there for 80 days at 0.1 a day.
    assert found["earlier_cost"].tolist() == pytest.approx([6.0, 16.0])
    assert found["due_on"].tolist() == [dates[0], dates[2]]


def test_the_setting_decides_and_a_free_shipment_brings_nothing_forward() -> None:
    table = shelf(("roller", 0, 1, 30, 1e-6), ("encoder", 1, 1, 20, 1.0))
    lines = order_proposal(table, NO_HEADS, TODAY)
    for price, expected in ((0, 0), (15, 1)):
        records = Records.of({"settings": setting(shipping_per_order=price)})
        assert len(order_together(records, TODAY, table, NO_HEADS, lines)) == expected
    with pytest.raises(UsageError, match="shipping_per_order: -1"):
        order_together(Records(), TODAY, table, NO_HEADS, lines, shipping=-1)


def test_nothing_ordered_today_brings_nothing_forward() -> None:
    assert together(shelf(("encoder", 1, 1, 20, 1.0))).empty


def test_parts_without_need_or_without_any_delivery_time_are_left_alone() -> None:
    table = shelf(("roller", 0, 1, 30, 0.5), ("encoder", 1, 1, 20, 0.0))
    assert together(table).empty
    assert together(shelf(("roller", 0, 1, 30, 0.5), horizon=0.0)).empty


def test_on_a_small_workshop_the_additions_are_parts_that_are_not_ordered_now() -> None:
    records = workshop()
    day = date(2025, 6, 1)
    table, heads = stock_table(records, day), preorder(records, day)
    lines = order_proposal(table, heads, day)
    found = order_together(records, day, table, heads, lines, shipping=40)
    assert len(lines)
    small = found[found["printer"] == ""]
    assert not set(small["part_kind"]) & set(lines["part_kind"])
    assert (found["saving"] > 0).all()
