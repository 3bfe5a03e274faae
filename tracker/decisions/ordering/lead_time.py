"""How long deliveries take: the figures typed in, and what the workshop's own orders teach.

Delivery times are lognormal. Two figures (usual, and nine in ten by then) are the belief: typed
into the catalogue they are worth TYPED_ORDERS orders, so that one odd order does not overturn them;
the trade's guess is worth GUESS_ORDERS. Each received order moves it (``deliveries``); one that
came in parts, or was written in several lines, once. An open one counts as far as it is likely to
come at all: one that has just gone out teaches nothing, an overdue one much, a lost none. With no
order yet the forecast is the two figures, exactly. Days on which the supplier is known to be shut
are no delivery time: they are left out of what was taken, and come on top of what is ordered.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from math import exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.ordering.deliveries.delivery_law import (
    NINE_IN_TEN,
    SHORTEST_DAYS,
    DeliveryLaw,
    learnt,
)
from tracker.decisions.ordering.deliveries.never_comes import (
    Chance,
    by_belief,
    lost_shares,
    still_comes,
)
from tracker.decisions.ordering.deliveries.own_orders import OwnOrder, own_orders
from tracker.decisions.ordering.supplier_days import NEVER_SHUT, SupplierDays, Suppliers
from tracker.workshop.limits import DELIVERY
from tracker.workshop.parts.facts import PartFacts
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, part_types, spare_variants, types_in

GUESS_ORDERS = 3.0  # common practice, no source
TYPED_ORDERS = 5.0  # what a person typed knows the supplier; common practice, no source
LATE_TAUGHT = 3.0  # late deliveries; an order open for longer may be here and not written down
_STEP = sqrt(3.0)  # three-point Gauss–Hermite rule of a normal


@dataclass(frozen=True)
class LeadTime:
    """How long a delivery takes, in days: usual (median) and late (nine in ten by then), of days on
    which its supplier is not ``shut`` (``others``: when every other one is).

    ``orders`` counts the own received orders behind it, ``guess_share`` (0 to 1) how much of it
    is still the catalogue's figure; ``log_middle`` and ``log_spread`` describe the lognormal.
    ``came``: the law by what came so far, which says when an order is late and whether it is lost:
    an overdue order makes the others' forecast longer, but does not move its own due day. ``lost``:
    what share of its supplier's orders never comes (``losing``: of every supplier's).
    """

    typical_days: float
    late_days: float
    orders: int
    guess_share: float
    log_middle: float
    log_spread: float
    came: DeliveryLaw
    shut: SupplierDays = NEVER_SHUT
    others: Mapping[str, SupplierDays] = field(default_factory=dict, repr=False)
    lost: Array = field(default_factory=by_belief, repr=False, compare=False)
    losing: Mapping[str, Array] = field(default_factory=dict, repr=False, compare=False)

    def here(self, ordered: Array | float, takes: Array | float | None = None) -> Array:
        """In how many days from today is here what is ordered so many days from today? ``takes``:
        of a delivery of so many days (left out: the usual ones).
        """
        return self.shut.here(ordered, self.typical_days if takes is None else takes)

    @property
    def usual_now(self) -> float:
        """Days in which what is ordered today is usually here, those of a shut supplier among
        them.
        """
        return float(self.here(0.0))

    @property
    def late_now(self) -> float:
        """The same for nine in ten."""
        return float(self.here(0.0, self.late_days))

    def sent_by(self, supplier: str) -> LeadTime:
        """The same of an order to that supplier; the usual one where none is said."""
        name = supplier.strip()
        if not name:
            return self
        lost = self.losing.get(name, self.lost)
        return replace(self, shut=self.others.get(name, NEVER_SHUT), lost=lost)

    def with_days_of(self, other: LeadTime) -> LeadTime:
        """The same with the days of other deliveries; what is on its way is as likely to come."""
        known = {name: getattr(self, name) for name in ("came", "shut", "others", "lost", "losing")}
        return replace(other, **known)

    def points(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """A few delivery times with their weights, which stand for the whole distribution."""
        if self.log_spread <= 0:
            return np.array([self.typical_days]), np.ones(1)
        steps = np.array([-_STEP, 0.0, _STEP])
        days = np.exp(self.log_middle + self.log_spread * steps)
        return days, np.array([1 / 6, 2 / 3, 1 / 6])

    def quantile(self, share: NDArray[np.float64]) -> NDArray[np.float64]:
        """The days within which such a share of deliveries is here."""
        from scipy.special import ndtri

        if self.log_spread <= 0:
            return np.full(np.shape(share), self.typical_days)
        days: NDArray[np.float64] = np.exp(self.log_middle + self.log_spread * ndtri(share))
        return days

    def arrival_days(
        self, waited: float, share: NDArray[np.float64], promised: float | None = None
    ) -> NDArray[np.float64]:
        """In how many days is an order here that comes, and has been on its way for ``waited``?

        One for each ``share`` of such orders, given that it has not come yet. ``promised`` days
        from now, below 0 once they are over, move the middle of the law to that day; it keeps its
        spread. On the log scale of survival, so that the law holds however long one has waited.
        """
        from scipy.special import log_ndtr, ndtri_exp

        middle = self._middle(waited, promised)
        middle, waited = self.log_middle if middle is None else middle, self.open_since(waited)
        if self.log_spread <= 0:
            return self.here(0.0, np.full(np.shape(share), max(1.0, exp(middle) - waited)))
        not_here = 0.0
        if waited >= SHORTEST_DAYS:
            not_here = log_ndtr((middle - log(waited)) / self.log_spread)
        total = np.exp(middle - self.log_spread * ndtri_exp(not_here + np.log1p(-share)))
        return self.here(0.0, np.maximum(total - waited, 1.0))

    def here_or_never(
        self, waited: float, share: NDArray[np.float64], promised: float | None = None
    ) -> NDArray[np.float64]:
        """The same for each ``share`` of all orders, infinite for those that never come."""
        of_coming = np.asarray(share) / self.comes(waited, promised).mean
        comes = of_coming < 1
        days = self.arrival_days(waited, np.where(comes, of_coming, 0.0), promised)
        return np.where(comes & (days <= DELIVERY.at_most), days, np.inf)

    def comes(self, waited: float, promised: float | None = None) -> Chance:
        """How likely does such an order come at all?"""
        return still_comes(self.lost, self.not_here(waited, promised))

    def not_here(self, waited: float, promised: float | None = None) -> float:
        """The chance that one that comes is not here yet."""
        return self.came.not_here(self.open_since(waited), self._middle(waited, promised))

    def open_since(self, placed: float) -> float:
        """Days on which its supplier was open since an order was placed so many days ago."""
        return float(self.shut.open_days(-placed, 0.0))

    def _middle(self, waited: float, promised: float | None) -> float | None:
        """The middle of the law of an order that was promised for a day."""
        if promised is None:
            return None
        return log(max(float(self.shut.open_days(-waited, promised)), SHORTEST_DAYS))

    def due_in(self, waited: float) -> float:
        """In how many days, below 0 once it is over, is an order due that was placed so many ago
        and promised for no day?
        """
        return float(self.here(-waited, self.came.late_days))


def lead_time(
    facts: PartFacts,
    days: NDArray[np.float64] | None = None,
    waiting: NDArray[np.float64] | None = None,
    comes: NDArray[np.float64] | None = None,
) -> LeadTime:
    """How long does a delivery take, from the catalogue and the days own orders took?

    ``days`` that received orders took, ``waiting`` days that open ones have been on their way, and
    how likely each of these ``comes`` at all (None: certainly).

    >>> from tracker.workshop.records import Records
    >>> guess = lead_time(Records().part_facts("head"))
    >>> guess.typical_days, guess.late_days, guess.guess_share
    (20.0, 45.0, 1.0)
    >>> learnt = lead_time(Records().part_facts("head"), np.array([9.0, 11.0, 10.0]))
    >>> round(learnt.typical_days), learnt.orders, learnt.guess_share
    (14, 3, 0.5)
    """
    guess = lead_time_of(float(facts.lead_days), float(facts.lead_days_late))
    took = np.empty(0) if days is None else np.maximum(np.asarray(days, float), SHORTEST_DAYS)
    still = np.empty(0) if waiting is None else np.asarray(waiting, float)
    comes = np.ones(len(still)) if comes is None else np.asarray(comes, float)
    open_long = still > SHORTEST_DAYS
    still = np.minimum(still, LATE_TAUGHT * max(guess.late_days, 1.0))
    worth = GUESS_ORDERS if "lead_days" in facts.guessed else TYPED_ORDERS
    guess = replace(guess, came=replace(guess.came, worth=worth))
    none = np.empty(0)
    came = learnt(guess.came, np.log(took), none, none) if len(took) else guess.came
    law = came
    if open_long.any():
        law = learnt(guess.came, np.log(took), np.log(still[open_long]), comes[open_long])
    if law is guess.came:
        return guess
    return LeadTime(
        typical_days=round(exp(law.middle), 6),
        late_days=law.late_days,
        orders=len(took),
        guess_share=worth / law.worth,
        log_middle=law.middle,
        log_spread=law.spread,
        came=came,
    )


def lead_time_of(usual_days: float, late_days: float) -> LeadTime:
    """The delivery time of two plain figures: usual, and nine in ten by then."""
    middle = log(max(usual_days, SHORTEST_DAYS))
    late = max(late_days, usual_days)
    if usual_days <= 0 and late <= 0:
        return LeadTime(0.0, 0.0, 0, 1.0, middle, 0.0, DeliveryLaw(middle, 0.0, TYPED_ORDERS))
    spread = max((log(max(late, SHORTEST_DAYS)) - middle) / NINE_IN_TEN, 0.0)
    spread = spread if late > usual_days else 0.0
    law = DeliveryLaw(middle, spread, TYPED_ORDERS)
    return LeadTime(usual_days, late, 0, 1.0, middle, spread, law)


def lead_times(known: Records, as_of: date) -> dict[PartType, LeadTime]:
    """The delivery time of every type of part, learnt from its orders, received or still open.

    ``known``: records as known on the day ``as_of``.
    """
    return known.once(_lead_times, as_of)


def usual_days(known: Records, as_of: date) -> dict[PartType, float]:
    """In how many days is usually here what is ordered today, of every type?"""
    return {part: lead.usual_now for part, lead in lead_times(known, as_of).items()}


def _lead_times(known: Records, as_of: date) -> dict[PartType, LeadTime]:
    sellers = Suppliers.of(known, as_of)
    came: dict[PartType, list[OwnOrder]] = {}
    waiting: dict[PartType, list[OwnOrder]] = {}
    for order in own_orders(known, as_of):
        (came if order.came < np.inf else waiting).setdefault(order.part, []).append(order)
    took = {
        part: np.array(
            [sellers.days_of(part, one.supplier).open_days(one.placed, one.came) for one in own]
        )
        for part, own in came.items()
    }
    bought = types_in(known.orders.assign(variant=spare_variants(known, known.orders)))
    facts = {part: known.part_facts(*part) for part in (*part_types(known), *bought)}
    leads = {
        part: replace(
            lead_time(own, took.get(part)), shut=sellers.days_of(part), others=sellers.shut
        )
        for part, own in facts.items()
    }
    losing = _losing(leads, came, waiting)
    for part, lead in leads.items():
        lead = leads[part] = replace(lead, lost=losing[""], losing=losing)
        if part in waiting:
            still = [(lead.sent_by(one.supplier), one) for one in waiting[part]]
            learnt_too = lead_time(
                facts[part],
                took.get(part),
                np.array([own.open_since(-one.placed) for own, one in still]),
                np.array([own.comes(-one.placed, one.promised).mean for own, one in still]),
            )
            leads[part] = lead.with_days_of(learnt_too)
    return leads


def _losing(
    leads: Mapping[PartType, LeadTime],
    came: Mapping[PartType, Sequence[OwnOrder]],
    waiting: Mapping[PartType, Sequence[OwnOrder]],
) -> dict[str, Array]:
    """``lost_shares`` of every supplier; where no arrival was ever written down, nobody may write
    them down, and only the latest open order of each supplier counts.
    """
    received = Counter(one.supplier for own in came.values() for one in own)
    still: dict[str, list[float]] = {}
    for part, own in waiting.items():
        for one in own:
            told = leads[part].sent_by(one.supplier).not_here(-one.placed, one.promised)
            still.setdefault(one.supplier, []).append(told)
    if not received:
        still = {name: [max(own)] for name, own in still.items()}
    return lost_shares(received, still)
