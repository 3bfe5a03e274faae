"""The page Today in words: its answer, tasks and orders that are late, the month beside usual."""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

from tracker.language import N_, _, month_name, ngettext
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up, listed

if TYPE_CHECKING:  # the review's figures bring the models along; who works at a printer has none
    from tracker.review.key_figures import Compared, MonthGlance


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
        return _("{month}; no whole month of the log lies before it", month=month)
    return _(
        "{month}, beside the mean of {months} before",
        month=month,
        months=numbers.count(glance.months_compared, "month", "months"),
    )


def month_figures(glance: MonthGlance, currency: str) -> list[tuple[str, str, str]]:
    """(what, the month's figure, what is usual) of failures, hours stood still and money."""

    def told(name: str, figure: Compared, say: Any, unit: str = "") -> tuple[str, str, str]:
        usual = "" if math.isnan(figure.usual) else _("usually {usual}", usual=say(figure.usual))
        return name, say(figure.this), "; ".join(filter(None, (unit, usual)))

    return [
        told(_("Failures"), glance.failures, numbers.figure),
        told(
            _("Hours stood still"),
            glance.hours,
            lambda hours: f"{numbers.figure(hours)} h",
            _("working hours"),
        ),
        told(_("Cost"), glance.money, lambda sum_: numbers.about_money(sum_, currency)),
    ]
