"""What is to be ordered today, in one list: the dated heads and the shelf's small parts.

Costly parts are ordered by date (``preorder``), all others by stock (``stock_table``). Both may
speak of the same type; this module says which of them counts.
"""

from __future__ import annotations

from collections import Counter
from datetime import date
from math import ceil

import numpy as np
import pandas as pd

from tracker.decisions.preorder import IN_TURN
from tracker.workshop.variants import PartType, of_type, types_in

COLUMNS = (
    "part_kind", "variant", "pieces", "unit_cost", "cost", "by_date", "dated_too", "due",
)  # fmt: skip


def order_proposal(table: pd.DataFrame, heads: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """What to order today: one line per kind and type, COLUMNS, the most at stake first: by the
    chance of running short before the next look (``chance_of_shortage_now``), times its cost.

    Types ordered by date (``types_by_date``; ``heads`` from ``preorder``) count one piece for each
    whose order-by date has come, in whole packs; all others take ``order_now`` of the stock
    ``table``, but where both were asked and the dates want more, as many as they want.
    ``by_date`` says which of the two the line takes, ``dated_too`` that a line by stock has dates
    as well; ``due`` are the rows of ``heads`` (by index) whose date has come.
    """
    dated_types = types_by_date(table, heads)
    in_turn = _in_turn(heads)
    lines: list[tuple[object, ...]] = []
    at_stake: list[float] = []
    for row in table.itertuples():
        part = PartType(str(row.part_kind), str(row.variant))
        due = heads[of_type(heads, part)] if part in in_turn else heads.head(0)
        due = due[[day is not None and day <= as_of for day in due["order_by"]]]
        pack = max(1, int(row.pack_size))
        dated = pack * ceil(len(due) / pack)
        stocked = 0 if part in dated_types else int(row.order_now)
        pieces = max(dated, stocked)
        if not pieces:
            continue
        by_dates = dated > stocked
        at_stake.append(row.chance_of_shortage_now * row.shortage_cost)
        lines.append(
            (*part, pieces, row.unit_cost, pieces * row.unit_cost, by_dates,
             part in in_turn and not by_dates, tuple(due.index))
        )  # fmt: skip
    found = pd.DataFrame(lines, columns=list(COLUMNS))
    return found.iloc[np.argsort(-np.array(at_stake), kind="stable")].reset_index(drop=True)


def types_by_date(table: pd.DataFrame, heads: pd.DataFrame) -> frozenset[PartType]:
    """Which types are ordered by the dates of their parts, and not by stock?

    Costly ones (those in ``heads``), where ``by_date`` allows it.
    """
    return dated_where_costly(table) & frozenset(types_in(heads))


def dated_where_costly(table: pd.DataFrame) -> frozenset[PartType]:
    """Which types are ordered by the dates of their parts, if they are costly enough for dates?"""
    columns = (table[name] for name in ("stock_for_service", "fitted", "waiting"))
    return frozenset(
        part
        for part, kept, fitted, waiting in zip(types_in(table), *columns, strict=True)
        if by_date(kept, fitted + waiting)
    )


def by_date(stock_for_service: float, positions: float) -> bool:
    """Do the dates of a kind's parts, one for each of its positions, say enough to order by?

    Not where so many are fitted that they cannot be dated in turn, or where one part's place may
    need a second spare before an order placed after its failure is here. A date knows only the
    next need of each position; so dates suffice while more needs than positions, until then, are
    less likely than the service level allows (``stock_for_service`` up to ``positions``).
    """
    return positions <= IN_TURN and stock_for_service <= positions


def _in_turn(heads: pd.DataFrame) -> set[PartType]:
    many = Counter(types_in(heads))
    return {part for part, number in many.items() if number <= IN_TURN}
