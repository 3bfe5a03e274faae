"""Which orders are on their way, which of them are late, and when will they be here?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions.ordering.lead_time import LeadTime, by_order, lead_times
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
    promised after the day by which nine in ten are here; 0 when not late), ``forgotten``: open for
    so long that it is no longer counted on. Latest first.
    ``known``: records as known on that day; ``leads`` from ``lead_times`` where already there.
    """
    orders = known.orders
    waiting = orders[orders["received_on"].isna()]
    if waiting.empty:
        return _shaped(waiting, (), (), (), ())
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
        if promised is not None and promised >= as_of:
            likely = promised
        else:
            usual = lead.arrival_days(open_days, np.array(0.5), ahead)
            likely = as_of + timedelta(days=round(float(usual)))
        waited = float(lead.shut.open_days(-open_days, 0.0))
        forgotten = waited > lead.forgotten_after(None if ahead is None else open_days + ahead)
        rows.append((likely, open_days, max(0, (as_of - limit).days), forgotten))
    frame = _shaped(waiting, *zip(*rows, strict=True))
    frame["received"] = _came_already(known, waiting)
    return frame.sort_values(["days_late", "days_open"], ascending=False, kind="stable")


def _shaped(
    waiting: pd.DataFrame,
    likely_on: Sequence[date],
    days_open: Sequence[int],
    days_late: Sequence[int],
    forgotten: Sequence[bool],
) -> pd.DataFrame:
    columns = ["part_kind", "variant", "quantity", "ordered_on", "expected_on", "supplier"]
    return waiting[columns].assign(
        quantity=waiting["quantity"].fillna(0).astype(int),
        received=0,
        likely_on=np.array(likely_on, dtype="datetime64[ns]"),
        days_open=np.array(days_open, dtype=int),
        days_late=np.array(days_late, dtype=int),
        forgotten=np.array(forgotten, dtype=bool),
    )


def _came_already(known: Records, waiting: pd.DataFrame) -> list[int]:
    """Pieces that came of each open order: an order that came in part is several rows."""
    came = known.orders[known.orders["received_on"].notna()]
    came = came.assign(variant=spare_variants(known, came))
    both = pd.concat([came, waiting], keys=["came", "open"])
    pieces = both["quantity"].where(both["received_on"].notna(), 0.0).fillna(0.0)
    whole = pieces.groupby(by_order(both).ngroup()).transform("sum")
    return [int(number) for number in whole.loc["open"]]
