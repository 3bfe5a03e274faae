"""The answers of the page Spares in words: what to order, what runs short, what money buys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.say import numbers, part_types
from tracker.say.phrases import listed
from tracker.say.spares.stock import count_first, missing_now, needed_now
from tracker.workshop.variants import PartType, types_in

_NAMED = 3


def what_to_order(
    lines: pd.DataFrame, table: pd.DataFrame, dated: pd.DataFrame, currency: str
) -> str:
    """What to order now and for how much; else what comes next.

    ``lines`` of ``order_proposal``, ``table`` of ``stock_table``, ``dated`` of ``preorder``.
    """
    if len(lines):
        what = [part_types.counted(row.pieces, row) for row in lines.head(_NAMED).itertuples()]
        if len(lines) > _NAMED:
            what.append(f"and {numbers.count(len(lines) - _NAMED, 'more kind')}")
        between = "; " if any(", " in one for one in what) else ", "
        money = numbers.money(lines["cost"].sum(), currency)
        sentence = f"Order now: {between.join(what)} – about {money}"
        if count_first(table) and table["counted_on"].isna().all():
            return f"Count the shelf first. {sentence}, as long as it is taken as empty."
        return f"{sentence}."
    coming = dated[[day is not None for day in dated["order_by"]]] if len(dated) else dated
    if len(coming):
        first = coming.loc[coming["order_by"].map(date.toordinal).idxmin()]
        return (
            f"Nothing to order today; next: {part_types.along_with(first, 'for')} "
            f"{first['printer']} by {numbers.day(first['order_by'])}."
        )
    if table.empty:
        return "Nothing to order today."
    worst = table.loc[table["chance_of_shortage_now"].idxmax()]
    if now := missing_now(worst):
        return f"Nothing to order today; {part_types.within(worst)}: {needed_now(now)}."
    return (
        f"Nothing to order today; the likeliest to run short is {part_types.within(worst)}, "
        f"{numbers.chance(worst['chance_of_shortage_now'])} within "
        f"{numbers.days(worst['horizon_days'])}."
    )


def running_short(table: pd.DataFrame, service: float, by_date: Sequence[PartType]) -> str:
    """How many types may run short, and which are ordered by date instead."""
    short = table[table["chance_of_shortage_now"] > 1 - service]
    limit = numbers.chance(1 - service)
    if short.empty:
        sentence = (
            f"No part is likelier than {limit} to run short before the next order can be here."
        )
    else:
        first = short.loc[short["chance_of_shortage_now"].idxmax()]
        sentence = (
            f"{len(short)} of {len(table)} part types are likelier than {limit} to run short "
            f"before the next order can be here; first {part_types.within(first)}, "
            f"{numbers.chance(first['chance_of_shortage_now'])}."
        )
    if by_date:
        named = listed([part_types.of(part) for part in by_date])
        sentence += f" Ordered by date instead of by this chance (see Order dates): {named}."
    return sentence


def how_long_it_lasts(
    row: Any, chances: Array, stock: int, service: float, *, instead_of: int | None = None
) -> str:
    """How long a stock lasts, what there is, what will be needed; ``row`` of ``stock_table``.

    ``chances`` [k] = chance that exactly k are needed; ``instead_of``: the stock as things are,
    where something else was asked.
    """
    available = int(row["on_hand"] + row["arriving"])
    lasts = "lasts" if stock == 1 else "last"
    instead = "" if instead_of is None else f" ({instead_of} as things are)"
    now = missing_now(row)
    short = (
        needed_now(now)
        if now
        else f"{numbers.chance(row['chance_of_shortage_now'])} chance of running short"
    )
    low, high = (int(np.searchsorted(np.cumsum(chances), share)) for share in (0.1, 0.9))
    likely = f"{low}" if low == high else f"{low} to {high}"
    there = available or "none"
    return (
        f"**{stock} in stock**{instead} {lasts} for {numbers.days(row['horizon_days'])} (the usual "
        "delivery and the days until the next look at the shelf) with at least "
        f"{100 * service:.0f} % chance. With {there} on the shelf or on the way by then: {short}. "
        f"Likely needed: {likely} (80 % range), on average "
        f"{numbers.figure(row['expected_need'])}."
    )


def what_money_buys(steps: pd.DataFrame, pieces: Mapping[PartType, int], currency: str) -> str:
    """What a sum is best spent on, and what that does to the risk; ``steps`` of ``buy_first``."""
    before, after = steps.iloc[0], steps.iloc[-1]
    left = numbers.about_money(before["risk_left"], currency)
    if not pieces:
        return (
            "Nothing on the list is to be had for that sum; expected cost of running short: "
            f"{left} until the next order could be here."
        )
    named = [f"{number} × {part_types.within(part)}" for part, number in pieces.items()]
    spent = numbers.money(after["spent"], currency)
    then = numbers.about_money(after["risk_left"], currency)
    none_short = [numbers.chance(row["chance_of_no_shortage"]) for row in (before, after)]
    return (
        f"Buy first: {', '.join(named)}, for {spent}. The expected cost of running short falls "
        f"from {left} to {then}; the chance that no kind runs short rises from {none_short[0]} to "
        f"{none_short[1]}."
    )


def whole_list(steps: pd.DataFrame, currency: str) -> str:
    """What the whole list costs and which risk stays after it; ``steps`` of ``buy_first``."""
    last = steps.iloc[-1]
    cost = numbers.money(last["spent"], currency)
    left = numbers.about_money(last["risk_left"], currency)
    return f"The first packs avoid most. The whole list costs {cost}; then {left} of risk stays."


def left_of_the_list(lines: pd.DataFrame, pieces: Mapping[PartType, int]) -> str:
    """What of today's order list is bought for the sum, and what waits."""
    wanted = dict(zip(types_in(lines), lines["pieces"], strict=True))
    waits = {part: n - pieces.get(part, 0) for part, n in wanted.items()}
    left = [f"{n} × {part_types.within(part)}" for part, n in waits.items() if n > 0]
    if not left:
        return "That is the whole list at the top."
    return (
        f"Of the list at the top {', '.join(left)} would wait: for this sum the others avoid more "
        "until the next order."
    )
