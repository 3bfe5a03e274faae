"""The few things to do next month, in order, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.review.printer_trend import Pace
from tracker.review.suspicion import Suspicion
from tracker.say import numbers, preorder, stock
from tracker.say.phrases import place, place_of
from tracker.workshop import vocabulary as words

MOST_PLANNED, PLANNED_DAYS = 3, 31
MOST_DATED = 3  # orders of one kind told one by one
KEPT_WELL = 0.75  # a routine kept less often than this is worth a word
LEAST_DUE = 4


@dataclass(frozen=True)
class Action:
    """Something to do, and why.

    ``made_from`` names what it was made from in words that stay the same from day to day, so that
    it is known again when its figures have moved on or its words were changed by hand.
    """

    what: str
    why: str
    made_from: str


def actions(
    suspicions: Sequence[Suspicion],
    orders: pd.DataFrame,
    order_dates: pd.DataFrame,
    claims: pd.DataFrame,
    kept: pd.DataFrame,
    pace: Pace,
    planned: pd.DataFrame,
    as_of: date,
    currency: str,
) -> tuple[Action, ...]:
    """What to do next, most urgent first: bad batch, orders, claims, routine, a printer's trend,
    planned changes that fall due within PLANNED_DAYS.

    All of it; ``action_list`` keeps the list short.
    """
    found = [*_batches(suspicions), *_orders(orders, order_dates, currency), *_claims(claims)]
    found += _routine(kept, as_of)
    for printer in pace.worse:
        found.append(
            Action(
                f"Look {printer} over for one common cause.",
                "Its stoppages come faster than they used to.",
                f"stoppages {printer}",
            )
        )
    return (*found, *_planned(planned, as_of))


def _batches(suspicions: Sequence[Suspicion]) -> list[Action]:
    told = []
    for bad in suspicions:
        kind = words.part_label(bad.part_kind).lower()
        if bad.is_over:
            continue
        if bad.batch:
            what = f"Ask the supplier about {bad.name}, and use none that is left on the shelf"
            if bad.fitted_now:
                what += f"; have spares ready for {', '.join(bad.places_now[:6])}"
        else:
            what = f"Buy the next {kind}s elsewhere, or ask {bad.supplier} why they fail early"
        source = " ".join(filter(None, ("batch", bad.part_kind, bad.supplier, bad.batch)))
        told.append(Action(f"{what}.", bad.sentence, source))
    return told


def _orders(orders: pd.DataFrame, order_dates: pd.DataFrame, currency: str) -> list[Action]:
    told = []
    for kind, rows in order_dates.groupby("part_kind", sort=False):
        many = len(rows) > MOST_DATED
        told += [_many(str(kind), rows, currency)] if many else _one_by_one(rows, currency)
    for row in orders.itertuples():
        label = words.part_label(row.part_kind).lower()
        told.append(
            Action(
                f"Order {row.order_now:.0f} × {label} ({numbers.money(row.cost, currency)}).",
                f"{stock.reason(row)} {_with_them(row)}",
                f"order {row.part_kind}",
            )
        )
    return told


def _with_them(row: Any) -> str:
    """What there will be: more than is wanted where whole packs are bought."""
    pack = f" (packs of {row.pack_size:.0f})" if row.pack_size > 1 else ""
    those = "this one" if row.order_now == 1 else f"these {row.order_now:.0f}"
    total = row.on_hand + row.arriving + row.order_now
    return f"With {those}{pack} there will be {total:.0f}."


def _one_by_one(rows: pd.DataFrame, currency: str) -> list[Action]:
    return [
        Action(
            f"Order a {words.part_label(row.part_kind).lower()} for "
            f"{place(row)} by "
            f"{numbers.day(row.order_by)}.",
            preorder.reason(row, currency),
            f"order {row.part_kind} {row.printer} {row.position}",
        )
        for row in rows.itertuples()
    ]


def _many(kind: str, rows: pd.DataFrame, currency: str) -> Action:
    """One action for a kind of which many are to be ordered, each by its own day."""
    first = rows.iloc[0]
    label = words.part_label(kind).lower()
    places = ", ".join(place_of(kind, r.printer, r.position) for r in rows.head(3).itertuples())
    return Action(
        f"Order {len(rows)} × {label}, the first by {numbers.day(first['order_by'])}, the last by "
        f"{numbers.day(max(rows['order_by']))}.",
        f"For {places} and {len(rows) - 3} more. {preorder.reason(first, currency)}",
        f"order {kind}",
    )


def _claims(claims: pd.DataFrame) -> list[Action]:
    return [
        Action(
            f"Claim the {words.part_label(row.part_kind).lower()} "
            f"{place(row)}"
            f"{f' from {row.supplier}' if row.supplier else ''} under warranty.",
            f"It failed on {numbers.day(row.failed_on)}, {numbers.days(row.age_days)} after "
            f"fitting; its warranty runs {numbers.days(row.warranty_days)}. Whether it was "
            "claimed is not written down.",
            f"claim {row.part_kind} {row.printer} {row.position} {row.failed_on:%Y-%m-%d}",
        )
        for row in claims.itertuples()
    ]


def _planned(planned: pd.DataFrame, as_of: date) -> list[Action]:
    soon = planned[planned["due_on"] <= pd.Timestamp(as_of + timedelta(days=PLANNED_DAYS))]
    return [
        Action(
            f"Change the {words.part_label(row.part_kind).lower()} of "
            f"{place(row)} by {numbers.day(row.due_on)}, "
            "before it fails.",
            f"It is {numbers.days(row.age_days)} old; a change at "
            f"{numbers.days(row.change_at_days)} saves {numbers.chance(row.saving)} against "
            f"running to failure ({numbers.chance(row.chance_it_pays)} sure that it pays).",
            f"planned {row.part_kind} {row.printer} {row.position}",
        )
        for row in soon.head(MOST_PLANNED).itertuples()
    ]


def _routine(kept: pd.DataFrame, as_of: date) -> list[Action]:
    thin = kept[(kept["due"] >= LEAST_DUE) & (kept["share"] < KEPT_WELL)]
    thin = thin.assign(not_kept=thin["due"] - thin["in_time"])
    return [
        Action(
            f"Keep “{words.task_label(row.task)}” on {row.printer} in time, or change how often "
            "it is due.",
            f"In {as_of:%B %Y} {row.in_time:.0f} of {row.due:.0f} were done in time, "
            f"{row.late:.0f} late, {row.missed:.0f} not at all.",
            f"routine {row.task} {row.printer}",
        )
        for row in thin.sort_values("not_kept", ascending=False, kind="stable").head(2).itertuples()
    ]
