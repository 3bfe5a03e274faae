"""What is to be ordered today, in one list: the dated heads and the shelf's small parts.

Costly parts are ordered by date (``preorder``), all others by stock (``stock_table``). Both may
speak of the same kind; this module says which of them counts.
"""

from __future__ import annotations

from datetime import date
from math import ceil

import pandas as pd

from tracker.decisions.preorder import IN_TURN

COLUMNS = ("part_kind", "pieces", "unit_cost", "cost", "by_date", "dated_too", "due")


def order_proposal(table: pd.DataFrame, heads: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """What to order today: one line per kind, COLUMNS, the dearest order first.

    Kinds ordered by date (``kinds_by_date``; ``heads`` from ``preorder``) count one piece for each
    whose order-by date has come, in whole packs; all others take ``order_now`` of the stock
    ``table``, but where both were asked and the dates want more, as many as they want.
    ``by_date`` says which of the two the line takes, ``dated_too`` that a line by stock has dates
    as well; ``due`` are the rows of ``heads`` (by index) whose date has come.
    """
    dated_kinds = kinds_by_date(table, heads)
    in_turn = _in_turn(heads)
    lines: list[tuple[object, ...]] = []
    for row in table.itertuples():
        kind = str(row.part_kind)
        due = heads[heads["part_kind"] == kind] if kind in in_turn else heads.head(0)
        due = due[[day is not None and day <= as_of for day in due["order_by"]]]
        pack = max(1, int(row.pack_size))
        dated = pack * ceil(len(due) / pack)
        stocked = 0 if kind in dated_kinds else int(row.order_now)
        pieces = max(dated, stocked)
        if not pieces:
            continue
        by_dates = dated > stocked
        lines.append(
            (kind, pieces, row.unit_cost, pieces * row.unit_cost, by_dates,
             kind in in_turn and not by_dates, tuple(due.index))
        )  # fmt: skip
    found = pd.DataFrame(lines, columns=list(COLUMNS))
    return found.sort_values("cost", ascending=False, kind="stable", ignore_index=True)


def kinds_by_date(table: pd.DataFrame, heads: pd.DataFrame) -> frozenset[str]:
    """Which kinds are ordered by the dates of their parts, and not by stock?

    Costly ones (those in ``heads``), where ``by_date`` allows it.
    """
    costly = table[table["part_kind"].isin(heads["part_kind"])]
    return frozenset(
        str(row.part_kind)
        for row in costly.itertuples()
        if by_date(row.stock_for_service, row.fitted)
    )


def by_date(stock_for_service: float, fitted: float) -> bool:
    """Do the dates of a kind's fitted parts say enough to order by?

    Not where so many are fitted that they cannot be dated in turn, or where one part's place may
    need a second spare before an order placed after its failure is here. A date knows only the
    next failure of each part; so dates suffice while more needs than parts fitted, until then, are
    less likely than the service level allows (``stock_for_service`` up to ``fitted``).
    """
    return fitted <= IN_TURN and stock_for_service <= fitted


def _in_turn(heads: pd.DataFrame) -> set[str]:
    many = heads["part_kind"].value_counts()
    return {str(kind) for kind in many.index[many <= IN_TURN]}
