"""The page Today in words: its answer, why an order is worth its line, the month beside usual."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from tracker.language import N_, _, month_name, ngettext
from tracker.review.key_figures import Compared, MonthGlance
from tracker.say import numbers, part_types
from tracker.say.board import state_word
from tracker.say.phrases import first_up, listed
from tracker.say.spares import preorder, stock
from tracker.say.spares.orders import why_dated
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


def answer(day: date, standing: int, orders: int | None, tasks: int) -> str:
    """What the day asks for; ``orders`` None where nobody asks for them.

    >>> answer(date(2026, 10, 31), 0, 3, 1)
    '31 Oct 2026: 3 orders to place, 1 task due.'
    >>> answer(date(2026, 10, 31), 1, 0, 0)
    '31 Oct 2026: 1 printer stands still, no orders to place, no tasks due.'
    >>> answer(date(2026, 10, 31), 2, None, 4)
    '31 Oct 2026: 2 printers stand still, 4 tasks due.'
    """
    asked = []
    if standing:
        asked.append(
            ngettext(
                "{count} printer stands still",
                "{count} printers stand still",
                standing,
                count=numbers.decimal(standing),
            )
        )
    if orders is not None:
        asked.append(_("{orders} to place", orders=numbers.count(orders, "order", "orders")))
    asked.append(_("{tasks} due", tasks=numbers.count(tasks, "task", "tasks")))
    return f"{numbers.day(day)}: {', '.join(asked)}."


def order_lines(
    lines: pd.DataFrame,
    table: pd.DataFrame,
    dated: pd.DataFrame,
    as_of: date,
    currency: str,
    *,
    within: int = SOON_DAYS,
) -> list[OrderLine]:
    """What to order today, the dearest first, then what has its date within so many days.

    ``lines`` of ``order_proposal``, made from ``table`` of ``stock_table`` and ``dated`` of
    ``preorder``.
    """
    stocked = dict(zip(types_in(table), table.itertuples(), strict=True))
    found = []
    for part, line in zip(types_in(lines), lines.itertuples(), strict=True):
        there = ""
        if line.by_date:
            rows = dated.loc[list(line.due)]
            why = why_dated(rows, stocked[part], currency)
            there = _there_for(stocked[part], rows["printer"])
        else:
            why = stock.why(stocked[part])
        found.append(
            OrderLine(part, int(line.pieces), float(line.unit_cost), as_of, True, why, there)
        )
    due = {line.part for line in found}
    ahead = [
        OrderLine(
            part, 1, float(row.unit_cost), row.order_by, False, preorder.why(row, currency),
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


def tasks_due(due: pd.DataFrame, site: str) -> str:
    """One line on the tasks due at a site ("" for a workshop with one); ``due`` of ``due_list``."""
    printers = due["printer"].nunique()
    at_site = f"{site}: " if site else ""
    late = due["days_late"].max()
    text = (
        N_("{count} due on {printers}; the longest overdue by {late}.")
        if late >= 1
        else N_("{count} due on {printers}.")
    )
    return at_site + _(
        text,
        count=numbers.count(len(due), "task", "tasks"),
        printers=numbers.count(printers, "printer", "printers"),
        late=numbers.days(late),
    )


def late_orders(waiting: pd.DataFrame) -> str:
    """Which orders should have come, in one line; "" where none should.

    ``waiting`` of ``open_orders``.
    """
    late = waiting[waiting["days_late"] > 0]
    if late.empty:
        return ""
    named = [f"{row.quantity} × {part_types.within(row)}" for row in late.head(2).itertuples()]
    if len(late) > 2:
        named.append(numbers.count(len(late) - 2, "more order", "more orders"))
    latest = numbers.days(late["days_late"].max())
    return _(
        "Should be here by now: {named}, up to {latest} late.", named=listed(named), latest=latest
    )


def month_heading(glance: MonthGlance) -> str:
    """Which month, and what it is compared with."""
    month = first_up(month_name(glance.month))
    if not glance.whole:
        month = _("{month} so far", month=month)
    if not glance.months_compared:
        return _("{month}, the first month of the log", month=month)
    return _(
        "{month}, beside the mean of {months} before",
        month=month,
        months=numbers.count(glance.months_compared, "month", "months"),
    )


def month_figures(glance: MonthGlance, currency: str) -> list[tuple[str, str, str]]:
    """(what, the month's figure, what is usual) of failures, hours stood still and money."""

    def told(name: str, figure: Compared, say: Any) -> tuple[str, str, str]:
        usual = "" if math.isnan(figure.usual) else _("usually {usual}", usual=say(figure.usual))
        return name, say(figure.this), usual

    return [
        told(_("Failures"), glance.failures, numbers.figure),
        told(
            _("Hours stood still"),
            glance.hours,
            lambda hours: f"{numbers.figure(hours)} h",
        ),
        told(_("Cost"), glance.money, lambda sum_: numbers.about_money(sum_, currency)),
    ]


_STATE_SHAPES = {"prints": "●", "stands": "■", "closed": "○"}


def printer_tile(printer: str, state: str, tasks: int) -> str:
    """A printer's tile: its name, how it stands in shape and word, how much is due.

    >>> printer_tile("Left", "stands", 2).splitlines()
    ['**Left**  ', '■ stands still  ', '2 tasks due']
    """
    due = _("{tasks} due", tasks=numbers.count(tasks, "task", "tasks"))
    return f"**{printer}**  \n{_STATE_SHAPES[state]} {state_word(state)}  \n{due}"
