"""The order date of a costly part in words: what to do by when, and why on that day."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.decisions.ordering.order_curve import WAITING_DAYS
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.workshop.records import Records

WORTH_SAYING = 0.01


def verdict(row: Any) -> str:
    """What is to be done: ``"order now"``, ``"order by 4 Mar 2026"`` or ``"not yet"``.

    ``row`` of ``preorder``, fields as attributes.
    """
    if row.order_by is None:
        return "not yet"
    return "order now" if row.order_by == row.as_of else f"order by {numbers.day(row.order_by)}"


def why(row: Any, currency: str) -> str:
    """Why on that day, in a dozen words; ``row`` of ``preorder``, money in ``currency``."""
    if not pd.isna(row.empty_since):
        return f"{row.position} of {row.printer} stands empty and no spare is left for it."
    now, later = (
        numbers.chance(risk) for risk in (row.risk_if_ordered_now, row.risk_if_waiting_30_days)
    )
    risk = f"{later} chance of being too late, now {now}"
    if row.dated_by_risk or not row.later_costs_more > 0 or row.later_days != WAITING_DAYS:
        return f"After waiting {WAITING_DAYS} days: {risk}."
    money = numbers.about_money(row.later_costs_more, currency)
    return f"Waiting {numbers.days(row.later_days)} costs {money}: {risk}."


def reason(row: Any, currency: str) -> str:
    """Why on that day; ``row`` of ``preorder``, money in ``currency``."""
    after = "," if row.variant else ""
    have = f"{part_types.counted(row.spares, row, 'spare ')}{after} there or on the way"
    have += f" and {row.ordered_before} to be ordered before" if row.ordered_before else ""
    served = f"{first_up(have)}, for {row.fitted} in the printers{_and_empty(row)}."
    delivery = (
        f"Delivery usually takes {numbers.days(row.lead_days)}, nine in ten come "
        f"within {numbers.days(row.lead_days_late)}."
    )
    if not pd.isna(row.empty_since):
        return f"{part_types.stands_empty(row)}, and none is left for it. {served} {delivery}"
    return (
        f"{served} Chance of running out "
        f"before one ordered now is here: {numbers.chance(row.risk_if_ordered_now)}; "
        f"if ordered {WAITING_DAYS} days later: {numbers.chance(row.risk_if_waiting_30_days)}"
        f"{_what_dates_it(row, currency)}. {before_arrival(row)}{delivery}"
    )


def _and_empty(row: Any) -> str:
    """The places that are served before all others; "" where none stands empty."""
    if not row.waiting:
        return ""
    return f" and {numbers.count(row.waiting, 'empty place')}, served first"


def _what_dates_it(row: Any, currency: str) -> str:
    """What speaks for that day, in money or by the risk limit."""
    if row.order_by is None:
        return ""
    if row.dated_by_risk:
        limit = numbers.chance(row.risk_limit)
        least = (
            "" if row.cheapest_on is None else f"; by money alone {numbers.day(row.cheapest_on)}"
        )
        if row.risk_if_ordered_now > row.risk_limit:
            return f". That is above your risk limit of {limit} already{least}"
        return f". From then on it is above your risk limit of {limit}{least}"
    later = numbers.about_money(row.later_costs_more, currency)
    if row.order_by == row.as_of:
        return f", which costs {later} more on average (standing still)"
    early = numbers.about_money(row.now_costs_more, currency)
    sentence = f". That day costs least: ordering today costs {early} more (holding it longer)"
    if row.later_days > 0:
        sentence += f", {numbers.days(row.later_days)} after it {later} more (standing still)"
    return sentence


def before_arrival(row: Any) -> str:
    """What may happen before the last piece on its way is here; "" where none is, or hardly.

    ``row`` of ``stock_table`` or ``preorder``.
    """
    if not row.risk_before_arrival >= WORTH_SAYING:
        return ""
    if row.waiting and row.risk_before_arrival >= 1:
        return (
            f"One is needed now, and missing until what is on its way is here{_when(row)}; only an "
            "express delivery shortens that. "
        )
    return (
        f"Before what is on its way is here{_when(row)} there is a "
        f"{numbers.chance(row.risk_before_arrival)} chance that one is needed and missing; "
        "only an express delivery shortens that. "
    )


def _when(row: Any) -> str:
    coming_on = getattr(row, "coming_on", None)
    return f" (about {numbers.day(coming_on)})" if coming_on else ""


def express(records: Records) -> str:
    """What an express delivery takes and costs, as the workshop set it; "" where it did not."""
    if not (records.setting("courier_days").strip() and records.setting("courier_cost").strip()):
        return ""
    days, cost = records.number("courier_days"), records.number("courier_cost")
    return (
        f"Express delivery: here within {numbers.days(days)} for "
        f"{numbers.money(cost, records.setting('currency'))} more (Records, Settings)."
    )
