"""How many spares of every type of part to keep, and what to order now.

A spare of the wrong type is none: a row is one kind and type (``variants.part_types``).

An order placed today has to last until the one placed at the next review has come: delivery time
plus review interval. The delivery time is uncertain, so the need is averaged over it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

import pandas as pd

from tracker.decisions.ordering.daily_costs import downtime_per_day, holding_share_per_day
from tracker.decisions.ordering.kind_stock import KindStock
from tracker.decisions.ordering.lead_time import LeadTime, lead_time_of, lead_times
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.purchases import type_prices
from tracker.decisions.ordering.shelf import OnHand, on_hand
from tracker.decisions.stock_level import chance_of_running_short
from tracker.errors import UsageError
from tracker.forecast.life_scale import scale_findings
from tracker.forecast.need import NeedModel, need_models
from tracker.forecast.needed import mixed
from tracker.forecast.planned_practice import PlannedPractice, planned_practice
from tracker.forecast.positions.area_need import AreaNeeds
from tracker.forecast.positions.fitted_positions import (
    KindNeed,
    Sources,
    fitted_positions,
    kind_need,
)
from tracker.forecast.positions.printers_ahead import (
    at_site,
    leaving,
    with_leaving_printers,
    with_more_printers,
)
from tracker.lives.life_table import life_table
from tracker.workshop.contract import LONGEST_DELIVERY
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, of_type, part_types

Scale = Literal["days", "area", "auto"]

COLUMNS = (
    "part_kind",
    "variant",
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
    "unit_cost",
    "cost",
    "pack_size",
    "lead_days",
    "lead_days_late",
    "arriving",
    "risk_before_arrival",
    "expired",
    "counted_on",
    "shortage_cost",
    "service",
    "late",
    "missing",
    "more_than_used",
    "planned_age_days",
    "planned_changes",
    "planned_reached",
    "by_area",
    "lives_in_area",
    "lives_in_days",
    "leaving",
    "failures",
    "belief_share",
)


@dataclass(frozen=True)
class WhatIf:
    """What is asked about, where that is not the workshop as it is.

    - ``lead_days``: every delivery takes this long (None: as the orders teach).
    - ``more_printers``: so many more, equipped as the fullest one.
    - ``leaving``: printers and the day from which they are gone, besides those whose
      ``retired_on`` lies ahead in the records. Their positions need nothing from then on.
    - ``site``: the need of one site's printers only (None: of all). The log knows one shelf, so
      what is on hand and on order stays the whole workshop's; ``site_shelves`` compares the two.
    - ``scale``: "area" foretells the need from printed area where counters are read, usage and
      its uncertainty included (kinds changed at a certain age in days, what goes out with them,
      and kinds with too few measured lives stay by days); "auto" does so for the kinds whose lives
      end by area rather than by days (``life_scale``); a mapping says it kind by kind.
    - ``planned_ages``: age in days at which working parts of a kind are changed by plan (None: as
      the workshop itself has been doing, ``planned_practice``; {}: no kind at a fixed age).

    Raises:
        UsageError: a lead time below 0 or beyond LONGEST_DELIVERY, a scale that is none of these.
    """

    lead_days: float | None = None
    more_printers: int = 0
    leaving: Mapping[str, date] = field(default_factory=dict)
    site: str | None = None
    scale: Scale | Mapping[str, Scale] = "days"
    planned_ages: Mapping[str, float] | None = None

    def __post_init__(self) -> None:
        if self.lead_days is not None and not 0 <= self.lead_days <= LONGEST_DELIVERY:
            raise UsageError(
                f"lead_days: {self.lead_days:g} is no delivery time; give days from 0 to "
                f"{LONGEST_DELIVERY:g}."
            )
        for scale in {self.scale} if isinstance(self.scale, str) else set(self.scale.values()):
            if scale not in ("days", "area", "auto"):
                raise UsageError(
                    f'scale: {scale!r} is not a way to measure life; use "days", "area" or "auto".'
                )

    def scale_of(self, part_kind: str) -> Scale:
        """The scale asked for of one kind."""
        return self.scale if isinstance(self.scale, str) else self.scale.get(part_kind, "days")


AS_IT_IS = WhatIf()


def stock_table(
    records: Records,
    as_of: date,
    service: float | None = None,
    *,
    what_if: WhatIf = AS_IT_IS,
    models: Mapping[str, NeedModel] | None = None,
) -> pd.DataFrame:
    """What should lie on the shelf, what does, and what is to be ordered now?

    Args:
        records: everything that was written down; only what was known on the day is used, besides
            printers that were then already to leave.
        service: wanted chance of no shortage until the next order could be here; the workshop's
            setting when None.
        what_if: the workshop as it is, or otherwise.
        models: from ``need_models`` where already there.

    Returns:
        One row per part kind and ``variant``, COLUMNS: pieces ``fitted``, ``on_hand`` (usable; as
        counted on ``counted_on``, None where nobody counted yet) and ``on_order``;
        ``horizon_days`` = usual delivery + review interval; ``expected_need`` and
        ``chance_of_need`` (list, [k] = chance of needing exactly k) over delivery + review, the
        delivery's uncertainty included; ``stock_for_service`` (the level asked is ``service``),
        ``stock_least_cost``; ``chance_of_shortage_now``: that something is needed in that time
        while nothing is there, ordered pieces counted from the day they are likely here, and
        ``risk_before_arrival`` the same until the last of them is here (NaN: none comes in that
        time), which only an express order mends; ``order_now`` in whole packs,
        ``more_than_used`` where one pack holds more than will be used before it grows too old;
        ``unit_cost`` and ``cost`` of that order in currency units; ``arriving``: ordered pieces
        likely here in that time; ``expired, late, missing``:
        pieces too old, ordered ones past their day, and those the shelf log lacks;
        ``shortage_cost`` of one missing piece. Where the kind is changed by plan,
        ``planned_age_days`` with the ``planned_changes`` among the ``planned_reached`` that got
        there (else NaN); where printed area was asked for, whether the need was told ``by_area``
        and the kind's ``lives_in_area`` of ``lives_in_days`` (else NaN); ``leaving``: [printer,
        day] of those that leave in that time; ``failures`` and ``belief_share``, the evidence.

    Raises:
        UsageError: a service level that is not above 0 and below 1, an unknown site or printer.
        NotEnoughData: scale "area" where no printer's counter was read often enough.
    """
    service = records.number("service_level") if service is None else service
    if not 0 < service < 1:
        raise UsageError(f"service: {service:g} is not a chance; give 0.95 for 95 %.")
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    models = need_models(known, as_of, lives) if models is None else models
    positions = fitted_positions(known, as_of, models, lives)
    by_area = _AreaAsked.of(known, as_of, what_if, models)
    if by_area.needs is not None:
        positions = by_area.needs.with_ages(positions)
    leaves_on = {**leaving(records, as_of, positions), **what_if.leaving}
    positions = at_site(with_leaving_printers(positions, leaves_on, as_of), what_if.site)
    leaves_on = {p: day for p, day in leaves_on.items() if p in set(positions["printer"])}
    positions = with_more_printers(positions, what_if.more_printers)
    practice, planned_ages = {}, what_if.planned_ages
    if planned_ages is None:
        practice = planned_practice(known, as_of, lives)
        planned_ages = {kind: own.age_days for kind, own in practice.items()}
    sources = Sources(models, planned_ages)
    shelves = _Shelves.of(known, as_of, what_if)
    rows = []
    for part in part_types(known):
        kind, model = part.part_kind, models.get(part.part_kind)
        if model is None:
            continue
        asked = by_area.asks(model, planned_ages)
        if by_area.needs is not None and asked and by_area.needs.tells(kind):
            need = by_area.needs.type_need(positions, part, sources)
        else:
            need = kind_need(positions, kind, models, sources, variant=part.variant)
        stock = shelves.of_type(part, need)
        rows.append(
            stock.row(service, need.positions, shelves.on_order(part))
            | _planned(practice.get(kind) if need.positions else None)
            | by_area.columns(kind, asked)
            | {
                "leaving": [
                    [printer, day]
                    for printer, day in leaves_on.items()
                    if (day - as_of).days < stock.horizon
                ],
                "failures": model.failures + model.accidents,
                "belief_share": model.belief_share,
            }
        )
    return pd.DataFrame(rows, columns=list(COLUMNS))


@dataclass(frozen=True, eq=False)
class _Shelves:
    """What there is of every type, what a piece costs and how long deliveries take."""

    known: Records
    as_of: date
    leads: Mapping[PartType, LeadTime]
    unit_costs: Mapping[PartType, float]
    shelf: Mapping[PartType, OnHand]
    waiting: pd.DataFrame
    review_days: float
    downtime_per_day: float
    holding_share: float

    @classmethod
    def of(cls, known: Records, as_of: date, what_if: WhatIf) -> _Shelves:
        """From the records as known on the day."""
        learnt = lead_times(known, as_of)
        leads = learnt
        if what_if.lead_days is not None:
            leads = dict.fromkeys(learnt, lead_time_of(what_if.lead_days, what_if.lead_days))
        return cls(
            known=known,
            as_of=as_of,
            leads=leads,
            unit_costs={part: price.amount for part, price in type_prices(known).items()},
            shelf=on_hand(known, as_of),
            waiting=open_orders(known, as_of, learnt),
            review_days=max(0.0, known.number("review_days")),
            downtime_per_day=downtime_per_day(known),
            holding_share=holding_share_per_day(known),
        )

    def on_order(self, part: PartType) -> int:
        """Ordered pieces that have not come yet."""
        return int(self.waiting.loc[of_type(self.waiting, part), "quantity"].sum())

    def of_type(self, part: PartType, need: KindNeed) -> KindStock:
        """One type's need over delivery and review beside what there is of it."""
        lead = self.leads[part]
        lengths, weights = lead.points()
        horizon = lead.typical_days + self.review_days
        shelf = self.shelf.get(part, OnHand())
        coming = self.waiting[of_type(self.waiting, part)]
        in_days = (coming["likely_on"] - pd.Timestamp(self.as_of)).dt.days
        arrivals = _Arrivals(need, shelf.usable, coming["quantity"].groupby(in_days).sum())
        ends = [days + self.review_days for days in lengths]
        return KindStock(
            facts=self.known.part_facts(*part),
            lead=lead,
            horizon=horizon,
            chances=mixed([need.demand(end) for end in ends], weights),
            shelf=shelf,
            arriving=int(coming.loc[in_days <= horizon, "quantity"].sum()),
            late=int(coming.loc[coming["days_late"] > 0, "quantity"].sum()),
            running_short=float(weights @ [arrivals.running_short(end) for end in ends]),
            before_arrival=arrivals.before_the_last(horizon),
            unit_cost=self.unit_costs[part],
            # A set that goes at once keeps the printer waiting once, not once for each piece.
            shortage_cost=self.downtime_per_day * lead.mean_days / need.pieces_at_once(horizon),
            holding_per_day=self.holding_share * self.unit_costs[part],
        )


