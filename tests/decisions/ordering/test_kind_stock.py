"""How many to order today beside what is there and on its way."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.stock_table import stock_table
from tracker.say.spares import stock

TODAY = date(2025, 6, 1)
# Here within a week; the shelf is looked at every 30 days.
QUICK = rows(
    "part_kind lead_days lead_days_late typical_life_days belief_failures",
    ("damper", 5, 7, 60, 20),
)


def dampers(promised: str | None = None, pieces: int = 30, **settings: object) -> Any:
    """The dampers' row, 30 of them promised for that day."""
    tables = {"parts": QUICK, "settings": setting(**settings)}
    if promised is not None:
        names = "part_kind quantity ordered_on expected_on"
        tables["orders"] = rows(names, ("damper", pieces, "2025-05-30", promised))
    return stock_table(workshop(**tables), TODAY).set_index("part_kind").loc["damper"]


def test_what_comes_late_keeps_nobody_from_ordering_what_comes_sooner() -> None:
    late = dampers("2025-07-04")
    assert late["available"] == 30 > late["stock_to_keep"]
    assert late["order_now"] == 10, "a pack"
    short = late["short_if_ordered"]
    # With the pack as little is left as an order of today can leave at all.
    assert short[min(10, len(short) - 1)] == pytest.approx(short[-1], abs=0.005)
    assert short[0] > short[-1] + 0.2
    assert "an order of today comes sooner" in stock.reason(late)


def test_what_comes_in_time_is_cover_enough() -> None:
    soon = dampers("2025-06-04")
    assert soon["order_now"] == 0
    assert "comes sooner" not in stock.reason(soon)


def test_a_second_delivery_being_surer_than_one_is_no_reason_to_order() -> None:
    # Twice as many as are kept, promised a day before one ordered today is usually here.
    order = rows(
        "part_kind quantity ordered_on expected_on", ("head", 4, "2025-05-20", "2025-06-20")
    )
    row: Any = stock_table(workshop(orders=order), TODAY).set_index("part_kind").loc["head"]
    assert row["available"] == 2 * row["stock_to_keep"] == 4
    assert row["short_if_ordered"][0] - row["short_if_ordered"][-1] > 0.02
    assert row["order_now"] == 0


def test_where_standing_costs_next_to_nothing_the_late_order_is_waited_for() -> None:
    assert dampers("2025-07-04", margin_per_hour=0.02, taken_over_share=0.9)["order_now"] == 0
    # A service level that the workshop asks for is a floor, whatever standing costs.
    floor = dampers("2025-07-04", margin_per_hour=0.02, taken_over_share=0.9, service_level=0.95)
    assert floor["order_now"] == 10


@pytest.mark.parametrize("settings", [{"margin_per_hour": 0}, {"taken_over_share": 1}])
def test_what_stands_empty_is_ordered_for_whatever_standing_costs(settings: Any) -> None:
    records = workshop(settings=setting(**settings))
    fitted = records.fittings.copy()
    first = fitted.index[(fitted["part_kind"] == "wiper") & (fitted["printer"] == "A")]
    fitted.loc[first, "removed_on"] = pd.Timestamp("2025-05-28")
    fitted.loc[first, "removal_reason"] = "failed"
    row: Any = stock_table(records.with_table("fittings", fitted), TODAY)
    row = row.set_index("part_kind").loc["wiper"]
    assert (row["at_once"], row["stock_least_cost"], row["stock_to_keep"]) == (1, 0, 1)
    assert row["order_now"] == row["pack_size"]
    assert "keeping 1 fills what stands empty" in stock.reason(row)
    full = stock_table(records, TODAY).set_index("part_kind").loc["wiper"]
    assert full["order_now"] == full["stock_to_keep"] == 0
