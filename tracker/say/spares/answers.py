"""The answers of the page Spares in words: what to order, what runs short, what money buys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.ordering.order_proposal import types_by_date
from tracker.language import N_, _, ngettext
from tracker.say import numbers, part_types
from tracker.say.phrases import by_day, listed
from tracker.say.spares.on_the_shelf import ONE_SHELF
from tracker.say.spares.preorder import WORTH_SAYING
from tracker.say.spares.stock import count_first, missing_now, needed_now, why_so_many
from tracker.say.spares.thin import all_guessed, by_guess, is_guess
from tracker.workshop.variants import PartType, of_types, types_in

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
            more = numbers.count(len(lines) - _NAMED, "more kind", "more kinds")
            what.append(_("and {more}", more=more))
        money = numbers.money(lines["cost"].sum(), currency)
        text = (
            N_(
                "By the trade's guess, until more parts fail here, order now: {what} – about "
                "{money}"
            )
            if all_guessed(lines, table)
            else N_("Order now: {what} – about {money}")
        )
        sentence = _(text, what=", ".join(what), money=money)
        if count_first(table) and table["counted_on"].isna().all():
            return _(
                "Count the shelf first. {sentence}, as long as it is taken as empty.",
                sentence=sentence,
            )
        return f"{sentence}."
    coming = dated[[day is not None for day in dated["order_by"]]] if len(dated) else dated
    if len(coming):
        first = coming.loc[coming["order_by"].map(date.toordinal).idxmin()]
        printer = _("for {printer}", printer=first["printer"])
        return _(
            "Nothing to order today; next: {part} {by}.",
            part=part_types.along_with(first, printer),
            by=by_day(first["order_by"], first["as_of"]),
        )
    if table.empty:
        return _("Nothing to order today.")
    worst = table.loc[table["chance_of_shortage_now"].idxmax()]
    if now := missing_now(worst):
        return _(
            "Nothing to order today; {worst}: {now}.",
            worst=part_types.within(worst),
            now=needed_now(now),
        )
    return _(
        "Nothing to order today; the likeliest to run short is {worst}, "
        "{chance_of_shortage_now} within {horizon_days}.",
        worst=part_types.within(worst),
        chance_of_shortage_now=numbers.chance(worst["chance_of_shortage_now"]),
        horizon_days=numbers.days(worst["horizon_days"]),
    )


_WHY_SO_MANY = {
    "service": N_(
        "Keep {what} on the shelf: that holds the chance of running short within the next {days} "
        "(delivery and review) within the {accepted} you accept."
    ),
    "empty": N_("Keep {what} for what stands empty: more would not pay."),
    "evidence": N_(
        "Keep {what} on the shelf for the next {days} (delivery and review): more would pay only "
        "if they lasted much less long than expected."
    ),
    "money": N_(
        "Keep {what} on the shelf: over the next {days} (delivery and review) that costs least, "
        "standing, holding and ageing together."
    ),
}


def costly_to_keep(table: pd.DataFrame, dated: pd.DataFrame) -> str:
    """How many spares of the costly types to keep, and why so many; "" where none is costly.

    ``table`` of ``stock_table``, ``dated`` of ``preorder``: its types are those told of.
    """
    costly = table[of_types(table, set(types_in(dated)))]
    groups: dict[tuple[object, ...], list[Any]] = {}
    for row in costly.itertuples():
        rests_on = (is_guess(row), is_guess(row) and row.life_guessed)
        groups.setdefault((why_so_many(row), *rests_on), []).append(row)
    told = [
        by_guess(
            rows[0],
            _(
                _WHY_SO_MANY[str(why)],
                what=listed([part_types.counted(int(row.stock_to_keep), row) for row in rows]),
                days=until_next_order(pd.DataFrame(rows)),
                accepted=numbers.chance(1 - rows[0].service),
            ),
        )
        for (why, *_rest), rows in groups.items()
    ]
    if types_by_date(table, dated):
        told.append(_("Not all at once: each is ordered by its own date (see Order dates)."))
    return " ".join(told)


def running_short(table: pd.DataFrame, service: float, by_date: Sequence[PartType]) -> str:
    """How many types may run short, and which are ordered by date instead.

    ``table`` of ``stock_table`` without the types of ``by_date``.
    """
    short = table[table["chance_of_shortage_now"] > 1 - service]
    limit = numbers.chance(1 - service)
    if table.empty:
        sentence = ""
    elif short.empty:
        sentence = _(
            "Even with nothing more ordered, no part has more than a {limit} chance of running "
            "short before the next order can be here ({days}).",
            limit=limit,
            days=until_next_order(table),
        )
    else:
        first = short.loc[short["chance_of_shortage_now"].idxmax()]
        sentence = _(
            "With nothing more ordered, {short} of {whole} part types may run short before the "
            "next order can be here (chance above {limit}); the likeliest: {first}, {chance} "
            "within {days}.",
            short=len(short),
            whole=len(table),
            limit=limit,
            first=part_types.within(first),
            chance=numbers.chance(first["chance_of_shortage_now"]),
            days=numbers.days(first["horizon_days"]),
        )
    if by_date:
        named = listed([part_types.within(part) for part in by_date])
        sentence += _(
            " Ordered by date and not by this chance (see Order dates): {named}.", named=named
        )
    return sentence.strip()


def until_next_order(table: pd.DataFrame) -> str:
    """How long it takes until an order placed at the next look at the shelf is here, over all types
    of ``stock_table``: ``"37 to 50 days"``.
    """
    low, high = table["horizon_days"].min(), table["horizon_days"].max()
    return numbers.days(low) if round(low) == round(high) else numbers.day_range(low, high)


def how_long_it_lasts(
    row: Any, chances: Array, stock: int, service: float, *, instead_of: int | None = None
) -> str:
    """How long a stock lasts, what there is, what will be needed; ``row`` of ``stock_table``.

    ``chances`` [k] = chance that exactly k are needed; ``instead_of``: the stock as things are,
    where something else was asked.
    """
    instead = (
        "" if instead_of is None else _(" ({instead_of} as things are)", instead_of=instead_of)
    )
    low, high = (int(np.searchsorted(np.cumsum(chances), share)) for share in (0.1, 0.9))
    likely = f"{low}" if low == high else _("{low} to {high}", low=low, high=high)
    return ngettext(
        "**{stock} in stock**{instead} lasts for {horizon_days} (the usual delivery and the days "
        "until the next look at the shelf) with at least {service} chance. {shelf} Needed in 8 of "
        "10 cases: {likely}, on average {expected_need}.",
        "**{stock} in stock**{instead} last for {horizon_days} (the usual delivery and the days "
        "until the next look at the shelf) with at least {service} chance. {shelf} Needed in 8 of "
        "10 cases: {likely}, on average {expected_need}.",
        stock,
        stock=stock,
        instead=instead,
        horizon_days=numbers.days(row["horizon_days"]),
        service=numbers.percent(service),
        shelf=_on_the_shelf(row),
        likely=likely,
        expected_need=numbers.figure(row["expected_need"]),
    )


def _on_the_shelf(row: Any) -> str:
    """What there is beside the need; of one site alone that nobody can say."""
    if row["available"] is None:
        return _(ONE_SHELF)
    now = missing_now(row)
    return _(
        "With {there} on the shelf or on the way by then: {short}.",
        there=int(row["available"]) or _("none"),
        short=needed_now(now)
        if now
        else _(
            "{chance_of_shortage_now} chance of running short",
            chance_of_shortage_now=numbers.chance(row["chance_of_shortage_now"]),
        ),
    )


def bars_and_chance(row: Any, chances: Array) -> str:
    """Why the bars beyond what is there add up to another chance than the one of running short; ""
    where they do not, or of one site alone. ``row`` of ``stock_table``, ``chances`` as in
    ``how_long_it_lasts``.
    """
    if row["available"] is None:
        return ""
    available = int(row["available"])
    beyond = float(np.sum(chances[available + 1 :]))
    if missing_now(row) or row["chance_of_shortage_now"] - beyond < WORTH_SAYING:
        return ""
    return _(
        "The bars count the whole need of these {horizon_days}: {beyond} chance of more than "
        "{available}. The chance of running short is {short}, for it also counts days on which a "
        "part is needed before what is on the way is here ({risk} until the last of it comes).",
        horizon_days=numbers.days(row["horizon_days"]),
        beyond=numbers.chance(beyond),
        available=numbers.decimal(available),
        short=numbers.chance(row["chance_of_shortage_now"]),
        risk=numbers.chance(row["risk_before_arrival"]),
    )


def what_money_buys(
    steps: pd.DataFrame, pieces: Mapping[PartType, int], table: pd.DataFrame, currency: str
) -> str:
    """What a sum is best spent on, and what that does to the risk; ``steps`` of ``buy_first``,
    ``table`` of ``stock_table``.
    """
    until = until_next_order(table)
    before, after = steps.iloc[0], steps.iloc[-1]
    left = numbers.about_money(before["risk_left"], currency)
    if not pieces:
        return _(
            "Nothing on the list is to be had for that sum; expected cost of running "
            "short: {left} until the next order could be here ({until}).",
            left=left,
            until=until,
        )
    named = [f"{number} × {part_types.within(part)}" for part, number in pieces.items()]
    spent = numbers.money(after["spent"], currency)
    then = numbers.about_money(after["risk_left"], currency)
    none_short = [numbers.chance(row["chance_of_no_shortage"]) for row in (before, after)]
    return _(
        "Buy first: {named}, for {spent}. The expected cost of running short, besides what is "
        "missing before that is here, falls from {left} to {then}; the chance that no kind runs "
        "short until the next order could be here ({until}) rises from {none_short} to "
        "{none_short_then}.",
        until=until,
        named=", ".join(named),
        spent=spent,
        left=left,
        then=then,
        none_short=none_short[0],
        none_short_then=none_short[1],
    )


def whole_list(steps: pd.DataFrame, currency: str) -> str:
    """What the whole list costs and which risk stays after it; ``steps`` of ``buy_first``."""
    last = steps.iloc[-1]
    cost = numbers.money(last["spent"], currency)
    left = numbers.about_money(last["risk_left"], currency)
    return _(
        "The first packs avoid most. The whole list costs {cost}; then {left} of risk stays.",
        cost=cost,
        left=left,
    )


def left_of_the_list(lines: pd.DataFrame, pieces: Mapping[PartType, int]) -> str:
    """What of today's order list is bought for the sum, and what waits."""
    wanted = dict(zip(types_in(lines), lines["pieces"], strict=True))
    waits = {part: n - pieces.get(part, 0) for part, n in wanted.items()}
    left = [f"{n} × {part_types.within(part)}" for part, n in waits.items() if n > 0]
    if not left:
        return _("That is the whole list at the top.")
    return _(
        "Of the list at the top {left} would wait: for this sum the others avoid more "
        "until the next order.",
        left=", ".join(left),
    )
