"""What is worth adding to an order that goes out today anyway, because a second shipment is saved?

This module says when each part would be ordered otherwise, what having it early costs and who
sells it; ``shared_shipment`` weighs which of them to add.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.ordering.coming_orders import chances_of_order, days_until_ordered
from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.ordering.order_proposal import types_by_date
from tracker.decisions.ordering.purchases import suppliers
from tracker.decisions.ordering.shared_shipment import MOST_WEIGHED, Waiting, best_additions
from tracker.decisions.ordering.stretched_need import StretchedNeed
from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, by_type, of_types, types_in

SOON_DAYS = 90.0  # what is not likely due by then is not brought forward
AHEAD_DAYS = 365.0  # how far later shipments are looked at
SHORTEST_REVIEW = 7.0  # days between two looks at the shelf, at least
LEAST_SHARE = 0.1  # of a shipment: a smaller saving is not worth a sentence

COLUMNS = (
    "supplier",
    "part_kind",
    "variant",
    "printer",
    "position",
    "pieces",
    "unit_cost",
    "cost",
    "due_on",
    "earlier_cost",
    "saving",
    "saving_together",
)


def order_together(
    records: Records,
    as_of: date,
    table: pd.DataFrame,
    heads: pd.DataFrame,
    lines: pd.DataFrame,
    *,
    shipping: float | None = None,
    sellers: Mapping[PartType, tuple[str, ...]] | None = None,
) -> pd.DataFrame:
    """What should be added to today's orders, and how much does that save?

    Args:
        table: from ``stock_table``.
        heads: from ``preorder``.
        lines: today's orders, from ``order_proposal``.
        shipping: cost of one shipment, currency units; the setting ``shipping_per_order`` when
            None.
        sellers: from ``suppliers`` where already there.

    Returns:
        One row per addition, COLUMNS: ``supplier`` whose order it joins ("" where no supplier is
        noted), the part (``printer`` and ``position`` for a dated head), ``pieces``,
        ``unit_cost`` and ``cost``; ``due_on``: when it would be ordered otherwise (the likeliest
        half of cases by then); ``earlier_cost`` of having it early; ``saving`` by this row given
        the others, ``saving_together`` of all rows of that supplier.

    A part joins an order only at a supplier it was bought from before. Every order to come counts
    as a shipment others can share, that of a kind ordered today as well. Need is taken to go on at
    the rate of the stock table's horizon, its uncertainty growing with time.

    Raises:
        UsageError: a cost of shipping below 0.
    """
    shipping = records.number("shipping_per_order") if shipping is None else shipping
    if not 0 <= shipping < np.inf:
        raise UsageError(
            _(
                "shipping_per_order: {shipping} is no cost; give an amount from 0.",
                shipping=f"{shipping:g}",
            )
        )
    found: list[dict[str, object]] = []
    if shipping > 0 and len(lines):
        sellers = suppliers(records.known_at(as_of)) if sellers is None else sellers
        look = _Look(records, as_of, shipping)
        by_date = types_by_date(table, heads)
        by_stock = table[~of_types(table, by_date)]
        candidates = look.small_parts(by_stock)
        candidates += look.dated(heads[of_types(heads, by_date)])
        ordered = look.after_ordering(by_stock, lines)
        taken: set[int] = set()
        for seller in dict.fromkeys(_first(sellers, part) for part in types_in(lines)):
            mine = [
                (i, part)
                for i, part in enumerate(candidates)
                if i not in taken and _sells(sellers, seller, part.part)
            ]
            soon = sorted(
                (pair for pair in mine if pair[1].soon), key=lambda pair: pair[1].due_days
            )[:MOST_WEIGHED]
            weighed = {i for i, _ in soon}
            others = [part.waiting.ordered for i, part in mine if i not in weighed]
            others += [chances for part, chances in ordered if _sells(sellers, seller, part)]
            best = best_additions([part.waiting for _, part in soon], shipping, others)
            if best.saving < LEAST_SHARE * shipping:
                continue
            for place, saved in zip(best.chosen, best.each, strict=True):
                taken.add(soon[place][0])
                found.append(look.row(soon[place][1], seller, saved, best.saving))
    return pd.DataFrame(found, columns=list(COLUMNS))


def _first(sellers: Mapping[PartType, tuple[str, ...]], part: PartType) -> str:
    known = sellers.get(part, ())
    return known[0] if known else ""


def _sells(sellers: Mapping[PartType, tuple[str, ...]], seller: str, part: PartType) -> bool:
    known = sellers.get(part, ())
    return seller in known if seller else not known


@dataclass(frozen=True, eq=False)
class _Part:
    """One possible addition. ``due_days``: by then it is as likely as not due (infinite: later
    than looked at)."""

    part: PartType
    printer: str
    position: str
    pieces: int
    unit_cost: float
    due_days: float
    waiting: Waiting

    @property
    def soon(self) -> bool:
        return self.due_days <= SOON_DAYS


@dataclass(frozen=True, eq=False)
class _Look:
    """What is looked at: the day, the reviews to come, the cost of a shipment."""

    records: Records
    as_of: date
    shipping: float

    @property
    def review_days(self) -> float:
        return max(SHORTEST_REVIEW, self.records.number("review_days"))

    @property
    def reviews(self) -> Array:
        """Days from now of the reviews to come."""
        many = int(np.ceil(AHEAD_DAYS / self.review_days))
        return np.arange(1, many + 1, dtype=np.float64) * self.review_days

    def small_parts(self, by_stock: pd.DataFrame) -> list[_Part]:
        """Kinds ordered by stock that need no order today."""
        rows = by_stock[by_stock["order_now"] == 0]
        return [
            part for row in rows.to_dict("records") if (part := self._small_part(row)) is not None
        ]

    def _small_part(self, row: dict[str, object]) -> _Part | None:
        need = _need(row)
        if need is None:
            return None
        there = _number(row, "available")
        slack = _slack(there - _number(row, "stock_to_keep"))
        pack = max(1, int(_number(row, "pack_size")))
        packs = max(1, round(need.daily * self.review_days / pack))
        pieces = pack * packs
        price = _number(row, "unit_cost")
        # Each pack comes early by the time until it would be ordered otherwise.
        slacks = slack + pack * np.arange(packs, dtype=np.int64)
        early = float(days_until_ordered(need, slacks, self.reviews).mean())
        part = PartType(str(row["part_kind"]), str(row["variant"]))
        keeps = self.records.part_facts(*part).shelf_life_days
        held = holding_share_per_day(self.records) * price * pieces * early
        # The k-th piece grows too old when fewer than so many are needed in time; those beyond
        # every need do so either way.
        needed = len(need.chances(keeps + early))
        k = np.arange(there + 1, min(there + pieces, needed) + 1).astype(int)
        lost = price * float((need.below(k, keeps) - need.below(k, keeps + early)).sum())
        is_due = [need.below(np.array([slack + 1]), day)[0] <= 0.5 for day in self.reviews]
        by = np.flatnonzero(is_due)
        ordered, still = (
            chances_of_order(need, start, pack, self.reviews) for start in (slack, slack + pieces)
        )
        return _Part(
            part=part,
            printer="",
            position="",
            pieces=pieces,
            unit_cost=price,
            due_days=float(self.reviews[by[0]]) if by.size else np.inf,
            waiting=Waiting(ordered, held + max(0.0, lost), still),
        )

    def dated(self, heads: pd.DataFrame) -> list[_Part]:
        """Costly parts whose order-by date is still to come, in whole packs, each at the cost its
        curve tells.
        """
        found = []
        for part, own in by_type(heads).items():
            pack = max(1, self.records.part_facts(*part).pack_size)
            rows = list(heads[own].itertuples())
            for box in (rows[first : first + pack] for first in range(0, len(rows), pack)):
                row = box[0]
                days = 0 if row.order_by is None else (row.order_by - self.as_of).days
                if not 0 < days <= self.reviews[-1]:
                    continue
                due = np.zeros(len(self.reviews))
                due[int(np.ceil(days / self.review_days)) - 1] = 1.0
                # Of a pack that holds more than is dated the others only lie there longer.
                price = float(row.unit_cost)
                held = holding_share_per_day(self.records) * price * days * (pack - len(box))
                curves = [dict(each.curve) for each in box]
                earlier = held + sum(curve[0] - curve[days] for curve in curves)
                found.append(
                    _Part(part, str(row.printer), str(row.position), pack, price, float(days),
                          Waiting(due, max(0.0, float(earlier))))
                )  # fmt: skip
        return found

    def after_ordering(
        self, by_stock: pd.DataFrame, lines: pd.DataFrame
    ) -> list[tuple[PartType, Array]]:
        """How likely each type ordered today by stock is ordered at the reviews to come."""
        pieces = dict(zip(types_in(lines), lines["pieces"], strict=True))
        found = []
        for part, row in zip(types_in(by_stock), by_stock.to_dict("records"), strict=True):
            need = _need(row)
            if part in pieces and need is not None:
                there = _number(row, "available")
                above = there + pieces[part] - _number(row, "stock_to_keep")
                pack = max(1, int(_number(row, "pack_size")))
                chances = chances_of_order(need, _slack(above), pack, self.reviews)
                found.append((part, chances))
        return found

    def row(self, part: _Part, seller: str, saved: float, together: float) -> dict[str, object]:
        due_on = self.as_of + timedelta(days=round(part.due_days))
        return {
            "supplier": seller,
            "part_kind": part.part.part_kind,
            "variant": part.part.variant,
            "printer": part.printer,
            "position": part.position,
            "pieces": part.pieces,
            "unit_cost": part.unit_cost,
            "cost": part.pieces * part.unit_cost,
            "due_on": due_on,
            "earlier_cost": part.waiting.earlier_cost,
            "saving": saved,
            "saving_together": together,
        }


def _need(row: dict[str, object]) -> StretchedNeed | None:
    """From a row of the stock table; None where nothing is ever needed."""
    horizon = _number(row, "horizon_days")
    law = np.asarray(row["chance_of_need"], dtype=np.float64)
    if horizon <= 0 or float(law @ np.arange(len(law))) <= _number(row, "at_once"):
        return None
    return StretchedNeed.of(law, horizon, at_once=int(_number(row, "at_once")))


def _slack(pieces: float) -> int:
    """Whole pieces above the level."""
    return int(max(0.0, pieces))


def _number(row: dict[str, object], name: str) -> float:
    return float(row[name])  # type: ignore[arg-type]
