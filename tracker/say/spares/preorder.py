"""The order date of a costly part in words: what to do by when, and why on that day."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.decisions.ordering.order_curve import WAITING_DAYS
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.phrases import day_span, first_up
from tracker.workshop.records import Records

WORTH_SAYING = 0.01
SURE_TO_COME = 0.9  # from here on nothing is said of an order that may never come


def verdict(row: Any) -> str:
    """What is to be done: ``"order now"``, ``"order by 4 Mar 2026"`` or ``"not yet"``.

    ``row`` of ``preorder``, fields as attributes.
    """
    if row.order_by is None:
        return _("not yet")
    return (
        _("order now")
        if row.order_by == row.as_of
        else _("order by {order_by}", order_by=numbers.day(row.order_by))
    )


def why(row: Any, currency: str) -> str:
    """Why on that day, in a dozen words; ``row`` of ``preorder``, money in ``currency``."""
    if not pd.isna(row.empty_since):
        return _(
            "{position} of {printer} stands empty and no spare is left for it.",
            position=row.position,
            printer=row.printer,
        )
    told = _(
        "{risk} before it is here: {now} if ordered now (within {soon}). If ordered {days} later "
        "(within {late}): {later}{cost}.",
        days=numbers.days(WAITING_DAYS),
        cost=_what_waiting_costs(row, currency),
        **_chances(row),
    )
    return f"{told} {before_arrival(row)}{_late(row)}".strip()


def _what_waiting_costs(row: Any, currency: str) -> str:
    """Behind the chance that goes with it; "" where money does not date the order."""
    if row.dated_by_risk or not row.later_costs_more > 0 or row.later_days != WAITING_DAYS:
        return ""
    return _(
        ", and {money} more on average", money=numbers.about_money(row.later_costs_more, currency)
    )


def _chances(row: Any) -> dict[str, str]:
    """What may happen before one ordered now, or later, is here, how likely, and the days until it
    usually is, counted from today. Each spare serves one need: what is there or comes before it
    serves the needs before that one.
    """
    before = row.spares + row.ordered_before
    return {
        "risk": _("Chance that more than {before} are needed", before=before)
        if before > 1
        else _("Chance that more than one is needed")
        if before
        else _("Chance of running out"),
        "now": numbers.chance(row.risk_if_ordered_now),
        "soon": numbers.days(row.lead_days),
        "later": numbers.chance(row.risk_if_waiting_30_days),
        "late": numbers.days(row.later_here_days),
    }


def reason(row: Any, currency: str) -> str:
    """Why on that day; ``row`` of ``preorder``, money in ``currency``."""
    spares = part_types.counted(row.spares, row, spare=True)
    have = _("{spares} on the shelf or on the way", spares=spares)
    have += (
        _(" and {ordered_before} to be ordered before", ordered_before=row.ordered_before)
        if row.ordered_before
        else ""
    )
    served = _(
        "{have}, for {fitted} in the printers{empty}.",
        have=first_up(have),
        fitted=row.fitted,
        empty=_and_empty(row),
    )
    delivery = _(
        "Delivery usually takes {lead_days}, nine in ten come within {lead_days_late}.",
        lead_days=numbers.days(row.lead_days),
        lead_days_late=numbers.days(row.lead_days_late),
    )
    if not pd.isna(row.empty_since):
        return _(
            "{place}, and none is left for it. {served} {late}{delivery}",
            place=part_types.stands_empty(row),
            served=served,
            late=_late(row),
            delivery=delivery,
        )
    return _(
        "{served} {risk} before one ordered now is here (within {soon}): {now}. If ordered "
        "{waiting_days} days later (within {late}): {later}{dated}. {before}{delivery}",
        served=served,
        waiting_days=WAITING_DAYS,
        **_chances(row),
        dated=_what_dates_it(row, currency),
        before=before_arrival(row) + _late(row),
        delivery=delivery,
    )


def _and_empty(row: Any) -> str:
    """The places that are served before all others; "" where none stands empty."""
    if not row.waiting:
        return ""
    places = numbers.count(row.waiting, "empty place", "empty places")
    return _(" and {places}, served first", places=places)


def _what_dates_it(row: Any, currency: str) -> str:
    """What speaks for that day, in money or by the risk limit."""
    if row.order_by is None:
        return ""
    if row.dated_by_risk:
        limit = numbers.chance(row.risk_limit)
        least = (
            ""
            if row.cheapest_on is None
            else _("; by money alone {cheapest_on}", cheapest_on=numbers.day(row.cheapest_on))
        )
        if row.risk_if_ordered_now > row.risk_limit:
            return _(
                ". That is above your risk limit of {limit} already{least}",
                limit=limit,
                least=least,
            )
        return _(
            ". From then on it is above your risk limit of {limit}{least}", limit=limit, least=least
        )
    later = numbers.about_money(row.later_costs_more, currency)
    if row.order_by == row.as_of:
        now = _(", which costs {later} more on average (standing still)", later=later)
        return now + _costs_alike(row, currency)
    early = numbers.about_money(row.now_costs_more, currency)
    sentence = _(
        ". That day costs least: ordering today costs {early} more (holding it longer)", early=early
    )
    if row.later_days > 0:
        sentence += _(
            ", {later_days} after it {later} more (standing still)",
            later_days=numbers.days(row.later_days),
            later=later,
        )
    return sentence + _costs_alike(row, currency)


def _costs_alike(row: Any, currency: str) -> str:
    """On which days about that one it costs hardly more; "" where on no other."""
    first, last = row.costs_alike_from, row.costs_alike_until
    if first == last:
        return ""
    return _(
        "; {span} it costs at most {money} more",
        span=day_span(first, last),
        money=numbers.about_money(row.costs_alike_within, currency),
    )


def before_arrival(row: Any) -> str:
    """What may happen before the last piece on its way is here; "" where none is, or hardly.

    ``row`` of ``stock_table`` or ``preorder``.
    """
    if not row.risk_before_arrival >= WORTH_SAYING:
        return ""
    if row.waiting and row.risk_before_arrival >= 1:
        return _(
            "One is needed now, and missing until what is on its way is here{when}; only "
            "an express delivery shortens that. ",
            when=_when(row),
        )
    return _(
        "Before what is on its way is here{when} there is a {risk} chance "
        "that one is needed and missing; only an express delivery shortens that. ",
        when=_when(row),
        risk=numbers.chance(row.risk_before_arrival),
    )


def may_never_come(comes: float, low: float, high: float) -> str:
    """How likely an order that is late still comes; "" where that is as good as sure.

    >>> may_never_come(0.4, 0.12, 0.9), may_never_come(0.93, 0.7, 1.0)
    (' (chance of still coming: 40 %; 8 in 10: 12 to 90 %)', '')
    >>> may_never_come(0.002, 0.0, 0.004)
    ' (chance of still coming: under 1 %)'
    """
    if not comes < SURE_TO_COME:
        return ""
    if high < 0.01:
        return _(" (chance of still coming: {comes})", comes=numbers.chance(comes))
    return _(
        " (chance of still coming: {comes}; 8 in 10: {low} to {high})",
        comes=numbers.chance(comes),
        low=f"{100 * low:.0f}",
        high=numbers.percent(high),
    )


def late_comes(row: Any) -> str:
    """The same of the late order of a type that is least likely to; ``row`` of ``stock_table`` or
    ``preorder``.
    """
    return may_never_come(row.late_comes, row.late_comes_low, row.late_comes_high)


def _late(row: Any) -> str:
    told = late_comes(row)
    return told and _(
        "What is late may never come{chance} and counts as far as that: ask the supplier, or order "
        "again. ",
        chance=told,
    )


def _when(row: Any) -> str:
    coming_on = getattr(row, "coming_on", None)
    return _(" (about {coming_on})", coming_on=numbers.day(coming_on)) if coming_on else ""


def express(records: Records) -> str:
    """What an express delivery takes and costs, as the workshop set it; "" where it did not."""
    if not (records.setting("courier_days").strip() and records.setting("courier_cost").strip()):
        return ""
    days, cost = records.number("courier_days"), records.number("courier_cost")
    return _(
        "Express delivery: here within {days} for {cost} more (Records, Settings).",
        days=numbers.days(days),
        cost=numbers.money(cost, records.setting("currency")),
    )
