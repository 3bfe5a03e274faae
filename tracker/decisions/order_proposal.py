"""What is to be ordered today, in one list: the dated heads and the shelf's small parts.

Costly parts are ordered by date (``preorder``), all others by stock (``stock_table``). Both may
speak of the same kind; this module says which of them counts.
"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.decisions.preorder import IN_TURN

COLUMNS = ("part_kind", "pieces", "unit_cost", "cost", "reason")
_REASONS = 3


def order_proposal(table: pd.DataFrame, heads: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """What to order today: one line per kind, COLUMNS, the dearest order first.

    Costly parts (``heads``, from ``preorder``) count one piece for each whose order-by date has
    come; all others, and costly ones in a pool too large to be dated in turn, take ``order_now``
    of the stock ``table``.
    """
    lines = []
    fitted = heads["part_kind"].map(heads["part_kind"].value_counts())
    heads = heads[(fitted <= IN_TURN).to_numpy(dtype=bool)]
    for kind, rows in heads.groupby("part_kind", sort=False):
        due = rows[[day is not None and day <= as_of for day in rows["order_by"]]]
        if len(due):
            price = float(due["unit_cost"].iloc[0])
            why = " ".join(
                f"{row.printer} {row.position}: {row.reason}"
                for row in due.head(_REASONS).itertuples()
            )
            if len(due) > _REASONS:
                why += f" And {len(due) - _REASONS} more."
            lines.append((kind, len(due), price, len(due) * price, why))
    for row in table[
        (table["order_now"] > 0) & ~table["part_kind"].isin(heads["part_kind"])
    ].itertuples():
        lines.append((row.part_kind, int(row.order_now), row.unit_cost, row.cost, row.reason))
    found = pd.DataFrame(lines, columns=list(COLUMNS))
    return found.sort_values("cost", ascending=False, kind="stable", ignore_index=True)
