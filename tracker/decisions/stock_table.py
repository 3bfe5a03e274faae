"""How many spares of every part kind to keep, and what to order now.

An order placed today has to last until the one placed at the next review has come: delivery time
plus review interval. The delivery time is uncertain, so the need is averaged over it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Literal

import pandas as pd

from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.kind_stock import KindStock, pieces_to_order, usable_in_shelf_life
from tracker.decisions.ordering.orders import lead_time_of, lead_times, open_orders, prices
from tracker.decisions.ordering.shelf import OnHand, on_hand
from tracker.errors import UsageError
from tracker.forecast.life_scale import scale_findings
from tracker.forecast.need import NeedModel, need_models
from tracker.forecast.needed import mixed
from tracker.forecast.planned_practice import planned_practice
from tracker.forecast.positions.area_need import AreaNeeds
from tracker.forecast.positions.fitted_positions import Sources, fitted_positions, kind_need
from tracker.forecast.positions.printers_ahead import (
    at_site,
    leaving,
    with_leaving_printers,
    with_more_printers,
)
from tracker.lives.life_table import life_table
from tracker.say import numbers
from tracker.workshop.contract import LONGEST_DELIVERY
from tracker.workshop.records import PartFacts, Records

Scale = Literal["days", "area", "auto"]

__all__ = ["COLUMNS", "pieces_to_order", "stock_table", "usable_in_shelf_life"]

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
    "remarks",
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
    retiring: Mapping[str, date] | None = None,
    site: str | None = None,
    scale: Scale | Mapping[str, Scale] = "days",
    planned_ages: Mapping[str, float] | None = None,
    models: Mapping[str, NeedModel] | None = None,
) -> pd.DataFrame:
    """What should lie on the shelf, what does, and what is to be ordered now?

    Args:
        service: wanted chance of no shortage until the next order could be here; the workshop's
            setting when None.
        lead_days: what if every delivery took this long?
        more_printers: what if there were so many more printers, equipped as the fullest one?
        retiring: what if these printers left on these days, besides those whose ``retired_on``
            lies ahead in the records? Their positions need nothing from then on.
        site: the need of one site's printers only. The log knows one shelf, so what is on hand
            and on order stays the whole workshop's; ``site_shelves`` compares the two.
        scale: "area" foretells the need from printed area where counters are read, usage and its
            uncertainty included (kinds changed at a certain age in days, what goes out with them,
            and kinds with too few measured lives stay by days); "auto" does so for the kinds whose
            lives end by area rather than by days (``life_scale``); a mapping says it kind by kind.
        planned_ages: age in days at which working parts of a kind are changed by plan. None: as
            the workshop itself has been doing (``planned_practice``); {}: no kind at a fixed age.
        models: from ``need_models`` where already there.

    Returns:
        One row per part kind, COLUMNS: pieces ``fitted``, ``on_hand`` (usable) and ``on_order``;
        ``horizon_days`` = usual delivery + review interval; ``expected_need`` and
        ``chance_of_need`` (list, [k] = chance of needing exactly k) over delivery + review, the
        delivery's uncertainty included; ``stock_for_service``, ``stock_least_cost``;
        ``chance_of_shortage_now``: more needed than is on hand or comes in that time;
        ``order_now`` in whole packs with its ``reason``; ``unit_cost`` and ``cost`` of that order
        in currency units; ``arriving``: ordered pieces likely here in that time;
        ``shortage_cost`` of one missing piece; ``remarks``: the part of the reason that does not
        hang on the shelf (changed by plan, by printed area, a printer that leaves).

    Raises:
        UsageError: a service level that is not above 0 and below 1, a lead time below 0 or beyond
            LONGEST_DELIVERY, an unknown site or printer, a scale that is none of these.
        NotEnoughData: scale "area" where no printer's counter was read often enough.
    """
    service = records.number("service_level") if service is None else service
    if not 0 < service < 1:
        raise UsageError(f"service: {service:g} is not a chance; give 0.95 for 95 %.")
    if lead_days is not None and not 0 <= lead_days <= LONGEST_DELIVERY:
        raise UsageError(
            f"lead_days: {lead_days:g} is no delivery time; give days from 0 to "
            f"{LONGEST_DELIVERY:g}."
        )
    lives = life_table(records, as_of)
    models = need_models(records, as_of, lives) if models is None else models
    positions = fitted_positions(records, as_of, models, lives)
    scales = _scales(records, as_of, scale, models)
    by_area = AreaNeeds.of(records, as_of) if "area" in scales.values() else None
    if by_area is not None:
        positions = by_area.with_ages(positions)
    leaves_on = {**leaving(records, as_of, positions), **(retiring or {})}
    positions = at_site(with_leaving_printers(positions, leaves_on, as_of), site)
    leaves_on = {p: day for p, day in leaves_on.items() if p in set(positions["printer"])}
    positions = with_more_printers(positions, more_printers)
    practice = planned_practice(records, as_of, lives) if planned_ages is None else {}
    if planned_ages is None:
        planned_ages = {kind: found.age_days for kind, found in practice.items()}
    leads, cost_of, shelf = (
        lead_times(records, as_of),
        prices(records, as_of),
        on_hand(records, as_of),
    )
    waiting = open_orders(records, as_of, leads)
    sources = Sources(models, planned_ages)
    review_days = max(0.0, records.number("review_days"))
    downtime = Downtime.of(records.known_at(as_of), as_of)
    holding_rate = max(0.0, records.number("holding_rate_per_year")) / 365.0
    rows = []
    for kind, model in models.items():
        lead = leads[kind] if lead_days is None else lead_time_of(lead_days, lead_days)
        lengths, weights = lead.points()
        asked = by_area is not None and _asked_by_area(kind, scales, model.facts, planned_ages)
        if by_area is not None and asked and by_area.tells(kind):
            need = by_area.kind_need(positions, kind, sources)
        else:
            need = kind_need(positions, kind, models, sources)
        chances = mixed([need.demand(days + review_days) for days in lengths], weights)
        coming = waiting[waiting["part_kind"] == kind]
        horizon = lead.typical_days + review_days
        until = pd.Timestamp(as_of) + pd.Timedelta(days=horizon)
        kept = KindStock(
            facts=model.facts,
            lead=lead,
            horizon=horizon,
            chances=chances,
            shelf=shelf.get(kind, OnHand()),
            arriving=int(coming.loc[coming["likely_on"] <= until, "quantity"].sum()),
            late=int(coming.loc[coming["days_late"] > 0, "quantity"].sum()),
            unit_cost=cost_of[kind].amount,
            # A set that goes at once keeps the printer waiting once, not once for each piece.
            shortage_cost=float(weights @ downtime.waiting(lengths)) / need.pieces_at_once(horizon),
            holding_per_day=holding_rate * cost_of[kind].amount,
            remarks=(
                *((practice[kind].sentence,) if kind in practice and need.positions else ()),
                *((by_area.remark(kind),) if by_area is not None and asked else ()),
                *_departures(leaves_on, as_of, horizon),
            ),
        )
        rows.append(
            kept.row(service, need.positions, int(coming["quantity"].sum()))
            | {"failures": model.failures + model.accidents, "belief_share": model.belief_share}
        )
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _scales(
    records: Records, as_of: date, asked: Scale | Mapping[str, Scale], kinds: Iterable[str]
) -> dict[str, str]:
    """The scale of every kind, days or area."""
    scales: dict[str, str] = {
        kind: asked if isinstance(asked, str) else asked.get(kind, "days") for kind in kinds
    }
    for scale in {asked} if isinstance(asked, str) else set(asked.values()):
        if scale not in ("days", "area", "auto"):
            raise UsageError(
                f'scale: {scale!r} is not a way to measure life; use "days", "area" or "auto".'
            )
    open_to_it = [kind for kind, scale in scales.items() if scale == "auto"]
    if open_to_it:
        for kind, finding in scale_findings(records, as_of, open_to_it).items():
            scales[kind] = "area" if finding.favours == "area" else "days"
    return scales


def _asked_by_area(
    kind: str, scales: Mapping[str, str], facts: PartFacts, planned_ages: Mapping[str, float]
) -> bool:
    return scales[kind] == "area" and not {kind, facts.replaced_with} & set(planned_ages)


def _departures(leaves_on: Mapping[str, date], as_of: date, horizon: float) -> list[str]:
    return [
        f"{printer} leaves on {numbers.day(day)}."
        for printer, day in leaves_on.items()
        if (day - as_of).days < horizon
    ]
