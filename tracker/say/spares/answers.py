"""The answers of the page Spares in words: what to order, what runs short, what money buys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.say import numbers, part_types
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
    short = int((table["chance_of_shortage_now"] > 1 - service).sum())
    sentence = (
        f"{numbers.count(short, 'type')} of part of {len(table)} "
        f"{'has' if short == 1 else 'have'} more than {numbers.chance(1 - service)} chance of "
        "running short before the next order could be here."
    )
    if by_date:
        sentence += (
            f" {' and '.join(part_types.of(part) for part in by_date)}: not ordered by this chance "
            "but by date, see below under When to order the costly ones."
        )
    return sentence[0].upper() + sentence[1:]


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
        else f"chance of running short {numbers.chance(row['chance_of_shortage_now'])}"
    )
    low, high = (int(np.searchsorted(np.cumsum(chances), share)) for share in (0.1, 0.9))
    likely = f"{low}" if low == high else f"{low} to {high} (80 %)"
    return (
        f"**{stock} in stock**{instead} {lasts} with at least {100 * service:.0f} % chance "
        f"for {numbers.days(row['horizon_days'])}, the usual delivery and the days until the next "
        f"look at the shelf. Now {available or 'none'} (on the shelf, or arriving by then): "
        f"{short}. "
        f"Expected need: {numbers.figure(row['expected_need'])}; likely range {likely}."
    )


def what_money_buys(steps: pd.DataFrame, pieces: Mapping[PartType, int], currency: str) -> str:
    """What a sum is best spent on, and what that does to the risk; ``steps`` of ``buy_first``."""
    before, after = steps.iloc[0], steps.iloc[-1]
    left = numbers.money(before["risk_left"], currency)
    if not pieces:
        return (
            "Nothing on the list is to be had for that sum; expected cost of running short: "
            f"{left} until the next order could be here."
        )
    named = [f"{number} × {part_types.within(part)}" for part, number in pieces.items()]
    return (
        f"**Buy first: {', '.join(named)}** for {numbers.money(after['spent'], currency)}. The "
        f"expected cost of running short falls from {left} to "
        f"{numbers.money(after['risk_left'], currency)}; the chance that no kind runs short rises "
        f"from {numbers.chance(before['chance_of_no_shortage'])} to "
        f"{numbers.chance(after['chance_of_no_shortage'])}."
    )


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
