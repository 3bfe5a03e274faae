"""Which orders are on their way, which of them are late, and when will they be here?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions.ordering.deliveries.own_orders import by_order
from tracker.decisions.ordering.lead_time import LeadTime, lead_times
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, spare_variants, types_in


def open_orders(
    known: Records, as_of: date, leads: Mapping[PartType, LeadTime] | None = None
) -> pd.DataFrame:
    """Which orders have not come yet, which of them are late, and when will they be here?

    One row per open order: ``part_kind, variant, quantity, ordered_on, expected_on, supplier`` and
    ``likely_on`` (the promised day while it lies ahead, else what orders that have taken so long
    usually still take), ``days_open``, ``received`` (pieces of the same order
    that came already), ``days_late`` (after the promised day, or where none was
    promised after the day by which nine in ten are here; 0 when not late), ``comes`` (the chance
    that it still does, eight in ten between ``comes_low`` and ``comes_high``), ``forgotten``: more
    likely never here than at all, so it is not counted on and has no likely day. Latest first.
    ``known``: records as known on that day; ``leads`` from ``lead_times`` where already there.
    """
    orders = known.orders
    waiting = orders[orders["received_on"].isna()]
    if waiting.empty:
        return _shaped(waiting, [])
    leads = lead_times(known, as_of) if leads is None else leads
    waiting = waiting.assign(variant=spare_variants(known, waiting))
    rows = []
    for part, supplier, placed, expected in zip(
        types_in(waiting), waiting["supplier"], waiting["ordered_on"].dt.date,
        waiting["expected_on"], strict=True,
    ):  # fmt: skip
        lead = leads[part].sent_by(supplier)
        open_days = (as_of - placed).days
        promised: date | None = None if pd.isna(expected) else expected.date()
        limit = promised or as_of + timedelta(days=round(lead.due_in(open_days)))
        ahead = None if promised is None else (promised - as_of).days
        comes = lead.comes(open_days, ahead)
        usual = float(lead.here_or_never(open_days, np.array(0.5), ahead))
        likely: date | None = None
        if np.isfinite(usual):
            ahead_of = promised is not None and promised >= as_of
            likely = promised if ahead_of else as_of + timedelta(days=round(usual))
        late = max(0, (as_of - limit).days)
        told = (comes.mean, comes.low, comes.high)
        rows.append((likely, open_days, late, *told, likely is None))
    frame = _shaped(waiting, rows)
    frame["received"] = _came_already(known, waiting)
    return frame.sort_values(["days_late", "days_open"], ascending=False, kind="stable")


def _shaped(waiting: pd.DataFrame, told: Sequence[tuple[object, ...]]) -> pd.DataFrame:
    columns = ["part_kind", "variant", "quantity", "ordered_on", "expected_on", "supplier"]
    types = {
        "likely_on": "datetime64[ns]", "days_open": int, "days_late": int, "comes": float,
        "comes_low": float, "comes_high": float, "forgotten": bool,
    }  # fmt: skip
    frame = pd.DataFrame(told, columns=list(types), index=waiting.index).astype(types)
    quantity = waiting["quantity"].fillna(0).astype(int)
    return waiting[columns].assign(quantity=quantity, received=0).join(frame)


def _came_already(known: Records, waiting: pd.DataFrame) -> list[int]:
    """Pieces that came of each open order: an order that came in part is several rows."""
    came = known.orders[known.orders["received_on"].notna()]
    came = came.assign(variant=spare_variants(known, came))
    both = pd.concat([came, waiting], keys=["came", "open"])
    pieces = both["quantity"].where(both["received_on"].notna(), 0.0).fillna(0.0)
    whole = pieces.groupby(by_order(both).ngroup()).transform("sum")
    return [int(number) for number in whole.loc["open"]]
