"""What to order today, in words: why each line stands there, and what is worth adding to it."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.say import numbers
from tracker.say.spares import preorder, stock
from tracker.workshop import vocabulary as words

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
    stocked = {row.part_kind: row for row in table.itertuples()}
    found = []
    for line in lines.itertuples():
        if line.by_date:
            found.append(_of_dates(heads.loc[list(line.due)], currency))
        else:
            added = f" {_COUNTED_BY_STOCK}" if line.dated_too else ""
            found.append(stock.reason(stocked[line.part_kind]) + added)
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
    label = words.part_label(row.part_kind).lower()
    for_whom = f" for {row.printer} {row.position}" if row.printer else ""
    return f"{row.pieces} × {label}{for_whom}"
