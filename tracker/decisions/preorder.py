"""By when to order the next head, or any costly part: one row per fitted part.

The curve behind each date is ``order_curve``; this module adds what is on the shelf and on order,
and what other printers may take of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions import wording
from tracker.decisions.demand.fitted_positions import fitted_positions
from tracker.decisions.demand.parameter_nodes import nodes_for_one
from tracker.decisions.demand.pool_failures import PoolFailures
from tracker.decisions.demand.printers_ahead import leaving, with_leaving_printers
from tracker.decisions.need import NeedModel, need_models
from tracker.decisions.ordering.order_curve import (
    MAX_DAYS,
    WAITING_DAYS,
    OrderCosts,
    OrderCurve,
    curve_of_failures,
    order_curve,
    time_grid,
)
from tracker.decisions.ordering.orders import LeadTime, lead_times, open_orders, prices
from tracker.decisions.ordering.shared_spares import SharedShelf, supply_by
from tracker.decisions.ordering.shelf import OnHand, on_hand
from tracker.errors import UsageError
from tracker.lives.life_table import life_table
from tracker.records import vocabulary as words
from tracker.records.model import Records

__all__ = ["COLUMNS", "OrderCurve", "order_curve", "preorder"]

IN_TURN = 12  # positions of a kind up to which its spares are ordered by these dates

COLUMNS = (
    "part_kind",
    "printer",
    "position",
    "age_days",
    "order_by",
    "verdict",
    "risk_if_ordered_now",
    "risk_if_waiting_30_days",
    "risk_limit_by",
    "curve",
    "spares",
    "reason",
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

    One row per fitted costly part, the most urgent first: ``part_kind, printer, position,
    age_days``; ``order_by`` (date of least expected cost; None while that lies beyond
    ``max_days``) and ``verdict`` in words; ``risk_if_ordered_now`` and
    ``risk_if_waiting_30_days``: chance that it fails with no spare for it before one ordered then
    is there; ``risk_limit_by``: last date on which that risk stays within ``risk_limit`` (1 − the
    service level when None; None when even ordering now exceeds it); ``curve``: [[day, cost], …];
    ``spares`` on the shelf and on the way; a ``reason``. The stock knows no head types: a workshop
    with two of them keeps them as two part kinds.

    A spare on the shelf or on order serves whichever part of its kind fails first. The risks are
    the part's own and count a spare from the day it is there. ``order_by`` and ``curve`` are those
    of the next spare, after all that are there or coming and those that the rows above (same kind)
    ask for: it serves the next failure in the pool that none of them serves
    (``pool_failures``), and is named after the part most at risk. For a single part without a
    spare that is its own ``order_curve``. A printer whose ``retired_on`` lies ahead needs none
    after that day. ``express_premium``: paid where a part dies before its spare was ordered (the
    workshop's setting when None). ``models`` and ``lives`` may be given where
    ``need_models`` and ``life_table`` of that day are already there.

    Raises:
        UsageError: a risk limit that is not above 0 and below 1.
    """
    limit = 1 - records.number("service_level") if risk_limit is None else risk_limit
    if not 0 < limit < 1:
        raise UsageError(f"risk limit: {limit:g} is no chance; give 0.1 for 10 %.")
    if express_premium is None:
        express_premium = max(0.0, records.number("express_premium"))
    lives = life_table(records, as_of) if lives is None else lives
    models = need_models(records, as_of, lives) if models is None else models
    costly = {kind: model for kind, model in models.items() if model.facts.costly}
    positions = fitted_positions(records, as_of, costly, lives)
    positions = with_leaving_printers(positions, leaving(records, as_of, positions), as_of)
    leads, cost_of, shelf = (
        lead_times(records, as_of),
        prices(records, as_of),
        on_hand(records, as_of),
    )
    waiting = open_orders(records, as_of, leads)
    rows: list[dict[str, object]] = []
    for kind, model in costly.items():
        price = cost_of[kind].amount
        costs = OrderCosts(
            standing_per_day=max(
                0.0, records.number("margin_per_hour") * records.number("hours_per_day")
            ),
            holding_per_day=max(0.0, records.number("holding_rate_per_year")) / 365 * price,
            express_premium=express_premium,
            shelf_life_days=model.facts.shelf_life_days,
            unit_cost=price,
        )
        coming = waiting[waiting["part_kind"] == kind]
        arrivals = [
            (float((day - as_of).days), int(pieces))
            for day, pieces in zip(coming["likely_on"].dt.date, coming["quantity"], strict=True)
        ]
        pool = Pool(
            model, leads[kind], costs, shelf.get(kind, OnHand()).usable, arrivals, max_days,
            records.setting("currency"),
        )  # fmt: skip
        own = positions[positions["part_kind"] == kind]
        rows += [found | {"unit_cost": price} for found in pool.rows(own, as_of, limit)]
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    urgency = pd.to_datetime(table["order_by"]).fillna(pd.Timestamp.max)
    return table.iloc[np.argsort(urgency.to_numpy(), kind="stable")].reset_index(drop=True)


