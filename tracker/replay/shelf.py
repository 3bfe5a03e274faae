"""One kind's shelf lived through day by day: what a habit of ordering would have led to."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from math import ceil
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

_ARRIVAL, _AGED, _NEED, _LOOK = 0, 1, 2, 3  # their order within a day


class Habit(Protocol):
    """A way of ordering. Days count from the walk's first; ``days`` are those on which somebody
    looks at the shelf, besides every day on which a piece is taken or grows too old."""

    @property
    def days(self) -> Sequence[int]: ...

    def order(self, day: int, spares: int) -> int:
        """How many pieces to order now, in whole packs? ``spares``: pieces on the shelf and on
        order, less those that a printer already waits for."""

    def look_again(self, day: int, spares: int) -> int | None:
        """A later day on which something falls due if nothing happens before it."""


@dataclass(frozen=True)
class BaseStock:
    """The habit of keeping ``level`` pieces: what is taken is ordered again. Level 0 orders when
    something breaks."""

    level: int
    pack_size: int = 1

    @property
    def days(self) -> Sequence[int]:
        return (0,)

    def order(self, day: int, spares: int) -> int:
        return packs_for(self.level - spares, self.pack_size)

    def look_again(self, day: int, spares: int) -> int | None:
        return None


def packs_for(pieces: int, pack_size: int) -> int:
    """So many pieces, rounded up to whole packs; none where none are missing.

    >>> packs_for(3, 5), packs_for(-1, 5)
    (5, 0)
    """
    return pack_size * ceil(max(0, pieces) / pack_size)


@dataclass(frozen=True, eq=False)
class Walk:
    """What came of it. ``served`` has for each need the day on which it got its piece (the last
    day where none came by then); ``piece_days`` on the shelf and pieces grown too old (``aged``)
    count from the first scored day; ``left`` are pieces on the shelf or on order at the end;
    ``spares`` are those after each of the habit's ``days``."""

    served: NDArray[np.int64]
    piece_days: float
    aged: int
    left: int
    spares: dict[int, int]


def walk(
    needed: Sequence[int],
    habit: Habit,
    delivery_days: Sequence[int],
    last: int,
    *,
    shelf_life_days: float,
    pack_size: int = 1,
    scored_from: int = 0,
) -> Walk:
    """Live through days 0 … ``last`` with an empty shelf at first.

    ``needed`` are the days of the needs in order; ``delivery_days[d]`` is how long an order placed
    on day d takes. Needs are served first come, first served, from the oldest pieces. Where pieces
    are owed to a printer and none are on order for it, as many are ordered at once, whatever the
    habit says.

    >>> walk([10, 12], BaseStock(1), [5] * 30, 29, shelf_life_days=365).served
    array([10, 15])
    """
    queue: list[tuple[int, int, int]] = [(day, _NEED, i) for i, day in enumerate(needed)]
    looks = set(habit.days)
    queue += [(day, _LOOK, 0) for day in looks]
    heapify(queue)
    shelf = _Shelf(np.full(len(needed), last, dtype=np.int64), max(1, int(shelf_life_days)))
    shelf.seen = shelf.scored_from = scored_from
    spares_at: dict[int, int] = {}
    planned = set(looks)
    while queue:
        day, what, which = heappop(queue)
        if day > last:
            break
        shelf.pass_to(day)
        if what == _ARRIVAL:
            if shelf.arrive(day, which):
                heappush(queue, (day + shelf.keeps, _AGED, 0))
            continue
        if what == _AGED and not shelf.throw_out(day):
            continue
        if what == _NEED:
            shelf.serve(day, which)
        pieces = max(habit.order(day, shelf.spares), packs_for(-shelf.spares, pack_size))
        if pieces:
            shelf.on_order += pieces
            heappush(queue, (day + delivery_days[day], _ARRIVAL, pieces))
        if what == _LOOK and day in looks:
            spares_at[day] = shelf.spares
        later = habit.look_again(day, shelf.spares)
        if later is not None and later > day and later not in planned:
            planned.add(later)
            heappush(queue, (later, _LOOK, 0))
    shelf.pass_to(last)
    return Walk(shelf.served, shelf.piece_days, shelf.aged, max(0, shelf.spares), spares_at)


@dataclass(eq=False)
class _Shelf:
    """What lies there, is on order and is owed to printers, on the day ``seen``; a piece is too old
    after ``keeps`` days. The other figures as in ``Walk``, from ``scored_from`` on.
    """

    served: NDArray[np.int64]
    keeps: int
    scored_from: int = 0
    seen: int = 0
    on_hand: int = 0
    on_order: int = 0
    aged: int = 0
    piece_days: float = 0.0
    lots: deque[tuple[int, int]] = field(default_factory=deque)  # (too old on, pieces)
    owed: deque[int] = field(default_factory=deque)

    @property
    def spares(self) -> int:
        """Pieces there and on order, less those owed."""
        return self.on_hand + self.on_order - len(self.owed)

    def pass_to(self, day: int) -> None:
        """Time goes by."""
        if day > self.seen:
            self.piece_days += self.on_hand * (day - self.seen)
            self.seen = day

    def arrive(self, day: int, pieces: int) -> int:
        """Ordered pieces come; how many of them are left for the shelf?"""
        self.on_order -= pieces
        while pieces and self.owed:
            self.served[self.owed.popleft()] = day
            pieces -= 1
        if pieces:
            self.on_hand += pieces
            self.lots.append((day + self.keeps, pieces))
        return pieces

    def throw_out(self, day: int) -> int:
        """How many pieces are too old from that day on?"""
        old = 0
        while self.lots and self.lots[0][0] <= day:
            old += self.lots.popleft()[1]
        self.on_hand -= old
        self.aged += old if day >= self.scored_from else 0
        return old

    def serve(self, day: int, need: int) -> None:
        """A printer needs a piece: the oldest, or the next to come."""
        if not self.on_hand:
            self.owed.append(need)
            return
        too_old, pieces = self.lots.popleft()
        if pieces > 1:
            self.lots.appendleft((too_old, pieces - 1))
        self.on_hand -= 1
        self.served[need] = day
