"""How long deliveries take: the figures typed in, and what the workshop's own orders teach.

Delivery times are lognormal. Two figures (usual, and nine in ten by then) are the belief: typed
into the catalogue they are worth TYPED_ORDERS orders, so that one odd order does not overturn them;
the trade's guess is worth GUESS_ORDERS. Each received order moves it (normal with unknown mean and
variance on log days, conjugate; Gelman et al., 2013, Bayesian Data Analysis, section 3.3); one that
came in parts, or was written in several lines, once. An order that is still open says "not here
yet", a right-censored delivery time: it counts as what such an order would come to on average, and
that again as the times so learnt say (EM; Dempster, Laird & Rubin, 1977, Journal of the Royal
Statistical Society B 39). One that has just gone out so teaches nothing, an overdue one much. With
no order yet the forecast is the two figures, exactly. Days on which the supplier is known to be
shut are no delivery time: they are left out of what was taken, and come on top of what is ordered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import exp, log, pi, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.ordering.supplier_days import NEVER_SHUT, SupplierDays, Suppliers
from tracker.workshop.parts.facts import PartFacts
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, part_types, spare_variants, types_in

GUESS_ORDERS = 3.0  # common practice, no source
TYPED_ORDERS = 5.0  # what a person typed knows the supplier; common practice, no source
# Open for longer than so many late deliveries, it was more likely forgotten than is still coming.
FORGOTTEN_AFTER = 3.0
SHORTEST_DAYS = 0.5  # ordered and received on one day
NINE_IN_TEN = NormalDist().inv_cdf(0.9)
LEAST_SPREAD = 1e-6  # of log days: a supplier who is never late
_A_DAY = pd.Timedelta(days=1)
_ROUNDS, _SETTLED = 200, 1e-9
_STEP = sqrt(3.0)  # three-point Gauss–Hermite rule of a normal


@dataclass(frozen=True)
class LeadTime:
    """How long a delivery takes, in days: usual (median) and late (nine in ten by then), of days on
    which its supplier is not ``shut`` (``others``: when every other one is).

    ``orders`` counts the own received orders behind it, ``guess_share`` (0 to 1) how much of it
    is still the catalogue's figure; ``log_middle`` and ``log_spread`` describe the lognormal.
    ``due_days``: after which an order is late, nine in ten by what came so far; an overdue order
    makes the others' forecast longer, but does not move its own due day.
    """

    typical_days: float
    late_days: float
    orders: int
    guess_share: float
    log_middle: float
    log_spread: float
    due_days: float
    shut: SupplierDays = NEVER_SHUT
    others: Mapping[str, SupplierDays] = field(default_factory=dict, repr=False)

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
        return replace(self, shut=self.others.get(name, NEVER_SHUT)) if name else self

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
        """In how many days is an order here that has been on its way for ``waited`` days?

        One for each ``share`` of such orders, given that it has not come yet. ``promised`` days
        from now, below 0 once they are over, move the middle of the law to that day; it keeps its
        spread. On the log scale of survival, so that the law holds however long one has waited.
        """
        from scipy.special import log_ndtr, ndtri_exp

        middle, placed = self.log_middle, -waited
        waited = float(self.shut.open_days(placed, 0.0))
        if promised is not None:
            middle = log(max(float(self.shut.open_days(placed, promised)), SHORTEST_DAYS))
        if self.log_spread <= 0:
            return self.here(0.0, np.full(np.shape(share), max(1.0, exp(middle) - waited)))
        not_here = 0.0
        if waited >= SHORTEST_DAYS:
            not_here = log_ndtr((middle - log(waited)) / self.log_spread)
        total = np.exp(middle - self.log_spread * ndtri_exp(not_here + np.log1p(-share)))
        return self.here(0.0, np.maximum(total - waited, 1.0))

    def due_in(self, waited: float) -> float:
        """In how many days, below 0 once it is over, is an order due that was placed so many ago
        and promised for no day?
        """
        return float(self.here(-waited, self.due_days))

    def forgotten_after(self, promised: float | None = None) -> float:
        """After how many days is an order more likely forgotten than still coming? ``promised`` so
        many days after it was placed; those of a shut supplier do not count.
        """
        return FORGOTTEN_AFTER * max(self.due_days, promised or 0.0, 1.0)


def lead_time(
    facts: PartFacts,
    days: NDArray[np.float64] | None = None,
    waiting: NDArray[np.float64] | None = None,
) -> LeadTime:
    """How long does a delivery take, from the catalogue and the days own orders took?

    ``days`` that received orders took, ``waiting`` days that open ones have been on their way.

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
    still = np.minimum(still[still > SHORTEST_DAYS], FORGOTTEN_AFTER * max(guess.late_days, 1.0))
    if not len(took) and not len(still):
        return guess
    worth = GUESS_ORDERS if "lead_days" in facts.guessed else TYPED_ORDERS
    came = _learnt(guess, worth, np.log(took), np.empty(0)) if len(took) else guess
    if not len(still):
        return came
    return replace(_learnt(guess, worth, np.log(took), np.log(still)), due_days=came.late_days)


