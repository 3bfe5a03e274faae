"""What to order today, in words: why each line stands there, and what is worth adding to it."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.say import numbers, part_types
from tracker.say.spares import preorder, stock
from tracker.workshop.variants import types_in

_NAMED_PARTS = 3
_COUNTED_BY_STOCK = (
    "Counted by stock and not by date, for one place may need a second spare before the next "
    "delivery."
)


def reasons(
    lines: pd.DataFrame, table: pd.DataFrame, heads: pd.DataFrame, currency: str
) -> list[str]:
    """Why each line of ``order_proposal`` is to be ordered, in order.

    ``table`` of ``stock_table`` and ``heads`` of ``preorder``, from which the lines were made.
    """
    stocked = dict(zip(types_in(table), table.itertuples(), strict=True))
    found = []
    for part, line in zip(types_in(lines), lines.itertuples(), strict=True):
        if line.by_date:
            found.append(_of_dates(heads.loc[list(line.due)], currency))
        else:
            added = f" {_COUNTED_BY_STOCK}" if line.dated_too else ""
            found.append(stock.reason(stocked[part]) + added)
    return found


def _of_dates(due: pd.DataFrame, currency: str) -> str:
    """Of the parts most at risk, which dates have come and why."""
    sentences = []
    for number, row in enumerate(due.head(_NAMED_PARTS).itertuples()):
        why = preorder.reason(row, currency)
        sentences.append(
            f"Then {row.printer} {row.position}: {why[0].lower()}{why[1:]}"
            if number
            else f"Most at risk: {row.printer} {row.position}. {why}"
        )
    if len(due) > _NAMED_PARTS:
        sentences.append(f"And {len(due) - _NAMED_PARTS} more.")
    return " ".join(sentences)


def why_added(row: Any, currency: str) -> str:
    """Why a part is worth adding to an order that goes out today; ``row`` of ``order_together``."""
    one = "it" if row.pieces == 1 else "them"
    return (
        f"To be ordered by about {numbers.day(row.due_on)} anyway; having {one} now costs "
        f"about {numbers.money(row.earlier_cost, currency)} more and saves about "
        f"{numbers.money(row.saving + row.earlier_cost, currency)} of later shipments."
    )


def addition(row: Any) -> str:
    """An addition by number and name: ``"2 × ink line"``, ``"1 × printhead for Yard H1"``."""
    for_whom = f"for {row.printer} {row.position}" if row.printer else ""
    named = part_types.along_with(row, for_whom) if for_whom else part_types.within(row)
    return f"{row.pieces} × {named}"


def overdue(waiting: pd.DataFrame) -> list[str]:
    """Which orders should have come: asked about, one sentence each; ``waiting`` of
    ``open_orders``."""
    return [
        f"{row.quantity} × {part_types.within(row)}, ordered {numbers.day(row.ordered_on.date())}"
        + (f" from {row.supplier}" if row.supplier else "")
        + ("" if pd.isna(row.expected_on) else f", promised {numbers.day(row.expected_on.date())}")
        + f" ({numbers.days(row.days_late)} late): is it here?"
        for row in waiting.itertuples()
        if row.days_late > 0
    ]