@dataclass(frozen=True, eq=False)
class Pool:
    """The fitted parts of one costly kind and the spares they share."""

    model: NeedModel
    lead: LeadTime
    costs: OrderCosts
    on_shelf: int
    arrivals: Sequence[tuple[float, int]]
    max_days: int
    currency: str = "EUR"

    def rows(self, parts: pd.DataFrame, as_of: date, limit: float) -> list[dict[str, object]]:
        """One row per part, in the order in which they should be ordered for."""
        if parts.empty:
            return []
        times = time_grid(self.lead, self.costs.shelf_life_days, self.max_days)
        nodes = {
            name: nodes_for_one(self.model.posterior(name))
            for name in dict.fromkeys(parts["group"])
        }
        group, ages = parts["group"].to_numpy(), parts["age"].to_numpy(dtype=float)
        shelf = SharedShelf.of_groups(nodes, group, ages, times)
        until = parts["until"].to_numpy(dtype=float)
        pool = PoolFailures.of(nodes, group, ages, times[-1], until=until)
        there = supply_by(times, self.on_shelf, self.arrivals)
        alike: dict[tuple[object, ...], OrderCurve] = {}  # parts of one life, age and end
        known = {name: self._evidence(name) for name in nodes}

        def own_risk(i: int) -> OrderCurve:
            key = (shelf.group[i], int(shelf.row[i]), float(until[i]))
            if key not in alike:
                unserved = shelf.unserved_by(i, there)
                unserved = np.interp(np.minimum(times, until[i]), times, unserved)
                alike[key] = curve_of_failures(
                    times, unserved, self.lead, self.costs, self.max_days
                )
            return alike[key]

        # What is on its way serves the failures before, even where it comes late: a new order
        # would come later still. Only the risk tells the two apart.
        served = self.on_shelf + sum(pieces for _, pieces in self.arrivals)
        curve: OrderCurve | None = None
        of_curve: dict[str, object] = {}
        rows: list[dict[str, object]] = []
        listed = parts[["part_kind", "printer", "position"]].to_dict(orient="records")
        known_age = np.where(parts["age_known"].to_numpy(dtype=bool), ages, np.nan)
        for i in np.argsort(-shelf.failed_by(self.lead.typical_days + 30), kind="stable"):
            # The next spare serves the next failure, whichever part it is; it is named after the
            # part most at risk. Where even that one is not worth a date, none after it is.
            if curve is None or not curve.still_falling:
                served += 1
                next_failure = pool.at_least(served, times)
                curve = curve_of_failures(times, next_failure, self.lead, self.costs, self.max_days)
                of_curve = self._advice(curve, as_of, len(parts), served - 1)
            own = {"age_days": float(known_age[i])} | self._risks(own_risk(int(i)), as_of, limit)
            rows.append({**listed[i], **own, **of_curve, **known[group[i]]})
        return rows

    def _advice(self, curve: OrderCurve, as_of: date, parts: int, before: int) -> dict[str, object]:
        """What the next spare's curve says; ``before`` spares serve the ``parts`` already."""
        return {
            "order_by": None if curve.still_falling else as_of + timedelta(days=curve.best_day),
            "verdict": curve.verdict(as_of),
            "curve": [
                [day, round(cost, 2)]
                for day, cost in zip(
                    curve.curve["day"].tolist(), curve.curve["expected_cost"].tolist(), strict=True
                )
            ],
            "spares": self.on_shelf + sum(pieces for _, pieces in self.arrivals),
            "reason": self._reason(curve, parts, before),
            "lead_days": self.lead.typical_days,
            "lead_days_late": self.lead.late_days,
        }

    @staticmethod
    def _risks(now: OrderCurve, as_of: date, limit: float) -> dict[str, object]:
        """How likely the part itself stands without a spare."""
        within = now.order_by(limit)
        return {
            "risk_if_ordered_now": now.risk_if_ordered_now,
            "risk_if_waiting_30_days": now.risk_if_waiting_30_days,
            "risk_limit_by": None if within is None else as_of + timedelta(days=within),
        }

    def _evidence(self, group: str) -> dict[str, object]:
        posterior = self.model.posterior(group)
        return {"failures": int(posterior.failures), "belief_share": posterior.belief_share}

    def _reason(self, curve: OrderCurve, parts: int, before: int) -> str:
        """Why on that day: ``before`` spares serve the ``parts`` already or are asked for above."""
        label = words.part_label(self.model.part_kind).lower()
        spares = self.on_shelf + sum(pieces for _, pieces in self.arrivals)
        have = f"{wording.count(spares, f'spare {label}')} there or coming"
        have += f" and {before - spares} to be ordered before" if before > spares else ""
        costs = curve.curve["expected_cost"].to_numpy()
        later = float(costs[min(WAITING_DAYS, len(costs) - 1)] - costs[0])
        more = ""
        if curve.best_day == 0 and not curve.still_falling:
            more = f", which costs {self._money(later)} more on average (standing still)"
        later_risk = wording.chance(curve.risk_if_waiting_30_days)
        return (
            f"{have[0].upper()}{have[1:]}, for {parts} in the printers. Chance of running out "
            f"before one ordered now is here: {wording.chance(curve.risk_if_ordered_now)}; "
            f"if ordered {WAITING_DAYS} days later: {later_risk}{more}. "
            f"Delivery usually takes {wording.days(self.lead.typical_days)}, nine in ten come "
            f"within {wording.days(self.lead.late_days)}."
        )

    def _money(self, amount: float) -> str:
        return wording.money(amount, self.currency)
