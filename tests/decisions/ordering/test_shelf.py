"""What lies on the shelf, move by move."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.store.acts import shelf as shelf_log
from tracker.workshop.records import Records
from tracker.workshop.shelf import OnHand, on_hand
from tracker.workshop.variants import PartType

TODAY = date(2025, 6, 1)
FRESH = ((date(2026, 3, 1), 2),)


def records_of(*moves: tuple[Any, ...]) -> Records:
    """Wipers moved: ``moved_on quantity reason best_before``."""
    names = "part_kind moved_on quantity reason best_before"
    return workshop(stock=rows(names, *(("wiper", *move) for move in moves)))


def left(*moves: tuple[Any, ...]) -> OnHand:
    """The wipers' shelf after these moves."""
    return on_hand(records_of(*moves).known_at(TODAY), TODAY)[PartType("wiper")]


def test_more_than_lies_there_cannot_leave() -> None:
    two, three = ("2025-01-10", 2, "received", None), ("2025-02-10", -3, "used", None)
    assert left(two, three) == OnHand(missing=1)
    assert left(two, three, ("2025-03-10", 5, "received", None)) == OnHand(5, missing=1)
    # What came on the day was there, in whatever order the day was written down.
    five = ("2025-02-10", 5, "received", None)
    assert left(three, two, five) == OnHand(4)


def test_a_count_says_what_lies_there_whatever_was_missing_before() -> None:
    two, three = ("2025-01-10", 2, "received", None), ("2025-02-10", -3, "used", None)
    five, day = ("2025-03-10", 5, "received", None), date(2025, 4, 1)
    # A count's row is the difference to the sum of all rows before it: 2 − 3 + 5 + 2 = 6.
    assert left(two, three, five, ("2025-04-01", 2, "counted", None)) == OnHand(6, counted_on=day)
    fewer = left(two, three, five, ("2025-04-01", -1, "counted", None))
    assert fewer == OnHand(3, counted_on=day)
    later = left(two, three, ("2025-04-01", 1, "counted", None), ("2025-05-01", -1, "used", None))
    assert later == OnHand(missing=1, counted_on=day)


def test_what_is_expired_is_not_used_while_something_good_lies_there() -> None:
    old = ("2025-01-10", 5, "received", "2025-02-01")
    good = ("2025-03-01", 5, "received", "2026-03-01")
    assert left(old, good, ("2025-04-01", -3, "used", None)) == OnHand(2, 5, keeps=FRESH)
    # Before it expired the oldest was taken first; what is thrown away is the oldest too.
    both = (("2025-01-20", -3, "used", None), old, good, ("2025-04-01", -3, "used", None))
    assert left(*both) == OnHand(2, 2, keeps=FRESH)
    thrown = (old, good, ("2025-04-01", -4, "scrapped", None), ("2025-04-01", -3, "used", None))
    assert left(*thrown) == OnHand(2, 1, keeps=FRESH)
    # Nothing good is left: then the old ones were used after all.
    assert left(old, good, ("2025-04-01", -7, "used", None)) == OnHand(0, 3)


@pytest.mark.parametrize("seed", range(20))
def test_nothing_is_lost_or_made_between_counts(seed: int) -> None:
    moves = moves_by_chance(seed)
    shelf = left(*moves)
    assert min(shelf.usable, shelf.expired, shelf.missing) >= 0
    assert shelf.usable + shelf.expired - shelf.missing == sum(move[1] for move in moves)
    assert sum(pieces for _day, pieces in shelf.keeps) <= shelf.usable
    assert all(day > TODAY for day, _pieces in shelf.keeps)


@pytest.mark.parametrize("seed", range(20))
def test_what_a_technician_may_take_is_what_the_order_list_counts(seed: int) -> None:
    moves = moves_by_chance(seed)
    if seed % 2:
        before = sum(move[1] for move in moves if move[0] <= np.datetime64("2025-03-01"))
        moves.append((np.datetime64("2025-03-01"), 3 - before, "counted", None))
    shelf = left(*moves)
    assert shelf.usable + shelf.expired == shelf_log.on_hand(records_of(*moves), "wiper", TODAY)


def moves_by_chance(seed: int) -> list[tuple[Any, ...]]:
    """Forty moves within 150 days, more of them off the shelf than onto it."""
    rng = np.random.default_rng(seed)
    moves: list[tuple[Any, ...]] = []
    for day in np.sort(rng.integers(0, 150, 40)):
        moved_on = np.datetime64("2025-01-01") + day
        if rng.random() < 0.4:
            keeps = moved_on + rng.integers(5, 200) if rng.random() < 0.7 else None
            moves.append((moved_on, int(rng.integers(1, 6)), "received", keeps))
        else:
            why = str(rng.choice(["used", "scrapped"]))
            moves.append((moved_on, -int(rng.integers(1, 4)), why, None))
    return moves
