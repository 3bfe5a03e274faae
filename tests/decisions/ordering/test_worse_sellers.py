"""Which types were bought last from the supplier whose parts fail sooner, and who is better."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from tracker.decisions.ordering.purchases import WorseSeller, worse_sellers
from tracker.forecast.group_comparison import BadLot, GroupComparison
from tracker.workshop.variants import PartType

WIPER, CAP, LINE = PartType("wiper"), PartType("cap"), PartType("line")
SELLERS = {WIPER: ("Left", "Right"), CAP: ("Right", "Left"), LINE: ("Left",)}


def compared(chance: float) -> GroupComparison:
    """Left's parts failed in 30 of 40 lives where 20 were to be expected, Right's in 10 of 40."""
    rows = pd.DataFrame(
        {"lives": [40, 40], "failed": [30, 10], "usual": [20.0, 20.0], "chance_alike": chance},
        index=["Left", "Right"],
    )
    return GroupComparison(rows, chance, stratified=True)


def test_the_worse_seller_is_named_with_the_better_one_where_it_sells_the_type() -> None:
    assert worse_sellers(SELLERS, compared(0.001)) == {
        WIPER: WorseSeller("Left", 30, 20.0, "Right"),
        LINE: WorseSeller("Left", 30, 20.0, ""),
    }


def test_nobody_is_named_where_chance_explains_it_or_nothing_was_compared() -> None:
    assert worse_sellers(SELLERS, compared(0.2)) == {}
    assert worse_sellers(SELLERS, None) == {}


def test_nobody_is_advised_against_for_one_bad_lot() -> None:
    lot = BadLot("wiper", "BAD", 11, 1.0)
    of_one_lot = replace(compared(0.001), bad_lots=(lot,), rest=compared(0.3))
    assert of_one_lot.worse == "Left"
    assert worse_sellers(SELLERS, of_one_lot) == {}
    of_all = replace(compared(0.001), bad_lots=(lot,), rest=compared(0.004))
    assert worse_sellers(SELLERS, of_all)[WIPER] == WorseSeller("Left", 30, 20.0, "Right")
