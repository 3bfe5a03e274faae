"""How many spares of every part kind to keep, and what to order now.

An order placed today has to last until the one placed at the next review has come: delivery time
plus review interval. The delivery time is uncertain, so the need is averaged over it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import ceil

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions import wording
from tracker.decisions.fitted_positions import (
    Sources,
    fitted_positions,
    kind_need,
    with_more_printers,
)
from tracker.decisions.need import NeedModel, need_models
from tracker.decisions.orders import LeadTime, lead_time_of, lead_times, open_orders, prices
from tracker.decisions.shelf import OnHand, on_hand
from tracker.decisions.spare_stock import chance_of_shortage, least_cost_stock, stock_for_service
from tracker.decisions.sums_of_counts import matched_law
from tracker.errors import UsageError
from tracker.lives.life_table import life_table
from tracker.records.model import PartFacts, Records

Array = NDArray[np.float64]

COLUMNS = (
    "part_kind",
    "fitted",
    "on_hand",
    "on_order",
    "horizon_days",
    "expected_need",
    "chance_of_need",
    "stock_for_service",
    "stock_least_cost",
    "chance_of_shortage_now",
    "order_now",
    "reason",
    "unit_cost",
    "cost",
    "pack_size",
    "lead_days",
    "lead_days_late",
    "arriving",
    "expired",
    "shortage_cost",
    "failures",
    "belief_share",
)


def stock_table(
    records: Records,
    as_of: date,
    service: float | None = None,
    *,
    lead_days: float | None = None,
    more_printers: int = 0,
    planned_ages: Mapping[str, float] | None = None,
    models: Mapping[str, NeedModel] | None = None,
) -> pd.DataFrame:
    """What should lie on the shelf, what does, and what is to be ordered now?

    Args:
        service: wanted chance of no shortage until the next order could be here; the workshop's
            setting when None.
        lead_days: what if every delivery took this long?
        more_printers: what if there were so many more printers, equipped as the fullest one?
        planned_ages: age at which working parts of a kind are changed by plan, days.
        models: from ``need_models`` where already there.

    Returns:
        One row per part kind, COLUMNS: pieces ``fitted``, ``on_hand`` (usable) and ``on_order``;
        ``horizon_days`` = usual delivery + review interval; ``expected_need`` and
        ``chance_of_need`` (list, [k] = chance of needing exactly k) over delivery + review, the
        delivery's uncertainty included; ``stock_for_service``, ``stock_least_cost``;
        ``chance_of_shortage_now``: more needed than is on hand or comes in that time;
        ``order_now`` in whole packs with its ``reason``; ``unit_cost`` and ``cost`` of that order
        in currency units; ``arriving``: ordered pieces likely here in that time;
        ``shortage_cost`` of one missing piece.

    Raises:
        UsageError: a service level that is not above 0 and below 1, or a negative lead time.
    """
    service = records.number("service_level") if service is None else service
    if not 0 < service < 1:
        raise UsageError(f"service: {service:g} is not a chance; give 0.95 for 95 %.")
    if lead_days is not None and not 0 <= lead_days < np.inf:
        raise UsageError(f"lead_days: {lead_days:g} is no delivery time; give days of 0 or more.")
    lives = life_table(records, as_of)
    models = need_models(records, as_of, lives) if models is None else models
    positions = with_more_printers(fitted_positions(records, as_of, models, lives), more_printers)
    leads, cost_of, shelf = (
        lead_times(records, as_of),
        prices(records, as_of),
        on_hand(records, as_of),
    )
    waiting = open_orders(records, as_of, leads)
    sources = Sources(models)
    review_days = max(0.0, records.number("review_days"))
    standing = max(0.0, records.number("margin_per_hour") * records.number("hours_per_day"))
    holding_rate = max(0.0, records.number("holding_rate_per_year")) / 365.0
    rows = []
    for kind, model in models.items():
        lead = leads[kind] if lead_days is None else lead_time_of(lead_days, lead_days)
        lengths, weights = lead.points()
        need = kind_need(positions, kind, models, (planned_ages or {}).get(kind), sources)
        chances = _mixed([need.demand(days + review_days) for days in lengths], weights)
        coming = waiting[waiting["part_kind"] == kind]
        horizon = lead.typical_days + review_days
        until = pd.Timestamp(as_of) + pd.Timedelta(days=horizon)
        kept = _Kept(
            facts=model.facts,
            lead=lead,
            horizon=horizon,
            chances=chances,
            shelf=shelf.get(kind, OnHand()),
            arriving=int(coming.loc[coming["likely_on"] <= until, "quantity"].sum()),
            late=int(coming.loc[coming["days_late"] > 0, "quantity"].sum()),
            unit_cost=cost_of[kind].amount,
            # A set that goes at once keeps the printer waiting once, not once for each piece.
            shortage_cost=standing * lead.mean_days / need.pieces_at_once(horizon),
            holding_per_day=holding_rate * cost_of[kind].amount,
        )
        rows.append(
            kept.row(service, need.positions, int(coming["quantity"].sum()))
            | {"failures": model.failures + model.accidents, "belief_share": model.belief_share}
        )
    return pd.DataFrame(rows, columns=list(COLUMNS))


def usable_in_shelf_life(expected: float, horizon_days: float, shelf_life_days: float) -> int:
    """How many pieces will on average be used before they grow too old? At least one.

    ``expected`` is the need over the horizon.
    """
    if horizon_days <= 0:
        return max(1, ceil(expected))
    return max(1, ceil(expected / horizon_days * shelf_life_days))


def pieces_to_order(target: int, available: int, pack_size: int, usable: int) -> int:
    """How many pieces to order: whole packs up to the target, not more than can be used.

    ``usable`` is what is used before it grows too old; one pack is ordered in any case.

    >>> pieces_to_order(target=5, available=3, pack_size=4, usable=30)
    4
    """
    missing = target - available
    if missing <= 0:
        return 0
    pack = max(1, pack_size)
    room = max(usable, target) - available
    return pack * max(1, min(ceil(missing / pack), room // pack))


def _mixed(laws: list[Array], weights: Array) -> Array:
    mixed = np.zeros(max(len(law) for law in laws))
    for law, weight in zip(laws, weights, strict=True):
        mixed[: len(law)] += weight * law
    last = np.flatnonzero(mixed > 1e-9)
    mixed = mixed[: last[-1] + 1]
    return np.asarray(mixed / mixed.sum())


@dataclass(frozen=True, eq=False)
class _Kept:
    """One kind's need beside what there is of it."""

    facts: PartFacts
    lead: LeadTime
    horizon: float
    chances: Array
    shelf: OnHand
    arriving: int
    late: int
    unit_cost: float
    shortage_cost: float
    holding_per_day: float

    @property
    def expected(self) -> float:
        return float(self.chances @ np.arange(len(self.chances)))

    @property
    def available(self) -> int:
        return self.shelf.usable + self.arriving

    def row(self, service: float, fitted: int, on_order: int) -> dict[str, object]:
        target = stock_for_service(self.chances, service)
        cheapest = self._cheapest()
        short = chance_of_shortage(self.chances, self.available)
        order = self._order(target)
        return {
            "part_kind": self.facts.part_kind,
            "fitted": fitted,
            "on_hand": self.shelf.usable,
            "on_order": on_order,
            "horizon_days": round(self.horizon, 1),
            "expected_need": self.expected,
            "chance_of_need": self.chances.tolist(),
            "stock_for_service": target,
            "stock_least_cost": cheapest,
            "chance_of_shortage_now": short,
            "order_now": order,
            "reason": self._reason(target, order, short, service),
            "unit_cost": self.unit_cost,
            "cost": order * self.unit_cost,
            "pack_size": self.facts.pack_size,
            "lead_days": self.lead.typical_days,
            "lead_days_late": self.lead.late_days,
            "arriving": self.arriving,
            "expired": self.shelf.expired,
            "shortage_cost": self.shortage_cost,
        }

    def usable_in_shelf_life(self) -> int:
        return usable_in_shelf_life(self.expected, self.horizon, self.facts.shelf_life_days)

    def _order(self, target: int) -> int:
        pack = self.facts.pack_size
        return pieces_to_order(target, self.available, pack, self.usable_in_shelf_life())

    def _cheapest(self) -> int:
        if self.horizon <= 0:
            return 0
        holding = self.holding_per_day * self.horizon
        return least_cost_stock(
            self.chances, self.shortage_cost, holding, wasted=self._wasted()
        ).stock

    def _wasted(self) -> Array:
        """Expected cost over the horizon of pieces that grow too old, for each stock.

        The need over the shelf life is the horizon's, its mean stretched in proportion and its
        extra variance with the square (the rate is what is uncertain).
        """
        stretch = self.facts.shelf_life_days / self.horizon
        need = np.arange(len(self.chances))
        extra = max(0.0, float(self.chances @ need**2) - self.expected**2 - self.expected)
        mean = max(self.expected * stretch, 1e-9)
        law = matched_law(np.array([mean]), np.array([mean + extra * stretch**2]), np.ones(1))[0]
        below = np.concatenate([[0.0], np.cumsum(law)])[: len(need)]
        below = np.pad(below, (0, len(need) - len(below)), constant_values=1.0)
        # The j-th piece is wasted when fewer than j are needed in its shelf life.
        unused = np.concatenate([[0.0], np.cumsum(below[1:])])
        return np.asarray(self.unit_cost * unused / stretch)

    def _reason(self, target: int, order: int, short: float, service: float) -> str:
        days = wording.days(self.horizon)
        have = f"{self.shelf.usable} on the shelf"
        if self.arriving:
            have += f" and {self.arriving} on the way"
        if self.shelf.expired:
            have += f" ({self.shelf.expired} more past their best-before day)"
        said = (
            f"About {wording.figure(self.expected)} needed in the next {days} (delivery and "
            f"review); {have}: {wording.chance(short)} chance of running short"
        )
        if not order:
            said += f"; {target} keep it under {wording.chance(1 - service)}."
            said = said.replace("; 0 keep", "; no spare keeps").replace("; 1 keep ", "; 1 keeps ")
        else:
            said += f", wanted is at most {wording.chance(1 - service)}, which takes {target}."
            if order > max(self.usable_in_shelf_life(), target):
                said += " One pack holds more than will be used before it grows too old."
        if self.late:
            said += f" {wording.count(self.late, 'ordered piece')} late: ask the supplier."
        if self.shelf.missing:
            said += f" The shelf log lacks {wording.count(self.shelf.missing, 'piece')}: count it."
        return said
