"""What to order, a line each: how many of what, by when, for how much and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.phrases import first_down, first_up, listed
from tracker.say.spares import stock
from tracker.say.spares.orders import why_part, why_stocked
from tracker.workshop.variants import PartType, types_in

_NAMED_PRINTERS = 3
SOON_DAYS = 30  # an order date within so many days is told beside today's


@dataclass(frozen=True)
class OrderLine:
    """One line of what to order: which type, how many, by when and why.

    ``on`` is the day by which to order, today's where it is due. ``there``: of a type ordered by
    date, what lies on the shelf and comes, and whose parts call for it; "" where ``reason`` tells.
    """

    part: PartType
    pieces: int
    unit_cost: float
    on: date
    is_due: bool
    reason: str
    there: str = ""

    @property
    def part_kind(self) -> str:
        """The kind of the type."""
        return self.part.part_kind

    @property
    def variant(self) -> str:
        """The variant of the type."""
        return self.part.variant


def order_lines(
    lines: pd.DataFrame,
    table: pd.DataFrame,
    dated: pd.DataFrame,
    as_of: date,
    currency: str,
    *,
    within: int = SOON_DAYS,
) -> list[OrderLine]:
    """What to order today, the most at stake first, then what has its date within so many days; of
    several pieces with a date each, why the most urgent one is ordered.

    ``lines`` of ``order_proposal``, made from ``table`` of ``stock_table`` and ``dated`` of
    ``preorder``.
    """
    stocked = dict(zip(types_in(table), table.itertuples(), strict=True))
    found = []
    for part, line in zip(types_in(lines), lines.itertuples(), strict=True):
        there = ""
        if line.by_date:
            rows = dated.loc[list(line.due)]
            why = why_part(next(rows.itertuples()), currency)
            if len(rows) > 1:
                why = _("The most urgent one: {why}", why=first_down(why))
            there = _there_for(stocked[part], rows["printer"])
        else:
            why = why_stocked(stocked[part])
        found.append(
            OrderLine(part, int(line.pieces), float(line.unit_cost), as_of, True, why, there)
        )
    due = {line.part for line in found}
    ahead = [
        OrderLine(
            part, 1, float(row.unit_cost), row.order_by, False, why_part(row, currency),
            _there_for(stocked[part], [row.printer]),
        )
        for part, row in zip(types_in(dated), dated.itertuples(), strict=True)
        if part not in due
        and row.order_by is not None
        and 0 < (row.order_by - as_of).days <= within
    ]  # fmt: skip
    return found + sorted(ahead, key=lambda line: line.on)


def _there_for(row: Any, printers: Iterable[str]) -> str:
    """``"1 on the shelf, 1 on the way; for Left and Right."``, ``row`` of ``stock_table``."""
    names = list(dict.fromkeys(printers))
    named = names[:_NAMED_PRINTERS]
    if more := len(names) - len(named):
        named.append(numbers.count(more, "more printer", "more printers"))
    return _("{there}; for {printers}.", there=first_up(stock.there(row)), printers=listed(named))


def order_name(line: OrderLine) -> str:
    """How many of what: ``"2 × printhead (six-channel head)"``."""
    return f"{line.pieces} × {part_types.within(line)}"


def order_terms(line: OrderLine, currency: str) -> str:
    """By when and for how much."""
    cost = numbers.money(line.pieces * line.unit_cost, currency)
    if line.is_due:
        return _("today, about {cost}", cost=cost)
    return _("by {on}, about {cost}", on=numbers.day(line.on), cost=cost)
