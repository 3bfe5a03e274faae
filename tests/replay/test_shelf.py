"""Shelves lived through day by day, against small walks done by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracker.replay.shelf import BaseStock, walk

TEN_DAYS = [10] * 400


def test_one_on_the_shelf_serves_at_once_unless_the_next_need_comes_within_the_delivery() -> None:
    # First piece here on day 10. Taken on 20, its successor here on 30: the need of 25 waits
    # for it, its own successor (ordered on 25) comes on 35 and serves the need of 60 at once.
    found = walk([20, 25, 60], BaseStock(1), TEN_DAYS, 99, shelf_life_days=365)
    assert found.served.tolist() == [20, 30, 60]
    assert found.left == 1
    # On the shelf: days 10–20, 35–60, 70–99.
    assert found.piece_days == 10 + 25 + 29


def test_ordering_when_it_breaks_waits_for_every_delivery() -> None:
    deliveries = [5 if day < 50 else 8 for day in range(100)]
    found = walk([20, 60], BaseStock(0), deliveries, 99, shelf_life_days=365)
    assert found.served.tolist() == [25, 68]
    assert (found.piece_days, found.left, found.aged) == (0, 0, 0)


def test_whole_packs_leave_pieces_over() -> None:
    found = walk(
        [20, 40], BaseStock(0, pack_size=3), TEN_DAYS, 99, shelf_life_days=365, pack_size=3
    )
    assert found.served.tolist() == [30, 40]  # the second comes from the first's pack
    assert found.left == 1


def test_a_piece_past_its_shelf_life_is_thrown_away_and_bought_again() -> None:
    found = walk([], BaseStock(1), TEN_DAYS, 99, shelf_life_days=30)
    # Here on day 10, too old on 40; the next ordered then, here on 50, too old on 80, and so on.
    assert found.aged == 2
    assert found.piece_days == 30 + 30 + 9


def test_what_comes_before_the_scored_days_is_lived_through_but_not_counted() -> None:
    found = walk([], BaseStock(1), TEN_DAYS, 99, shelf_life_days=30, scored_from=45)
    assert found.aged == 1
    assert found.piece_days == 30 + 9


def test_a_need_without_a_piece_by_the_end_waits_to_the_end() -> None:
    found = walk([95], BaseStock(0), TEN_DAYS, 99, shelf_life_days=365)
    assert found.served.tolist() == [99]
    assert found.left == 0  # the piece on order is the printer's


def test_a_habit_that_orders_nothing_still_orders_for_a_printer_that_stands() -> None:
    found = walk([20], _Asleep((0, 30)), TEN_DAYS, 99, shelf_life_days=365)
    assert found.served.tolist() == [30]
    assert found.spares == {0: 0, 30: 0}


def test_a_day_that_a_habit_asks_for_is_looked_at() -> None:
    found = walk([50], _Alarm(), TEN_DAYS, 99, shelf_life_days=365)
    assert found.served.tolist() == [50]
    assert found.piece_days == 50 - 43  # ordered on day 33, here on 43


@given(
    needed=st.lists(st.integers(1, 300), max_size=25).map(sorted),
    level=st.integers(0, 5),
    delivery=st.integers(0, 40),
)
def test_a_higher_level_never_serves_a_need_later(
    needed: list[int], level: int, delivery: int
) -> None:
    low, high = (
        walk(needed, BaseStock(own), [delivery] * 400, 399, shelf_life_days=10_000)
        for own in (level, level + 1)
    )
    assert (high.served <= low.served).all()
    assert (low.served >= np.array(needed, dtype=int)).all()
    assert (low.served <= np.array(needed, dtype=int) + delivery).all()


@dataclass(frozen=True)
class _Asleep:
    days: Sequence[int]

    def order(self, day: int, spares: int) -> int:
        return 0

    def look_again(self, day: int, spares: int) -> int | None:
        return None


@dataclass(frozen=True)
class _Alarm:
    days: Sequence[int] = (0,)

    def order(self, day: int, spares: int) -> int:
        return 1 if day == 33 else 0

    def look_again(self, day: int, spares: int) -> int | None:
        return 33
