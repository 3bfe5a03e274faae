"""A price ten times the usual one or a tenth of it is told, and asked about where it is typed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from tests.workshop.small_workshop import small_workshop
from tracker.intake.exchange import read_folder
from tracker.workshop.checks import notices, odd_price
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

HEAD = PartType("head")
ORDERED = {"part_kind": "head", "ordered_on": "2026-01-05", "quantity": 1}
LISTED = {"parts": pd.DataFrame({"part_kind": ["head"], "unit_cost": [600.0]})}


def bought(*prices: float, listed: bool = True) -> Records:
    orders = pd.DataFrame({**ORDERED, "unit_cost": list(prices)})
    return Records.of({"orders": orders, **(LISTED if listed else {})})


def told(records: Records) -> list[str]:
    return [sentence for sentence in notices(records) if "far from" in sentence]


@pytest.mark.parametrize("records", [small_workshop, lambda: read_folder(Path("sample_data"))])
def test_nothing_is_said_of_ordinary_prices(records: Callable[[], Records]) -> None:
    assert told(records()) == []


def test_a_price_far_from_the_list_is_told_with_its_row() -> None:
    assert told(bought(580, 1.2, 0, 640)) == [
        "orders row 1: unit_cost 1.2 is far from 600, which is usual for it; correct whichever "
        "of them is a slip."
    ]


@pytest.mark.parametrize(
    ("price", "odd"), [(60, True), (61, False), (5999, False), (6000, True), (0, False)]
)
def test_ten_times_either_way_is_far_and_what_came_for_nothing_is_not(
    price: float, *, odd: bool
) -> None:
    assert bool(odd_price(bought(), HEAD, price)) is odd


def test_without_a_list_what_was_paid_is_usual_and_a_guess_of_the_trade_is_not() -> None:
    assert told(bought(1.2, listed=False)) == []
    (sentence,) = told(bought(580, 1.2, 640, listed=False))
    assert "1.2 is far from 580" in sentence


def test_a_type_of_its_own_price_is_judged_by_that() -> None:
    parts = pd.DataFrame(
        {"part_kind": "head", "variant": ["", "large head"], "unit_cost": [60.0, 2400.0]}
    )
    orders = pd.DataFrame({**ORDERED, "variant": ["large head", ""], "unit_cost": [2300.0, 58.0]})
    assert told(Records.of({"parts": parts, "orders": orders})) == []
