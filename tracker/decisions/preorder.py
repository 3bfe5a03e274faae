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
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.order_curve import (
    MAX_DAYS,
    WAITING_DAYS,
    OrderCosts,
    OrderCurve,
    curve_of_failures,
    order_curve,
    time_grid,
    verdict,
)
from tracker.decisions.ordering.orders import LeadTime, lead_times, open_orders, prices
from tracker.decisions.ordering.shelf import OnHand, on_hand
from tracker.errors import UsageError
from tracker.forecast.need import NeedModel, need_models
from tracker.forecast.positions.failure_counts import PoolFailures
from tracker.forecast.positions.fitted_positions import fitted_positions
from tracker.forecast.positions.printers_ahead import leaving, with_leaving_printers
from tracker.forecast.renewal.parameter_nodes import Nodes, nodes_for_one
from tracker.lives.life_table import life_table
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

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
    age_days``; ``order_by`` (date of least expected cost, or of the risk limit where that is
    earlier; None while both lie beyond ``max_days``) and ``verdict`` in words;
    ``risk_if_ordered_now`` and ``risk_if_waiting_30_days``: chance that the spare is needed before
    one ordered then is there; ``risk_limit_by``: last date on which that risk stays within the
    limit (None when even ordering now exceeds it); ``curve``: [[day, cost], …]; ``spares`` on the
    shelf and on the way; a ``reason``. The stock knows no head types: a workshop with two of them
    keeps them as two part kinds.

    A spare on the shelf or on order serves whichever part of its kind fails first. Every figure of
    a row is that of the next spare, after all that are there or coming and those that the rows
    above (same kind) ask for: it serves the next failure in the pool that none of them serves
    (``pool_failures``), and is named after the part most at risk. For a single part without a
    spare that is its own ``order_curve``. A printer whose ``retired_on`` lies ahead needs none
    after that day.

    ``risk_limit``: accepted risk (None: the workshop's setting). Where neither is given, money
    alone dates the order and ``risk_limit_by`` is told for 1 − the service level.
    ``express_premium``: paid where a part dies before its spare was ordered (the
    workshop's setting when None). ``models`` and ``lives`` may be given where
    ``need_models`` and ``life_table`` of that day are already there.

    Raises:
        UsageError: a risk limit that is not above 0 and below 1.
    """
    limit = accepted_risk(records) if risk_limit is None else risk_limit
    if limit is not None and not 0 < limit < 1:
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
    downtime = Downtime.of(records.known_at(as_of), as_of)
    rows: list[dict[str, object]] = []
    for kind, model in costly.items():
        price = cost_of[kind].amount
        costs = OrderCosts(
            standing_per_day=downtime.per_day,
            longest_wait_days=downtime.longest_wait_days,
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
            records.setting("currency"), limit, 1 - records.number("service_level"),
        )  # fmt: skip
        own = positions[positions["part_kind"] == kind]
        rows += [found | {"unit_cost": price} for found in pool.rows(own, as_of)]
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    urgency = pd.to_datetime(table["order_by"]).fillna(pd.Timestamp.max)
    return table.iloc[np.argsort(urgency.to_numpy(), kind="stable")].reset_index(drop=True)


def accepted_risk(records: Records) -> float | None:
    """The risk of running out of a costly part that the workshop set; None where it set none."""
    return records.number("risk_limit") or None


@dataclass(frozen=True, eq=False)
class Pool:
    """The fitted parts of one costly kind and the spares they share.

    ``risk_limit`` brings orders forward; without one ``usual_risk`` is only told.
    """

    model: NeedModel
    lead: LeadTime
    costs: OrderCosts
    on_shelf: int
    arrivals: Sequence[tuple[float, int]]
    max_days: int
    currency: str = "EUR"
    risk_limit: float | None = None
    usual_risk: float = 0.05

    def rows(self, parts: pd.DataFrame, as_of: date) -> list[dict[str, object]]:
        """One row per part, in the order in which they should be ordered for."""
        if parts.empty:
            return []
        times = time_grid(self.lead, self.costs.shelf_life_days, self.max_days)
        nodes = {
            name: nodes_for_one(self.model.posterior(name))
            for name in dict.fromkeys(parts["group"])
        }
        group, ages = parts["group"].to_numpy(), parts["age"].to_numpy(dtype=float)
        until = parts["until"].to_numpy(dtype=float)
        pool = PoolFailures.of(nodes, group, ages, times[-1], until=until)
        known = {name: self._evidence(name) for name in nodes}

        # What is on its way serves the failures before, even where it comes late: a new order
        # would come later still.
        served = self.on_shelf + sum(pieces for _, pieces in self.arrivals)
        advice: dict[str, object] = {}
        rows: list[dict[str, object]] = []
        listed = parts[["part_kind", "printer", "position"]].to_dict(orient="records")
        known_age = np.where(parts["age_known"].to_numpy(dtype=bool), ages, np.nan)
        soon = failed_within(nodes, group, ages, self.lead.typical_days + WAITING_DAYS)
        for i in np.argsort(-soon, kind="stable"):
            # The next spare serves the next failure, whichever part it is; it is named after the
            # part most at risk. Where even that one is not worth a date, none after it is.
            if not advice or advice["order_by"] is not None:
                served += 1
                next_failure = pool.at_least(served, times)
                curve = curve_of_failures(times, next_failure, self.lead, self.costs, self.max_days)
                advice = self._advice(curve, as_of, len(parts), served - 1)
            age = {"age_days": float(known_age[i])}
            rows.append({**listed[i], **age, **advice, **known[group[i]]})
        return rows

    def _advice(self, curve: OrderCurve, as_of: date, parts: int, before: int) -> dict[str, object]:
        """What the next spare's curve says; ``before`` spares serve the ``parts`` already."""
        cheapest = None if curve.still_falling else curve.best_day
        within = curve.order_by(self.risk_limit or self.usual_risk)
        day = cheapest
        if self.risk_limit and (within is None or within < self.max_days):
            day = min(within or 0, self.max_days if cheapest is None else cheapest)
        return {
            "order_by": None if day is None else as_of + timedelta(days=day),
            "verdict": verdict(day, as_of),
            "risk_if_ordered_now": curve.risk_if_ordered_now,
            "risk_if_waiting_30_days": curve.risk_if_waiting_30_days,
            "risk_limit_by": None if within is None else as_of + timedelta(days=within),
            "curve": [
                [day, round(cost, 2)]
                for day, cost in zip(
                    curve.curve["day"].tolist(), curve.curve["expected_cost"].tolist(), strict=True
                )
            ],
            "spares": self.on_shelf + sum(pieces for _, pieces in self.arrivals),
            "reason": self._reason(curve, day, as_of, parts, before),
            "lead_days": self.lead.typical_days,
            "lead_days_late": self.lead.late_days,
        }

    def _evidence(self, group: str) -> dict[str, object]:
        posterior = self.model.posterior(group)
        return {"failures": int(posterior.failures), "belief_share": posterior.belief_share}

    def _reason(
        self, curve: OrderCurve, day: int | None, as_of: date, parts: int, before: int
    ) -> str:
        """Why on that day: ``before`` spares serve the ``parts`` already or are asked for above."""
        label = words.part_label(self.model.part_kind).lower()
        spares = self.on_shelf + sum(pieces for _, pieces in self.arrivals)
        have = f"{numbers.count(spares, f'spare {label}')} there or coming"
        have += f" and {before - spares} to be ordered before" if before > spares else ""
        later_risk = numbers.chance(curve.risk_if_waiting_30_days)
        return (
            f"{have[0].upper()}{have[1:]}, for {parts} in the printers. Chance of running out "
            f"before one ordered now is here: {numbers.chance(curve.risk_if_ordered_now)}; "
            f"if ordered {WAITING_DAYS} days later: {later_risk}{self._why(curve, day, as_of)}. "
            f"Delivery usually takes {numbers.days(self.lead.typical_days)}, nine in ten come "
            f"within {numbers.days(self.lead.late_days)}."
        )

    def _why(self, curve: OrderCurve, day: int | None, as_of: date) -> str:
        """What speaks for that day, in money or by the risk limit."""
        if day is None:
            return ""
        if self.risk_limit and (curve.still_falling or day < curve.best_day):
            limit = numbers.chance(self.risk_limit)
            least = (
                "" if curve.still_falling
                else f"; by money alone {numbers.day(as_of + timedelta(days=curve.best_day))}"
            )  # fmt: skip
            if curve.risk_if_ordered_now > self.risk_limit:
                return f". That is above your risk limit of {limit} already{least}"
            return f". From then on it is above your risk limit of {limit}{least}"
        costs = curve.curve["expected_cost"].to_numpy()
        wait = min(WAITING_DAYS, len(costs) - 1 - day)
        later = self._money(float(costs[day + wait] - costs[day]))
        if day == 0:
            return f", which costs {later} more on average (standing still)"
        early = self._money(float(costs[0] - costs[day]))
        said = f". That day costs least: ordering today costs {early} more (holding it longer)"
        if wait > 0:
            said += f", {numbers.days(wait)} after it {later} more (standing still)"
        return said

    def _money(self, amount: float) -> str:
        return numbers.money(amount, self.currency)


def failed_within(
    nodes: Mapping[str, Nodes], group: NDArray[np.object_], ages: Array, days: float
) -> Array:
    """The chance that each part, of these groups and ages (days), fails within so many days."""
    found = np.zeros(len(ages))
    for name, life in nodes.items():
        mine = np.flatnonzero(group == name)
        old = ages[mine]
        hazard = life.cumulative_hazard(np.concatenate([old, old + days]))
        before, after = hazard[:, : len(mine)], hazard[:, len(mine) :]
        found[mine] = -(life.weight @ np.expm1(before - after))
    return found
