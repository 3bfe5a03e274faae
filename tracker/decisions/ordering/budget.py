"""What to buy first when the money is short: the pack that avoids most cost per money spent.

Marginal analysis: every further pack of a kind avoids less than the one before, so taking the best
ratio again and again gives, for each sum spent, the least expected cost of running short
(Sherbrooke, 2004, Optimal Inventory Modeling of Systems, ch. 2; Fox, 1966). With whole packs that
can leave money over which a dear pack would have used better; so under a budget the purchase that
avoids most is looked for among all (knapsack by dynamic programming: Bellman, 1957), and packs are
still named in the order of their worth.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.stock_level import expected_shortage
from tracker.decisions.stock_table import stock_table
from tracker.errors import UsageError
from tracker.forecast.need import NeedModel
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

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


@dataclass(frozen=True, eq=False)
class Buyable:
    """One type of part that can be bought: its need, what is there, and what a missing piece costs.

    ``probabilities`` [k] = chance that exactly k are needed; ``available`` pieces there or coming;
    ``unit_cost`` of a piece, sold in packs of ``pack_size``; ``holding_cost`` of keeping a piece
    over the time looked at. Money in currency units.
    """

    part: PartType
    probabilities: NDArray[np.float64]
    available: int
    unit_cost: float
    shortage_cost: float
    pack_size: int = 1
    holding_cost: float = 0.0

    def risk(self, pieces: int) -> float:
        """Expected cost of running short with so many pieces more."""
        short = float(expected_shortage(self.probabilities, self.available + pieces))
        return self.shortage_cost * short

    def no_shortage(self, pieces: int) -> float:
        """The chance that no piece is missing with so many pieces more."""
        return float(np.sum(self.probabilities[: self.available + pieces + 1]))


def buying_order(
    kinds: Sequence[Buyable], budget: float | None = None, least_avoided: float = 0.01
) -> pd.DataFrame:
    """In which order should packs be bought, and how much risk is left after each?

    One row per pack, the best first, after a first row with nothing bought (``part_kind`` ""):
    ``pieces`` and ``price`` of the pack, ``spent`` so far, ``avoided_cost`` (net of holding) and
    that ``per_money`` spent, ``risk_left`` (expected cost of running short, all kinds) and
    ``chance_of_no_shortage`` of any kind (kinds taken as independent). Packs that avoid less than
    ``least_avoided`` are not bought. A free pack comes first. Under a ``budget`` the packs are
    those that together avoid most, where that beats taking the next best that fits; prices are
    rounded up to a thousandth of the budget for that.

    Raises:
        UsageError: a budget below 0.
    """
    if budget is not None and not budget >= 0:
        raise UsageError(f"budget: {budget:g} cannot be spent; give an amount of 0 or more.")
    steps = _in_order(kinds, budget, least_avoided, [None] * len(kinds))
    if budget is None or budget <= 0:
        return steps
    most = _most_avoiding(kinds, budget, least_avoided)
    other = _in_order(kinds, budget, least_avoided, most)
    better = other["avoided_cost"].sum() > steps["avoided_cost"].sum() + 1e-9
    return other if better else steps


def _in_order(
    kinds: Sequence[Buyable],
    budget: float | None,
    least_avoided: float,
    most: Sequence[int | None],
) -> pd.DataFrame:
    """Pack by pack the best that fits, of each kind at most so many packs (None: no limit)."""
    bought = [0] * len(kinds)
    risk = sum(kind.risk(0) for kind in kinds)
    spent = 0.0
    rows: list[tuple[object, ...]] = [("", "", 0, 0.0, 0.0, 0.0, 0.0, risk, _safe(kinds, bought))]
    heap = [_offer(kind, i, 0) for i, kind in enumerate(kinds)]
    heapq.heapify(heap)
    while heap:
        negative, i, avoided = heapq.heappop(heap)
        kind = kinds[i]
        price = kind.pack_size * kind.unit_cost
        limit = most[i]
        enough = limit is not None and bought[i] >= limit * kind.pack_size
        dear = budget is not None and spent + price > budget + 1e-9
        if avoided < least_avoided or enough or dear:
            continue
        bought[i] += kind.pack_size
        spent += price
        risk -= avoided + kind.pack_size * kind.holding_cost
        rows.append(
            (*kind.part, kind.pack_size, price, spent, avoided, -negative, risk,
             _safe(kinds, bought))
        )  # fmt: skip
        heapq.heappush(heap, _offer(kind, i, bought[i]))
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _most_avoiding(
    kinds: Sequence[Buyable], budget: float, least_avoided: float
) -> list[int | None]:
    """How many packs of each kind together avoid most within the budget (None: it is free)."""
    cells = 1000
    best = np.zeros(cells + 1)  # most avoided with so many thousandths of the budget
    taken: list[NDArray[np.int64]] = []
    for kind in kinds:
        price = kind.pack_size * kind.unit_cost
        worth = [0.0]
        # Rounded up, so that the whole never costs more than the budget.
        cost = int(np.ceil(price / budget * cells - 1e-9))
        while price > 0 and len(worth) * cost <= cells:
            avoided = _offer(kind, 0, (len(worth) - 1) * kind.pack_size)[2]
            if avoided < least_avoided:
                break
            worth.append(worth[-1] + avoided)
        choices = np.full((len(worth), cells + 1), -np.inf)
        for packs, gain in enumerate(worth):
            spent = packs * cost
            choices[packs, spent:] = best[: cells + 1 - spent] + gain
        taken.append(choices.argmax(axis=0))
        best = choices.max(axis=0)
    left = cells
    found: list[int | None] = []
    for kind, packs_at in zip(reversed(kinds), reversed(taken), strict=True):
        price = kind.pack_size * kind.unit_cost
        packs = int(packs_at[left])
        left -= packs * int(np.ceil(price / budget * cells - 1e-9))
        found.append(packs if price > 0 else None)
    return found[::-1]


def _offer(kind: Buyable, number: int, bought: int) -> tuple[float, int, float]:
    kept = kind.pack_size * kind.holding_cost
    avoided = kind.risk(bought) - kind.risk(bought + kind.pack_size) - kept
    price = kind.pack_size * kind.unit_cost
    return (-avoided / price if price > 0 else -np.inf, number, avoided)


def _safe(kinds: Sequence[Buyable], bought: Sequence[int]) -> float:
    return float(
        np.prod([kind.no_shortage(more) for kind, more in zip(kinds, bought, strict=True)])
    )


def buy_first(
    records: Records,
    as_of: date,
    budget: float | None = None,
    *,
    models: Mapping[str, NeedModel] | None = None,
    table: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """What should the workshop buy first, from what is on the shelf and coming?

    As ``buying_order``, over delivery and review of every kind, so that without a budget the list
    ends where more spares no longer pay. ``table`` may be given where ``stock_table`` was already
    asked.
    """
    table = stock_table(records, as_of, models=models) if table is None else table
    holding = holding_share_per_day(records)
    kinds = [
        Buyable(
            part=PartType(row["part_kind"], row["variant"]),
            probabilities=np.asarray(row["chance_of_need"]),
            available=int(row["on_hand"] + row["arriving"]),
            unit_cost=float(row["unit_cost"]),
            shortage_cost=float(row["shortage_cost"]),
            pack_size=int(row["pack_size"]),
            holding_cost=holding * float(row["horizon_days"]) * float(row["unit_cost"]),
        )
        for row in table.to_dict("records")
    ]
    return buying_order(kinds, budget)
