"""Suppliers who send nothing for a while, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from tracker.decisions.ordering.shut_ahead import ShutAhead
from tracker.language import _
from tracker.say import numbers
from tracker.say.part_types import within
from tracker.say.phrases import day_span, listed
from tracker.workshop.variants import PartType

_TOLD = 3  # types of a supplier


def shut_sentences(found: Sequence[ShutAhead], as_of: date) -> Iterator[str]:
    """One for each supplier and stretch: when, and what to order before."""
    for one in found:
        if one.began_on <= as_of:
            yield _(
                "{supplier} sends nothing until {day}; the delivery times here count that in.",
                supplier=one.supplier,
                day=numbers.day(one.ended_on),
            )
            continue
        said = _(
            "{supplier} sends nothing {span}; the delivery times here count that in.",
            supplier=one.supplier,
            span=day_span(one.began_on, one.ended_on),
        )
        by_day: dict[date, list[PartType]] = {}
        for part, day in one.order_by.items():
            by_day.setdefault(day, []).append(part)
        orders = [
            _(
                "{parts} by {day}",
                parts=listed([within(part) for part in parts]),
                day=numbers.day(day),
            )
            for day, parts in list(by_day.items())[:_TOLD]
        ]
        if orders:
            said += " " + _("To have it before, order {orders}.", orders="; ".join(orders))
        yield said
