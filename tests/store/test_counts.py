"""A counted shelf stays as it was counted, whatever is written down later for days before."""

from __future__ import annotations

from datetime import date

import pytest

from tracker.store import acts
from tracker.store.database import Store
from tracker.workshop.records import Records
from tracker.workshop.shelf import shelf_now, stock_moves
from tracker.workshop.variants import PartType

CAP = PartType("cap")
TODAY = date(2026, 10, 31)


def lies_there(store: Store, day: date = TODAY) -> int:
    return shelf_now(store.records(), day)[CAP].usable


@pytest.fixture
def counted(store: Store) -> Store:
    """12 counted on 1 October, 2 used on the 20th, 7 counted on the 31st."""
    acts.count_stock(store, {CAP: 12}, date(2026, 10, 1))
    acts.move_stock(store, acts.Movement("cap", date(2026, 10, 20), -2, "used"))
    acts.count_stock(store, {CAP: 7}, TODAY)
    return store


def test_a_count_keeps_the_number_counted_and_the_difference_found(counted: Store) -> None:
    rows = counted.records().stock
    assert rows["counted"].fillna(-1).tolist() == [12, -1, 7]
    assert rows["quantity"].tolist() == [12, -2, -3]
    assert lies_there(counted) == 7


def test_what_is_written_down_later_for_a_day_before_leaves_it_as_counted(counted: Store) -> None:
    acts.move_stock(counted, acts.Movement("cap", date(2026, 10, 20), 6, "received"))
    acts.move_stock(counted, acts.Movement("cap", date(2026, 10, 25), -1, "used"))
    assert lies_there(counted) == 7
    assert lies_there(counted, date(2026, 10, 30)) == 12 - 2 + 6 - 1
    acts.move_stock(counted, acts.Movement("cap", TODAY, 6, "received"))
    assert lies_there(counted) == 13, "after the count on its day"


def test_a_count_corrected_later_leaves_the_next_one_as_it_was(counted: Store) -> None:
    first = counted.records().stock.index[0]
    with counted.change("corrected") as change:
        change.correct("stock", int(first), {"counted": 15})
    assert lies_there(counted) == 7
    assert lies_there(counted, date(2026, 10, 21)) == 13


def test_a_count_without_its_number_counts_as_the_difference_it_told(counted: Store) -> None:
    stock = counted.records().stock.assign(counted=None)
    stock["counted"] = stock["counted"].astype(float)
    old = Records.of({"stock": stock})
    assert stock_moves(old)["quantity"].tolist() == [12, -2, -3]
    assert shelf_now(old, TODAY)[CAP].usable == 7
