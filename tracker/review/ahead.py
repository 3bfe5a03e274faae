"""What the next months will bring: need, orders, warranty claims."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions.changes_ahead import changes_ahead
from tracker.decisions.ordering.positions_ahead import positions_ahead
from tracker.decisions.ordering.purchases import paid_or_usual
from tracker.decisions.ordering.shut_ahead import ShutAhead, shut_ahead
from tracker.decisions.warranty import failed_in_warranty
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.futures import Futures, play_futures
from tracker.forecast.planned_practice import practised_ages
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records
from tracker.workshop.variants import of_types, types_in

HORIZONS = {1: 30.0, 3: 91.0, 6: 182.0}  # months → days
CLAIM_WITHIN_DAYS = 60  # how long after the failure a claim is shown
PLANNED_WITHIN_DAYS = 182


@dataclass(frozen=True, eq=False)
class Ahead:
    """Frames: ``need`` (see ``need_ahead``), ``orders`` (rows of ``stock_table``), ``order_dates``
    (rows of ``preorder``), ``planned`` (see ``planned_changes``), ``claims`` (see
    ``warranty_claims``); ``shut``: the suppliers who send nothing soon.
    """

    need: pd.DataFrame
    orders: pd.DataFrame
    order_dates: pd.DataFrame
    planned: pd.DataFrame
    claims: pd.DataFrame
    shut: tuple[ShutAhead, ...] = ()


def months_ahead(records: Records, fitted: FittedLives) -> Ahead:
    """What will be needed, is to be ordered, changed by plan and claimed, as known on that day?

    ``records``: everything written down, which tells of printers that were then to leave.
    """
    as_of, lives = fitted.as_of, fitted.lives
    positions = positions_ahead(records, fitted)
    played = half_a_year(fitted, positions)
    orders, order_dates = orders_due(records, fitted, played)
    return Ahead(
        need=need_ahead(positions, played),
        orders=orders,
        order_dates=order_dates,
        planned=planned_changes(fitted),
        claims=warranty_claims(fitted.known, as_of, lives),
        shut=tuple(shut_ahead(records, as_of)),
    )


def half_a_year(fitted: FittedLives, positions: pd.DataFrame) -> Futures:
    """The futures of these positions as the workshop goes on, far enough for every figure of months
    to come.
    """
    ages = practised_ages(fitted.known, fitted.as_of, fitted.lives)
    return play_futures(fitted, positions, max(HORIZONS.values()), ages)


def need_ahead(positions: pd.DataFrame, played: Futures) -> pd.DataFrame:
    """How many of every part kind will be needed in the next one, three and six months?

    Columns ``part_kind, variant, fitted`` and per month count m ``mean_m, low_m, high_m`` (80 %
    range), a row for each type that wears and is fitted now or waited for. Renewals are in
    it, what another part's change takes along, and the changes that the workshop makes by plan at a
    certain age (``planned_practice``): ``played``, of ``half_a_year``, which the stock table reads.
    ``positions``: of ``positions_ahead``.
    """
    wears = positions["part_kind"].map(words.wears).astype(bool)
    types = positions[wears].groupby(["part_kind", "variant"], sort=True)
    code = np.full(len(positions), -1, dtype=np.int64)
    code[wears.to_numpy()] = types.ngroup().to_numpy()
    needed = played.counts_by(code, types.ngroups, list(HORIZONS.values()))
    rows = []
    for number, ((kind, variant), own) in enumerate(types):
        row: dict[str, object] = {
            "part_kind": kind,
            "variant": variant,
            "fitted": int(own["empty_since"].isna().sum()),
        }
        for months, by_then in zip(HORIZONS, needed[:, number], strict=True):
            law = np.bincount(by_then) / played.size
            below = np.cumsum(law)
            row[f"mean_{months}"] = float(law @ np.arange(len(law)))
            row[f"low_{months}"] = int(np.searchsorted(below, 0.1))
            row[f"high_{months}"] = min(int(np.searchsorted(below, 0.9)), len(law) - 1)
        rows.append(row)
    names = [f"{what}_{months}" for months in HORIZONS for what in ("mean", "low", "high")]
    table = pd.DataFrame(rows, columns=["part_kind", "variant", "fitted", *names])
    return table.sort_values("mean_1", ascending=False, kind="stable").reset_index(drop=True)


def planned_changes(fitted: FittedLives) -> pd.DataFrame:
    """Rows of ``changes_ahead`` that fall due within PLANNED_WITHIN_DAYS, by their ``due_on``: the
    day of the change, but not before the day looked from.
    """
    rows = changes_ahead(fitted.known, fitted.as_of, fitted=fitted)
    due = pd.to_datetime(rows["change_on"]).clip(lower=pd.Timestamp(fitted.as_of))
    last = pd.Timestamp(fitted.as_of) + pd.Timedelta(days=PLANNED_WITHIN_DAYS)
    soon = rows.assign(due_on=due).drop(columns="change_on")[due <= last]
    return soon.sort_values(["due_on", "printer", "position"]).reset_index(drop=True)


def warranty_claims(records: Records, as_of: date, lives: pd.DataFrame) -> pd.DataFrame:
    """Which parts failed inside their warranty in the last CLAIM_WITHIN_DAYS days, unclaimed?

    Rows of ``failed_in_warranty`` with what each part was bought for, else costs now
    (``unit_cost``); a part whose claim is written down is asked about no more.
    """
    since = pd.Timestamp(as_of) - pd.Timedelta(days=CLAIM_WITHIN_DAYS)
    rows = failed_in_warranty(records, lives[lives["removed_on"] >= since])
    rows = rows[rows["claim"] == ""]
    price = paid_or_usual(records, records.fittings.loc[rows.index])
    return rows.assign(unit_cost=price).reset_index(drop=True)


def orders_due(
    records: Records, fitted: FittedLives, played: Futures | None = None
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """What to order now by stock (rows of ``stock_table``, the dearest order first), and what by
    date within a month.

    Types that are ordered by the dates of their parts (``types_by_date``) are only among the
    second, rows of ``preorder``, the most urgent first. ``played``: see ``stock_table``.
    """
    from tracker.decisions.ordering.order_proposal import dated_where_costly
    from tracker.decisions.preorder import preorder
    from tracker.decisions.stock_table import stock_table

    as_of = fitted.as_of
    table = stock_table(records, as_of, fitted=fitted, played=played)
    # A fleet's costly parts are too many to be dated in turn: none of their dates is asked for.
    dates = preorder(records, as_of, fitted=fitted, types=dated_where_costly(table))
    now = table[~of_types(table, set(types_in(dates)))]
    now = now[now["order_now"] > 0]
    soon = pd.to_datetime(dates["order_by"]) <= pd.Timestamp(as_of + timedelta(days=31))
    return (
        now.sort_values("cost", ascending=False, kind="stable").reset_index(drop=True),
        dates[soon].reset_index(drop=True),
    )