@dataclass(frozen=True, eq=False)
class _Arrivals:
    """A need beside a shelf that grows: ``coming`` pieces by the days from now of their arrival."""

    need: KindNeed
    on_hand: int
    coming: pd.Series

    def running_short(self, end: float) -> float:
        """The chance that something is needed by then while nothing is there."""
        days, there = self._before_each(end)
        laws = [self.need.demand(float(day)) for day in (*days, end)]
        return chance_of_running_short(laws, there)

    def before_the_last(self, end: float) -> float:
        """The same until the last arrival by then; NaN where nothing arrives."""
        days, there = self._before_each(end)
        if not days:
            return float("nan")
        laws = [self.need.demand(float(day)) for day in days]
        return chance_of_running_short(laws, there[:-1])

    def _before_each(self, end: float) -> tuple[list[int], list[int]]:
        """The days of the arrivals by then, and the pieces there before each and after the last."""
        coming = self.coming[self.coming.index <= end]
        there = self.on_hand + int(coming[coming.index <= 0].sum())
        coming = coming[coming.index > 0]
        held = [there + int(pieces) for pieces in coming.cumsum()]
        return [int(day) for day in coming.index], [there, *held]


@dataclass(frozen=True, eq=False)
class _AreaAsked:
    """For which kinds the need is asked by printed area; ``needs`` is None where for none."""

    kinds: frozenset[str]
    needs: AreaNeeds | None

    @classmethod
    def of(cls, known: Records, as_of: date, what_if: WhatIf, kinds: Iterable[str]) -> _AreaAsked:
        scales = {kind: what_if.scale_of(kind) for kind in kinds}
        asked = {kind for kind, scale in scales.items() if scale == "area"}
        open_to_it = [kind for kind, scale in scales.items() if scale == "auto"]
        if open_to_it:
            findings = scale_findings(known, as_of, open_to_it)
            asked |= {kind for kind, finding in findings.items() if finding.favours == "area"}
        return cls(frozenset(asked), AreaNeeds.of(known, as_of) if asked else None)

    def asks(self, model: NeedModel, planned_ages: Mapping[str, float]) -> bool:
        """Whether area decides the kind's need: not where it is changed at an age in days."""
        days_only = {model.part_kind, model.facts.replaced_with} & set(planned_ages)
        return model.part_kind in self.kinds and not days_only

    def columns(self, kind: str, asked: bool) -> dict[str, Any]:
        """By which scale the need was told, where area was asked for: columns of the table."""
        if self.needs is None or not asked:
            return {"by_area": False, "lives_in_area": float("nan"), "lives_in_days": float("nan")}
        area, days = self.needs.counted.get(kind, (0, 0))
        return {"by_area": self.needs.tells(kind), "lives_in_area": area, "lives_in_days": days}


def _planned(practice: PlannedPractice | None) -> dict[str, float]:
    """The practice as columns of the table."""
    missing = float("nan")
    age, changed, reached = (
        (missing, missing, missing)
        if practice is None
        else (practice.age_days, practice.changed, practice.reached)
    )
    return {"planned_age_days": age, "planned_changes": changed, "planned_reached": reached}
