"""How many spares of every type of part to keep, and what to order now.

A spare of the wrong type is none: a row is one kind and type (``variants.part_types``).

An order placed today has to last until the one placed at the next review has come: delivery time
plus review interval. The delivery time is uncertain, so the need is averaged over it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.daily_costs import holding_share_per_day
from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.ordering.kind_stock import KindStock
from tracker.decisions.ordering.lead_time import LeadTime, lead_time_of, lead_times, usual_days
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.ordering.purchases import type_prices
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.futures import Futures, fitted_positions, play_futures
from tracker.forecast.futures.play import MOST, futures_for
from tracker.forecast.futures.positions import (
    at_site,
    leaving,
    still_filled,
    with_leaving_printers,
    with_more_printers,
)
from tracker.forecast.planned_practice import PlannedPractice, planned_practice
from tracker.language import _
from tracker.workshop.limits import DELIVERY
from tracker.workshop.records import Records
from tracker.workshop.shelf import OnHand, on_hand
from tracker.workshop.variants import PartType, by_type, part_types

COLUMNS = (
    "part_kind",
    "variant",
    "fitted",
    "waiting",
    "at_once",
    "on_hand",
    "on_order",
    "horizon_days",
    "expected_need",
    "chance_of_need",
    "stock_for_service",
    "stock_least_cost",
    "stock_to_keep",
    "chance_of_shortage_now",
    "order_now",
    "unit_cost",
    "cost",
    "pack_size",
    "lead_days",
    "lead_days_late",
    "arriving",
    "available",
    "risk_before_arrival",
    "expired",
    "counted_on",
    "shortage_cost",
    "service",
    "late",
    "forgotten",
    "missing",
    "late_comes",
    "late_comes_low",
    "late_comes_high",
    "more_than_used",
    "planned_age_days",
    "planned_changes",
    "planned_reached",
    "leaving",
    "failures",
    "life_guessed",
    "need_if_guess_halved",
    "need_if_guess_doubled",
    "cost_of_stock",
    "short_if_ordered",
)
# The log knows one shelf: told to each site, the same spare would be there twice.
OF_THE_SHELF = (
    *("on_hand", "on_order", "chance_of_shortage_now", "order_now", "cost", "arriving"),
    *("available", "risk_before_arrival", "expired", "counted_on", "late", "forgotten", "missing"),
    *("more_than_used", "short_if_ordered", "late_comes", "late_comes_low", "late_comes_high"),
)

_PRACTICALLY = 0.99  # of deliveries; what takes longer counts as that long


@dataclass(frozen=True)
class WhatIf:
    """What is asked about, where that is not the workshop as it is.

    - ``lead_days``: every delivery takes this long (None: as the orders teach).
    - ``more_printers``: so many more, equipped as the fullest one.
    - ``leaving``: printers and the day from which they are gone, besides those whose
      ``retired_on`` lies ahead in the records. Their positions need nothing from then on.
    - ``site``: the need of one site's printers only (None: of all), without OF_THE_SHELF;
      ``site_shelves`` compares one shelf for all with one at each.
    - ``planned_ages``: age in days at which working parts of a kind are changed by plan (None: as
      the workshop itself has been doing, ``planned_practice``; {}: no kind at a fixed age).

    Raises:
        UsageError: a lead time below 0 or beyond DELIVERY.at_most, a scale that is none of these.
    """

    lead_days: float | None = None
    more_printers: int = 0
    leaving: Mapping[str, date] = field(default_factory=dict)
    site: str | None = None
    planned_ages: Mapping[str, float] | None = None
    doing: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.lead_days is not None and not 0 <= self.lead_days <= DELIVERY.at_most:
            raise UsageError(
                _(
                    "lead_days: {lead_days} is no delivery time; give days from 0 to "
                    "{longest_delivery}.",
                    lead_days=f"{self.lead_days:g}",
                    longest_delivery=f"{DELIVERY.at_most:g}",
                )
            )


AS_IT_IS = WhatIf()


def stock_table(
    records: Records,
    as_of: date,
    service: float | None = None,
    *,
    what_if: WhatIf = AS_IT_IS,
    fitted: FittedLives | None = None,
    futures: int = MOST,
    played: Futures | None = None,
) -> pd.DataFrame:
    """What should lie on the shelf, what does, and what is to be ordered now?

    Args:
        records: everything that was written down; only what was known on the day is used, besides
            printers that were then already to leave.
        service: wanted chance of no shortage until the next order could be here, a floor under
            the level of least cost; the workshop's setting when None, and no floor where it set
            none.
        what_if: the workshop as it is, or otherwise.
        fitted: from ``fit_lives`` of that day where already there.
        futures: so many are played; with fewer than usual, what half and twice the guess would say
            is left out (NaN).
        played: the futures of the workshop as it goes on (``fitted_positions`` and
            ``planned_practice``), where already there; read if they reach far enough.

    Returns:
        One row per part kind and ``variant``, COLUMNS: pieces ``fitted``, positions that stand
        empty and are ``waiting`` for one, pieces needed ``at_once`` whatever comes (for those and
        what goes along with them), ``on_hand`` (usable; as counted on
        ``counted_on``, None where nobody counted yet) and ``on_order``;
        ``horizon_days`` = usual delivery + review interval; ``expected_need`` and
        ``chance_of_need`` (list, [k] = chance of needing exactly k) over delivery + review, the
        delivery's uncertainty included; ``stock_for_service`` (the level asked is ``service``),
        ``stock_least_cost`` (with few failures no more than what is expected, or one for each in
        use and at least two) and ``stock_to_keep``, that or what the service level asks for where
        the workshop set one and it is more; ``chance_of_shortage_now``: that something is needed
        in that time while nothing is there, ordered pieces counted from the day they come, and
        ``risk_before_arrival`` the same until the last of them is here (NaN: none comes in that
        time), which only an express order mends; ``order_now`` in whole packs, up to
        ``stock_to_keep``,
        ``more_than_used`` where one pack holds more than will be used before it grows too old;
        ``unit_cost`` and ``cost`` of that order in currency units; ``arriving``: ordered pieces
        likely here in that time; ``available``: those and what is on hand, but for what will likely
        be too old by then before it is used; ``expired, late, forgotten, missing``: pieces too old,
        ordered ones past their day, those more likely never here than at all (not in
        ``on_order``), and those the shelf log lacks; ``late_comes``: the chance that the least
        likely of the late orders still comes, eight in ten between ``late_comes_low`` and
        ``late_comes_high`` (NaN: none is late); ``shortage_cost`` of one occasion on which a
        printer stands for it. Where the kind is changed by plan,
        ``planned_age_days`` with the ``planned_changes`` among the ``planned_reached`` that got
        there (else NaN); ``leaving``: [printer, day] of those that leave in that time;
        ``failures``, the evidence; ``life_guessed`` where nobody set the typical life;
        ``need_if_guess_halved``, ``need_if_guess_doubled``:
        ``expected_need`` had the guesses of typical lives been half or twice as long;
        ``cost_of_stock``: [s] = expected cost over that time with s pieces there;
        ``short_if_ordered``: [n] = ``chance_of_shortage_now`` with n pieces more ordered today.
        Of one site alone OF_THE_SHELF is None.

    Raises:
        UsageError: a service level that is not above 0 and below 1, an unknown site or printer.
    """
    has_floor = service is not None or records.is_set("service_level")
    service = records.number("service_level") if service is None else service
    if not 0 < service < 1:
        raise UsageError(
            _("service: {service} is not a chance; give 0.95 for 95 %.", service=f"{service:g}")
        )
    fitted = (fit_lives(records, as_of) if fitted is None else fitted).doing(what_if.doing)
    known = fitted.known
    positions = fitted_positions(fitted)
    leaves_on = {**leaving(records, as_of, positions), **what_if.leaving}
    positions = at_site(with_leaving_printers(positions, leaves_on, as_of), what_if.site)
    leaves_on = {p: day for p, day in leaves_on.items() if p in set(positions["printer"])}
    positions = still_filled(positions, usual_days(known, as_of))
    positions = with_more_printers(positions, what_if.more_printers)
    practice, planned_ages = {}, what_if.planned_ages
    if planned_ages is None:
        practice = planned_practice(known, as_of, fitted.lives)
        planned_ages = {kind: own.age_days for kind, own in practice.items()}
    shelves = _Shelves.of(known, as_of, what_if)
    if played is None or leaves_on or what_if != AS_IT_IS or played.horizon < shelves.longest:
        size = futures_for(len(positions), most=futures)
        played = play_futures(fitted, positions, shelves.longest, planned_ages, size=size)
    counted = fitted.lives[fitted.lives["counted"]]
    broke = counted.loc[counted["outcome"].isin(["failed", "accident"]), "part_kind"]
    failures = broke.value_counts()
    swing = _if_guessed(fitted, positions, shelves) if futures == MOST else {}
    rows, places, types = [], by_type(positions), part_types(known)
    of_none = np.zeros(len(positions), dtype=bool)
    code = np.full(len(positions), -1, dtype=np.int64)
    for number, part in enumerate(types):
        code[places.get(part, of_none)] = number
    needs = played.by(code, len(types), until=shelves.longest)
    for part, needed in zip(types, needs, strict=True):
        mine = places.get(part, of_none)
        stock = shelves.of_type(part, needed)
        empty = int(positions.loc[mine, "empty_since"].notna().sum())
        fitted_now, on_order = int(mine.sum()) - empty, shelves.on_order(part)
        broken = int(failures.get(part.part_kind, 0))
        row = stock.row(service, fitted_now, on_order, broken, has_floor=has_floor)
        halved, doubled = swing.get(part, (np.nan, np.nan))
        rows.append(
            row
            | _planned(practice.get(part.part_kind) if mine.any() else None)
            | {
                "leaving": [
                    [printer, day]
                    for printer, day in leaves_on.items()
                    if (day - as_of).days < stock.horizon
                ],
                "waiting": empty,
                "life_guessed": fitted.known.part_facts(*part).is_life_guessed,
                "need_if_guess_halved": stock.at_once + (stock.expected - stock.at_once) * halved,
                "need_if_guess_doubled": stock.at_once + (stock.expected - stock.at_once) * doubled,
            }
        )
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    if what_if.site is not None:
        table[list(OF_THE_SHELF)] = None
    return table


def _if_guessed(
    fitted: FittedLives, positions: pd.DataFrame, shelves: _Shelves
) -> dict[PartType, tuple[float, float]]:
    """By what factor would each type's need change, had the guesses been halved or doubled?

    Of the failures of the parts in use over delivery and review; those after them move alike.
    """
    wearing = positions[positions["fitting"].isin(fitted.running.index) & ~positions["is_new"]]
    if fitted.draws is None or wearing.empty:
        return {}
    parts = fitted.parts(pd.Index(wearing["fitting"]))
    code, types = np.zeros(len(wearing), dtype=np.int64), by_type(wearing)
    for number, own in enumerate(types.values()):
        code[own] = number
    leans = np.bincount(code, fitted.leans_on_guess(parts)) > 0
    asked = np.flatnonzero(leans[code])
    code, parts = code[asked], parts.take(asked)
    horizons = np.array([shelves.horizon(part) for part in types])[code]
    chance = fitted.chance_by(parts, horizons)
    if_guess = fitted.if_guessed(
        parts, chance, lambda other, rows: other.chance_by(parts.take(rows), horizons[rows])
    )
    need, *others = (np.bincount(code, own, len(types)) for own in (chance, *if_guess))
    halved, doubled = (
        np.divide(own, need, out=np.ones(len(types)), where=need > 0) for own in others
    )
    return dict(zip(types, zip(halved.tolist(), doubled.tolist(), strict=True), strict=True))


@dataclass(frozen=True, eq=False)
class _Shelves:
    """What there is of every type, what a piece costs and how long deliveries take."""

    known: Records
    as_of: date
    leads: Mapping[PartType, LeadTime]
    unit_costs: Mapping[PartType, float]
    shelf: Mapping[PartType, OnHand]
    waiting: Mapping[PartType, pd.DataFrame]
    none_waiting: pd.DataFrame
    review_days: float
    downtime: Downtime
    holding_share: float

    @classmethod
    def of(cls, known: Records, as_of: date, what_if: WhatIf) -> _Shelves:
        """From the records as known on the day."""
        learnt = lead_times(known, as_of)
        leads = learnt
        waiting = open_orders(known, as_of, learnt)
        if what_if.lead_days is not None:
            if_so = lead_time_of(what_if.lead_days, what_if.lead_days)
            leads = {part: own.with_days_of(if_so) for part, own in learnt.items()}
        return cls(
            known=known,
            as_of=as_of,
            leads=leads,
            unit_costs={part: price.amount for part, price in type_prices(known).items()},
            shelf=on_hand(known, as_of),
            waiting={part: waiting[own] for part, own in by_type(waiting).items()},
            none_waiting=waiting.iloc[:0],
            review_days=max(0.0, known.number("review_days")),
            downtime=Downtime.of(known, as_of),
            holding_share=holding_share_per_day(known),
        )

    def on_order(self, part: PartType) -> int:
        """Ordered pieces that have not come yet and are counted on."""
        coming, _forgotten = self._open(part)
        return int(coming["quantity"].sum())

    def _open(self, part: PartType) -> tuple[pd.DataFrame, pd.DataFrame]:
        """What is on its way, and the forgotten orders."""
        rows = self.waiting.get(part, self.none_waiting)
        return rows[~rows["forgotten"]], rows[rows["forgotten"]]

    def horizon(self, part: PartType) -> float:
        """Usual delivery and review, in days."""
        return float(self.leads[part].here(self.review_days))

    @property
    def longest(self) -> float:
        """Days from now after which practically every order placed today is here."""
        share, most = np.array(_PRACTICALLY), DELIVERY.at_most
        late = [
            float(lead.here(self.review_days, np.minimum(lead.quantile(share), most)))
            for lead in self.leads.values()
        ]
        return max([*late, 1.0 + self.review_days])

    def of_type(self, part: PartType, needs: Futures) -> KindStock:
        """One type's need over delivery and review beside what there is of it."""
        lead = self.leads[part]
        horizon = self.horizon(part)
        hand = self.shelf.get(part, OnHand())
        coming, forgotten = self._open(part)
        quantity = coming["quantity"].to_numpy(dtype=float)
        soon = coming["likely_on"].to_numpy() <= np.datetime64(self.as_of) + int(horizon)
        dated = DatedShelf.of(
            needs, hand, self.waiting.get(part, self.none_waiting), lead, pd.Timestamp(self.as_of)
        )
        end = lead.here(self.review_days, lead.shut.open_days(0.0, dated.delivery))
        chances = needs.law(end)
        return KindStock(
            facts=self.known.part_facts(*part),
            lead=lead,
            horizon=horizon,
            chances=chances,
            at_once=needs.at_once,
            short=needs.short_moments(end, len(chances)),
            shelf=hand,
            available=dated.lasting(horizon) + int(quantity[soon].sum()),
            arriving=int(quantity[soon].sum()),
            late=int(quantity[coming["days_late"].to_numpy() > 0].sum()),
            forgotten=int(forgotten["quantity"].sum()),
            late_comes=dated.late_comes,
            before_arrival=dated.before_arrival(horizon),
            short_if_no_later=dated.short_if_no_later(end),
            short_if_ordered=dated.running_short_with(end, len(chances)),
            unit_cost=self.unit_costs[part],
            shortage_cost=float(np.mean(self.downtime.waiting(dated.delivery))),
            holding_per_day=self.holding_share * self.unit_costs[part],
        )


def _planned(practice: PlannedPractice | None) -> dict[str, float]:
    """The practice as columns of the table."""
    missing = float("nan")
    age, changed, reached = (
        (missing, missing, missing)
        if practice is None
        else (practice.age_days, practice.changed, practice.reached)
    )
    return {"planned_age_days": age, "planned_changes": changed, "planned_reached": reached}
