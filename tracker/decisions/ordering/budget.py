"""What to buy first when the money is short: the pack that avoids most cost per money spent.

What is to be ordered is decided once, in the order list; this module says which packs of it to buy
with less money than it takes, so that a sum of money never gives two different lists.

Marginal analysis: every further pack of a kind avoids less than the one before, so taking the best
ratio again and again gives, for each sum spent, the least expected cost of running short
(Sherbrooke, 2004, Optimal Inventory Modeling of Systems, ch. 2; Fox, 1966). With whole packs that
can leave money over which a dear pack would have used better; so under a budget the purchase that
avoids most is looked for among all (knapsack by dynamic programming: Bellman, 1957), and packs are
still named in the order of their worth.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop.variants import PartType, types_in

COLUMNS = (
    "part_kind",
    "variant",
    "pieces",
    "price",
    "spent",
    "avoided_cost",
    "per_money",
    "risk_left",
    "chance_of_no_shortage",
)

_CELLS = 1_000  # parts into which a budget is cut where the best purchase is looked for


@dataclass(frozen=True, eq=False)
class Buyable:
    """One type of part that can be bought, and what having more of it is worth.

    ``costs`` [s] = expected cost with s pieces there (missing, held and grown too old, currency
    units); ``short_if_ordered`` [n] = chance that a piece is missing with n more ordered today;
    ``available`` pieces there or coming; ``unit_cost`` of a piece, sold in packs of ``pack_size``;
    ``wanted`` pieces at most.
    """

    part: PartType
    costs: Array
    short_if_ordered: Array
    available: int
    unit_cost: float
    pack_size: int = 1
    wanted: int = 1_000_000

    @property
    def packs(self) -> int:
        """So many packs are on the list."""
        return -(-self.wanted // max(self.pack_size, 1))

    def risk(self, pieces: int) -> float:
        """Expected cost with so many pieces more."""
        there = self.available + pieces
        last = len(self.costs) - 1
        if there <= last:
            return float(self.costs[there])
        # Beyond every need a piece more only lies there, as the last one before it did.
        slope = float(self.costs[-1] - self.costs[-2]) if last else 0.0
        return float(self.costs[-1]) + slope * (there - last)

    def no_shortage(self, pieces: int) -> float:
        """The chance that no piece is missing with so many pieces more ordered today."""
        return 1 - float(self.short_if_ordered[min(pieces, len(self.short_if_ordered) - 1)])


def buying_order(kinds: Sequence[Buyable], budget: float | None = None) -> pd.DataFrame:
    """In which order should packs be bought, and how much risk is left after each?

    One row per pack, the best first, after a first row with nothing bought (``part_kind`` ""):
    ``pieces`` and ``price`` of the pack, ``spent`` so far, ``avoided_cost`` (net of holding; a pack
    that only a wanted service level asks for may cost more than it avoids) and that ``per_money``
    spent, ``risk_left`` (expected cost of missing, held and ageing pieces, all kinds; besides what
    is missing before an order of today is here) and ``chance_of_no_shortage`` of any kind, that
    included (kinds taken as independent). A free pack comes first.
    Under a ``budget`` that does not pay for all, those packs come first that together avoid most,
    where that beats taking the next best that fits (prices are rounded up to a thousandth of the
    budget for that), and then what else fits.

    Raises:
        UsageError: a budget below 0.
    """
    if budget is not None and not budget >= 0:
        raise UsageError(
            _(
                "budget: {budget} cannot be spent; give an amount of 0 or more.",
                budget=f"{budget:g}",
            )
        )
    all_packs = [kind.packs for kind in kinds]
    steps = _in_order(kinds, budget, all_packs)
    whole = sum(kind.packs * kind.pack_size * kind.unit_cost for kind in kinds)
    if budget is None or not 0 < budget < whole - 1e-9:
        return steps
    other = _in_order(kinds, budget, _most_avoiding(kinds, budget))
    better = _avoided(other) > _avoided(steps) + 1e-9
    return other if better else steps


def _avoided(steps: pd.DataFrame) -> float:
    """What the packs avoid together; one that only a service level asks for is no loss."""
    return float(steps["avoided_cost"].clip(lower=0).sum())


def _in_order(
    kinds: Sequence[Buyable],
    budget: float | None,
    first: Sequence[int],
) -> pd.DataFrame:
    """Pack by pack the best that fits; of each kind so many packs before all others."""
    bought = [0] * len(kinds)
    risk = sum(kind.risk(0) for kind in kinds)
    spent = 0.0
    rows: list[tuple[object, ...]] = [("", "", 0, 0.0, 0.0, 0.0, 0.0, risk, _safe(kinds, bought))]
    heap = [(first[i] <= 0, *_offer(kind, i, 0)) for i, kind in enumerate(kinds)]
    heapq.heapify(heap)
    while heap:
        _later, negative, i, avoided = heapq.heappop(heap)
        kind = kinds[i]
        price = kind.pack_size * kind.unit_cost
        dear = budget is not None and spent + price > budget + 1e-9
        if bought[i] >= kind.packs * kind.pack_size or dear:
            continue
        bought[i] += kind.pack_size
        spent += price
        risk -= avoided
        rows.append(
            (*kind.part, kind.pack_size, price, spent, avoided, -negative, risk,
             _safe(kinds, bought))
        )  # fmt: skip
        later = bought[i] >= first[i] * kind.pack_size
        heapq.heappush(heap, (later, *_offer(kind, i, bought[i])))
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _most_avoiding(kinds: Sequence[Buyable], budget: float) -> list[int]:
    """How many packs of each kind together avoid most within the budget."""
    best = np.zeros(_CELLS + 1)  # most avoided with so many thousandths of the budget
    taken: list[Ints] = []
    for kind in kinds:
        price = kind.pack_size * kind.unit_cost
        worth = [0.0]
        cost = _cost(price, budget)
        while price > 0 and len(worth) * cost <= _CELLS and len(worth) <= kind.packs:
            avoided = _offer(kind, 0, (len(worth) - 1) * kind.pack_size)[2]
            worth.append(worth[-1] + avoided)
        choices = np.full((len(worth), _CELLS + 1), -np.inf)
        for packs, gain in enumerate(worth):
            spent = packs * cost
            choices[packs, spent:] = best[: _CELLS + 1 - spent] + gain
        taken.append(choices.argmax(axis=0))
        best = choices.max(axis=0)
    left = _CELLS
    found: list[int] = []
    for kind, packs_at in zip(reversed(kinds), reversed(taken), strict=True):
        price = kind.pack_size * kind.unit_cost
        packs = int(packs_at[left])
        left -= packs * _cost(price, budget)
        found.append(packs if price > 0 else kind.packs)
    return found[::-1]


def _cost(price: float, budget: float) -> int:
    """In cells, rounded up, so that the whole never costs more than the budget; one more than all
    where it does by itself."""
    return int(np.ceil(min(price / budget, 1 + 1 / _CELLS) * _CELLS - 1e-9))


def _offer(kind: Buyable, number: int, bought: int) -> tuple[float, int, float]:
    avoided = kind.risk(bought) - kind.risk(bought + kind.pack_size)
    price = kind.pack_size * kind.unit_cost
    return (-avoided / price if price > 0 else -np.inf, number, avoided)


def _safe(kinds: Sequence[Buyable], bought: Sequence[int]) -> float:
    return float(
        np.prod([kind.no_shortage(more) for kind, more in zip(kinds, bought, strict=True)])
    )


def buy_first(
    table: pd.DataFrame, lines: pd.DataFrame, budget: float | None = None
) -> pd.DataFrame:
    """Which packs of today's order list should be bought first?

    As ``buying_order``, over delivery and review of every kind on the list. ``table`` from
    ``stock_table``, ``lines`` from ``order_proposal``; without a budget, or with one that pays for
    them all, it is the list itself, the best packs first.
    """
    pieces = dict(zip(types_in(lines), lines["pieces"], strict=True))
    kinds = [
        Buyable(
            part=part,
            costs=np.asarray(row["cost_of_stock"], dtype=float),
            short_if_ordered=np.asarray(row["short_if_ordered"], dtype=float),
            available=int(row["available"]),
            unit_cost=float(row["unit_cost"]),
            pack_size=int(row["pack_size"]),
            wanted=int(pieces[part]),
        )
        for part, row in zip(types_in(table), table.to_dict("records"), strict=True)
        if part in pieces
    ]
    return buying_order(kinds, budget)