def _learnt(
    guess: LeadTime, worth: float, logs: NDArray[np.float64], still: NDArray[np.float64]
) -> LeadTime:
    """The conjugate update by log days, those ``still`` waited for filled in until they settle."""
    n = len(logs)
    total = worth + n + len(still)
    middle, spread = guess.log_middle, guess.log_spread
    for _ in range(_ROUNDS if len(still) else 1):
        coming, scatter = _beyond(middle, spread, still)
        every = np.concatenate([logs, coming])
        new_middle = (worth * guess.log_middle + float(every.sum())) / total
        squares = (
            worth * (guess.log_spread**2 + (guess.log_middle - new_middle) ** 2)
            + float(((every - new_middle) ** 2).sum())
            + float(scatter.sum())
        )
        moved = abs(new_middle - middle)
        middle, spread = new_middle, sqrt(squares / total)
        if moved < _SETTLED:
            break
    # The mean is itself uncertain; the factor is 1 with no order, so the guess stays as said.
    spread *= sqrt((1 + 1 / (worth + n)) / (1 + 1 / worth))
    return LeadTime(
        typical_days=round(exp(middle), 6),
        late_days=round(exp(middle + NINE_IN_TEN * spread), 6),
        orders=n,
        guess_share=worth / (worth + n),
        log_middle=middle,
        log_spread=spread,
        due_days=round(exp(middle + NINE_IN_TEN * spread), 6),
    )


def _beyond(
    middle: float, spread: float, limit: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean and variance of a normal beyond each limit (the inverse Mills ratio)."""
    from scipy.special import log_ndtr

    spread = max(spread, LEAST_SPREAD)
    z = (limit - middle) / spread
    # On the log scale, for far beyond the middle both density and tail vanish.
    ratio = np.exp(-(z**2) / 2 - log(2 * pi) / 2 - log_ndtr(-z))
    return middle + spread * ratio, spread**2 * np.maximum(1 + z * ratio - ratio**2, 0.0)


def lead_time_of(usual_days: float, late_days: float) -> LeadTime:
    """The delivery time of two plain figures: usual, and nine in ten by then."""
    middle = log(max(usual_days, SHORTEST_DAYS))
    late = max(late_days, usual_days)
    if usual_days <= 0 and late <= 0:
        return LeadTime(0.0, 0.0, 0, 1.0, middle, 0.0, 0.0)
    spread = max((log(max(late, SHORTEST_DAYS)) - middle) / NINE_IN_TEN, 0.0)
    spread = spread if late > usual_days else 0.0
    return LeadTime(usual_days, late, 0, 1.0, middle, spread, late)


def lead_times(known: Records, as_of: date) -> dict[PartType, LeadTime]:
    """The delivery time of every type of part, learnt from its orders, received or still open.

    ``known``: records as known on the day ``as_of``.
    """
    return known.once(_lead_times, as_of)


def usual_days(known: Records, as_of: date) -> dict[PartType, float]:
    """In how many days is usually here what is ordered today, of every type?"""
    return {part: lead.usual_now for part, lead in lead_times(known, as_of).items()}


def _lead_times(known: Records, as_of: date) -> dict[PartType, LeadTime]:
    lines = known.orders.assign(variant=spare_variants(known, known.orders))
    orders = _once_half_here(lines)
    took: dict[PartType, list[float]] = {}
    waiting: dict[PartType, list[float]] = {}
    until = orders["received_on"].fillna(pd.Timestamp(as_of))
    placed, came = (
        ((days - pd.Timestamp(as_of)) / _A_DAY).to_numpy() for days in (orders["ordered_on"], until)
    )
    is_open, sold = orders["received_on"].isna(), orders["supplier"]
    sellers = Suppliers.of(known, as_of)
    for part, still, name, first, last in zip(
        types_in(orders), is_open, sold, placed, came, strict=True
    ):
        if last >= first:
            own = float(sellers.days_of(part, name).open_days(first, last))
            (waiting if still else took).setdefault(part, []).append(own)
    return {
        part: replace(
            lead_time(
                known.part_facts(*part),
                np.array(took.get(part, [])),
                np.array(waiting.get(part, [])),
            ),
            shut=sellers.days_of(part),
            others=sellers.shut,
        )
        for part in dict.fromkeys((*part_types(known), *types_in(lines)))
    }


def _once_half_here(lines: pd.DataFrame) -> pd.DataFrame:
    """One row for each order: the line with which half of its pieces were here, or an open one."""
    lines = lines.sort_values("received_on", kind="stable")
    pieces, order = lines["quantity"].fillna(0.0), by_order(lines).ngroup()
    here = pieces.groupby(order).cumsum() >= pieces.groupby(order).transform("sum") / 2
    return lines[here & ~order.where(here).duplicated()].sort_index()


def by_order(lines: pd.DataFrame) -> Any:
    """Lines of ``orders`` grouped by the order they are of: what one supplier was asked for on one
    day, of one type and for one promised day, however many lines it is written in.
    """
    columns = ["part_kind", "variant", "ordered_on", "expected_on", "supplier"]
    return lines.groupby(columns, dropna=False, sort=False)
