"""By when to order the next head, or any costly part: one row per fitted part.

The curve behind each date is ``order_curve``; this module adds what is on the shelf and on order,
and what other printers may take of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.ordering.lead_time import LeadTime, lead_times
from tracker.decisions.ordering.order_curve import (
    MAX_DAYS,
    WAITING_DAYS,
    OrderCosts,
    OrderCurve,
    curve_of_failures,
    order_curve,
    time_grid,
)
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.purchases import type_prices
from tracker.decisions.ordering.shelf import OnHand, on_hand
from tracker.decisions.stock_level import chance_of_running_short
from tracker.errors import UsageError
from tracker.forecast.need import NeedModel, need_models
from tracker.forecast.positions.age_table import PositionAges
from tracker.forecast.positions.failure_counts import FailureCounts
from tracker.forecast.positions.fitted_positions import ages_of, fitted_positions
from tracker.forecast.positions.printers_ahead import leaving, with_leaving_printers
from tracker.forecast.renewal.parameter_nodes import Nodes, nodes_for_one
from tracker.lives.life_table import life_table
from tracker.workshop.records import Records
from tracker.workshop.variants import of_type, part_types

__all__ = ["COLUMNS", "OrderCurve", "order_curve", "preorder"]


IN_TURN = 12  # positions of a type up to which its spares are ordered by these dates

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "position",
    "age_days",
    "as_of",
    "order_by",
    "risk_if_ordered_now",
    "risk_if_waiting_30_days",
    "risk_limit_by",
    "curve",
    "spares",
    "risk_before_arrival",
    "coming_on",
    "ordered_before",
    "fitted",
    "cheapest_on",
    "risk_limit",
    "dated_by_risk",
    "now_costs_more",
    "later_costs_more",
    "later_days",
    "unit_cost",
    "lead_days",
    "lead_days_late",
    "failures",
    "belief_share",
)


def preorder(
    records: Records,
    as_of: date,
    *,
    risk_limit: float | None = None,
    max_days: int = MAX_DAYS,
    express_premium: float | None = None,
    models: Mapping[str, NeedModel] | None = None,
    lives: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """By when should the next one of every costly part be ordered?

    One row per fitted costly part, the most urgent first, asked on the day ``as_of``:
    ``part_kind, variant, printer, position, age_days``; ``order_by`` (date of least expected cost,
    ``cheapest_on``, or of the risk limit where that is earlier, ``dated_by_risk``; None while both
    lie beyond ``max_days``); ``risk_if_ordered_now`` and ``risk_if_waiting_30_days``: chance that
    the spare is needed before one ordered then is there; ``risk_limit_by``: last date on which
    that risk stays within the limit (None when even ordering now exceeds it); ``risk_limit`` that
    was accepted (NaN: none); ``curve``: [[day, cost], …], and of it ``now_costs_more``, what
    ordering today costs beyond that date, and ``later_costs_more``, what ordering ``later_days``
    after it does (NaN without a date); ``spares`` on the shelf and on the way, those
    ``ordered_before`` that the rows above ask for, and the parts ``fitted`` that they serve;
    ``risk_before_arrival``: chance that one is needed before the last on its way is here, on
    ``coming_on`` (NaN, None: none is on its way), which no usual order mends any more. A spare of
    another type is none: each type is a pool of its own.

    A spare on the shelf or on order serves whichever part of its type fails first. Every figure of
    a row is that of the next spare, after all that are there or coming and those that the rows
    above (same type) ask for: it serves the next failure in the pool that none of them serves
    (``failure_counts``), and is named after the part most at risk. For a single part without a
    spare that is its own ``order_curve``. A printer whose ``retired_on`` lies ahead needs none
    after that day.

    ``risk_limit``: accepted risk (None: the workshop's setting). Where neither is given, money
    alone dates the order and ``risk_limit_by`` is told for 1 − the service level.
    ``express_premium``: paid where a part dies before its spare was ordered (the
    workshop's setting when None). ``models`` and ``lives`` may be given where
    ``need_models`` and ``life_table`` of that day are already there. ``records``: everything that
    was written down; only what was known on the day is used, besides printers that were then
    already to leave.

    Raises:
        UsageError: a risk limit that is not above 0 and below 1.
    """
    limit = accepted_risk(records) if risk_limit is None else risk_limit
    if limit is not None and not 0 < limit < 1:
        raise UsageError(f"risk limit: {limit:g} is no chance; give 0.1 for 10 %.")
    if express_premium is None:
        express_premium = max(0.0, records.number("express_premium"))
    known = records.known_at(as_of)
    lives = life_table(known, as_of) if lives is None else lives
    models = need_models(known, as_of, lives) if models is None else models
    parts = [part for part in part_types(known) if part.part_kind in models]
    parts = [part for part in parts if known.part_facts(*part).costly]
    costly = {part.part_kind: models[part.part_kind] for part in parts}
    positions = fitted_positions(known, as_of, costly, lives)
    positions = with_leaving_printers(positions, leaving(records, as_of, positions), as_of)
    leads, cost_of, shelf = lead_times(known, as_of), type_prices(known), on_hand(known, as_of)
    waiting = open_orders(known, as_of, leads)
    downtime = Downtime.of(known, as_of)
    rows: list[dict[str, object]] = []
    for part in parts:
        price = cost_of[part].amount
        coming = waiting[of_type(waiting, part)]
        in_days = (coming["likely_on"] - pd.Timestamp(as_of)).dt.days
        pool = Pool(
            model=costly[part.part_kind],
            lead=leads[part],
            costs=OrderCosts(
                downtime_per_day=downtime.per_day,
                longest_wait_days=downtime.longest_wait_days,
                holding_per_day=holding_share_per_day(known) * price,
                express_premium=express_premium,
                shelf_life_days=known.part_facts(*part).shelf_life_days,
                unit_cost=price,
            ),
            on_hand=shelf.get(part, OnHand()).usable,
            coming=coming["quantity"].groupby(in_days).sum(),
            max_days=max_days,
            risk_limit=limit,
            usual_risk=1 - known.number("service_level"),
        )
        rows += pool.rows(positions[of_type(positions, part)], as_of)
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    urgency = pd.to_datetime(table["order_by"]).fillna(pd.Timestamp.max)
    return table.iloc[np.argsort(urgency.to_numpy(), kind="stable")].reset_index(drop=True)


def accepted_risk(records: Records) -> float | None:
    """The risk of running out of a costly part that the workshop set; None where it set none."""
    return records.number("risk_limit") or None


@dataclass(frozen=True, eq=False)
class Pool:
    """The fitted parts of one costly type and the spares they share.

    ``on_hand`` pieces on the shelf and those ``coming``, by the days from now of their arrival.
    ``risk_limit`` brings orders forward; without one ``usual_risk`` is only told.
    """

    model: NeedModel
    lead: LeadTime
    costs: OrderCosts
    on_hand: int
    max_days: int
    coming: pd.Series = field(default_factory=lambda: pd.Series(dtype=int))
    risk_limit: float | None = None
    usual_risk: float = 0.05

    @property
    def spares(self) -> int:
        """Pieces there or on their way."""
        return self.on_hand + int(self.coming.sum())

    def rows(self, parts: pd.DataFrame, as_of: date) -> list[dict[str, object]]:
        """One row per part, in the order in which they should be ordered for."""
        if parts.empty:
            return []
        times = time_grid(self.lead, self.costs.shelf_life_days, self.max_days)
        group, ages = parts["group"].to_numpy(), ages_of(parts)
        nodes = {name: nodes_for_one(self.model.posterior(name)) for name in dict.fromkeys(group)}
        until = parts["until"].to_numpy(dtype=float)
        counts = FailureCounts.of(nodes, group, ages, times[-1], until=until)
        arrival = self._until_arrival(counts, as_of)
        facts = {name: self._facts(name, len(parts), as_of) | arrival for name in nodes}
        listed = parts[["part_kind", "variant", "printer", "position"]].to_dict(orient="records")
        known_age = parts["age"].where(parts["age_known"].astype(bool)).to_numpy(dtype=float)
        soon = failed_within(nodes, group, ages, self.lead.typical_days + WAITING_DAYS)
        # What is on its way serves the failures before, even where it comes late: a new order
        # would come later still.
        served = self.spares
        advice: dict[str, object] = {}
        rows: list[dict[str, object]] = []
        for i in np.argsort(-soon, kind="stable"):
            # The next spare serves the next failure, whichever part it is; it is named after the
            # part most at risk. Where even that one is not worth a date, none after it is.
            if not advice or advice["order_by"] is not None:
                served += 1
                next_failure = counts.at_least(served, times)
                curve = curve_of_failures(times, next_failure, self.lead, self.costs, self.max_days)
                advice = self._advice(curve, as_of) | {"ordered_before": served - 1 - self.spares}
            age = {"age_days": float(known_age[i])}
            rows.append({**listed[i], **age, **facts[group[i]], **advice})
        return rows

    def _facts(self, group: str, fitted: int, as_of: date) -> dict[str, object]:
        """What holds of every part of a group."""
        posterior = self.model.posterior(group)
        return {
            "as_of": as_of,
            "spares": self.spares,
            "fitted": fitted,
            "risk_limit": np.nan if self.risk_limit is None else self.risk_limit,
            "unit_cost": self.costs.unit_cost,
            "lead_days": self.lead.typical_days,
            "lead_days_late": self.lead.late_days,
            "failures": int(posterior.failures),
            "belief_share": posterior.belief_share,
        }

    def _until_arrival(self, counts: FailureCounts, as_of: date) -> dict[str, object]:
        """How likely one is needed before those on their way are here, and when the last is."""
        ahead = self.coming[self.coming.index > 0].sort_index()
        if ahead.empty:
            return {"risk_before_arrival": np.nan, "coming_on": None}
        days = ahead.index.to_numpy(dtype=float)
        there = self.spares - int(ahead.sum())
        before_each = [there, *(there + int(pieces) for pieces in ahead.cumsum()[:-1])]
        # Up to one more failure than the spares can serve: what is beyond is as bad.
        at_least = [counts.at_least(k, days) for k in range(1, before_each[-1] + 2)]
        upto = 1 - np.array([*at_least, np.zeros(len(days))])
        laws = [np.diff(own, prepend=0.0) for own in upto.T]
        return {
            "risk_before_arrival": chance_of_running_short(laws, before_each),
            "coming_on": as_of + timedelta(days=int(days[-1])),
        }

    def _advice(self, curve: OrderCurve, as_of: date) -> dict[str, object]:
        """What the next spare's curve says."""
        cheapest = curve.cheapest_day
        within = curve.order_by(self.risk_limit or self.usual_risk)
        day = cheapest
        if self.risk_limit and (within is None or within < self.max_days):
            day = min(within or 0, self.max_days if cheapest is None else cheapest)

        def on(days: int | None) -> date | None:
            return None if days is None else as_of + timedelta(days=days)

        return {
            "order_by": on(day),
            "risk_if_ordered_now": curve.risk_if_ordered_now,
            "risk_if_waiting_30_days": curve.risk_if_waiting_30_days,
            "risk_limit_by": on(within),
            "cheapest_on": on(cheapest),
            "dated_by_risk": bool(
                self.risk_limit and day is not None and (cheapest is None or day < cheapest)
            ),
            "curve": [
                [day, round(cost, 2)]
                for day, cost in zip(
                    curve.curve["day"].tolist(), curve.curve["expected_cost"].tolist(), strict=True
                )
            ],
            **_beside_that_day(curve.curve["expected_cost"].to_numpy(), day),
        }


def _beside_that_day(costs: Array, day: int | None) -> dict[str, Any]:
    """What another day of ordering costs more: today, and WAITING_DAYS (or fewer) later."""
    if day is None:
        return {"now_costs_more": np.nan, "later_costs_more": np.nan, "later_days": np.nan}
    wait = min(WAITING_DAYS, len(costs) - 1 - day)
    return {
        "now_costs_more": float(costs[0] - costs[day]),
        "later_costs_more": float(costs[day + wait] - costs[day]),
        "later_days": wait,
    }


def failed_within(
    nodes: Mapping[str, Nodes], group: NDArray[np.object_], ages: PositionAges, days: float
) -> Array:
    """The chance that each part, of these groups and ages (days), fails within so many days."""
    found = np.zeros(len(ages))
    for name, life in nodes.items():
        mine = np.flatnonzero(group == name)
        table = ages[mine].table()
        gained = life.cumulative_hazard(table.ages + days) - life.cumulative_hazard(table.ages)
        failed = table.rows(life.weight @ -np.expm1(-gained), 0)
        found[mine] = failed[table.row_of]
    return found
