"""What the next months will bring: need, orders, warranty claims."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions.warranty import failed_in_warranty
from tracker.forecast.need import NeedModel
from tracker.forecast.planned_practice import PlannedPractice, planned_practice
from tracker.forecast.positions.fitted_positions import Sources, fitted_positions, kind_need
from tracker.review.planned import planned_changes
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, of_types, types_in

HORIZONS = {1: 30.0, 3: 91.0, 6: 182.0}  # months → days
CLAIM_WITHIN_DAYS = 60  # how long after the failure a claim is shown


@dataclass(frozen=True, eq=False)
class Ahead:
    """Frames: ``need`` (see ``need_ahead``), ``orders`` (rows of ``stock_table``), ``order_dates``
    (rows of ``preorder``), ``planned`` (see ``planned_changes``), ``claims`` (see
    ``warranty_claims``).
    """

    need: pd.DataFrame
    orders: pd.DataFrame
    order_dates: pd.DataFrame
    planned: pd.DataFrame
    claims: pd.DataFrame


def months_ahead(
    records: Records, as_of: date, lives: pd.DataFrame, models: Mapping[str, NeedModel]
) -> Ahead:
    """What will be needed, is to be ordered, changed by plan and claimed, as known on that day?

    ``records`` as known on that day, with their ``lives`` and ``models``.
    """
    orders, order_dates = orders_due(records, as_of, lives, models)
    return Ahead(
        need=need_ahead(records, as_of, lives, models, planned_practice(records, as_of, lives)),
        orders=orders,
        order_dates=order_dates,
        planned=planned_changes(records, as_of, lives, models),
        claims=warranty_claims(records, as_of, lives),
    )


def need_ahead(
    records: Records,
    as_of: date,
    lives: pd.DataFrame,
    models: Mapping[str, NeedModel],
    practice: Mapping[str, PlannedPractice],
) -> pd.DataFrame:
    """How many of every type of part will be needed in the next one, three and six months?

    Columns ``part_kind, variant, fitted`` and per month count m ``mean_m, low_m, high_m`` (80 %
    range). Renewals are in it, what another part's change takes along, and the changes that the
    workshop makes by plan at a certain age (``practice``), as in the stock table.
    """
    positions = fitted_positions(records, as_of, models, lives)
    sources = Sources(models, {kind: found.age_days for kind, found in practice.items()})
    rows = []
    for kind, variant in dict.fromkeys(sorted(types_in(positions), key=_order_of(models))):
        if not models[kind].wears:
            continue
        need = kind_need(positions, kind, models, sources=sources, variant=variant)
        row: dict[str, object] = {
            "part_kind": kind, "variant": variant, "fitted": need.positions,
        }  # fmt: skip
        for months, days in HORIZONS.items():
            law = need.demand(days)
            below = np.cumsum(law)
            row[f"mean_{months}"] = float(law @ np.arange(len(law)))
            row[f"low_{months}"] = int(np.searchsorted(below, 0.1))
            row[f"high_{months}"] = min(int(np.searchsorted(below, 0.9)), len(law) - 1)
        rows.append(row)
    names = [f"{what}_{months}" for months in HORIZONS for what in ("mean", "low", "high")]
    table = pd.DataFrame(rows, columns=["part_kind", "variant", "fitted", *names])
    return table.sort_values("mean_1", ascending=False, kind="stable").reset_index(drop=True)


def _order_of(models: Mapping[str, NeedModel]) -> Callable[[PartType], tuple[int, str]]:
    """The order of the models' kinds, then that of the types' names."""
    kinds = list(models)
    return lambda part: (kinds.index(part.part_kind), part.variant)


def warranty_claims(records: Records, as_of: date, lives: pd.DataFrame) -> pd.DataFrame:
    """Which parts failed inside their warranty in the last CLAIM_WITHIN_DAYS days, unclaimed?

    Rows of ``failed_in_warranty``; a part whose claim is written down is asked about no more.
    """
    since = pd.Timestamp(as_of) - pd.Timedelta(days=CLAIM_WITHIN_DAYS)
    rows = failed_in_warranty(records, lives)
    return rows[(rows["failed_on"] >= since) & (rows["claim"] == "")].reset_index(drop=True)


def orders_due(
    records: Records, as_of: date, lives: pd.DataFrame, models: Mapping[str, NeedModel]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """What to order now by stock (rows of ``stock_table``), and what by date within a month.

    Types that are ordered by the dates of their parts (``types_by_date``) are only among the
    second, rows of ``preorder``, the most urgent first.
    """
    from tracker.decisions.ordering.order_proposal import types_by_date
    from tracker.decisions.preorder import preorder
    from tracker.decisions.stock_table import stock_table

    table = stock_table(records, as_of, models=models)
    dates = preorder(records, as_of, models=models, lives=lives)
    dated = types_by_date(table, dates)
    now = table[~of_types(table, dated)]
    now = now[now["order_now"] > 0]
    until = as_of + timedelta(days=31)
    soon = [
        part in dated and day is not None and not pd.isna(day) and day <= until
        for part, day in zip(types_in(dates), dates["order_by"], strict=True)
    ]
    return (
        now.sort_values("chance_of_shortage_now", ascending=False).reset_index(drop=True),
        dates[np.array(soon, dtype=bool)].reset_index(drop=True),
    )
