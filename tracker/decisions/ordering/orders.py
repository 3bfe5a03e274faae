"""What the workshop's own orders teach: delivery times, late orders, prices.

Delivery times are lognormal. The catalogue's two figures (usual, and nine in ten by then) are the
belief, worth GUESS_ORDERS orders; each received order moves it (normal with unknown mean and
variance on log days, conjugate; Gelman et al., 2013, Bayesian Data Analysis, section 3.3). With no
order yet the forecast is the catalogue's, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import exp, log, sqrt
from statistics import NormalDist

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.records import PartFacts, Records

GUESS_ORDERS = 3.0
SHORTEST_DAYS = 0.5  # ordered and received on one day
NINE_IN_TEN = NormalDist().inv_cdf(0.9)
RECENT_PURCHASES = 3
_STEP = sqrt(3.0)  # three-point Gauss–Hermite rule of a normal


@dataclass(frozen=True)
class LeadTime:
    """How long a delivery takes, in days: usual (median) and late (nine in ten by then).

    ``orders`` counts the own received orders behind it, ``guess_share`` (0 to 1) how much of it
    is still the catalogue's figure; ``log_middle`` and ``log_spread`` describe the lognormal.
    """

    typical_days: float
    late_days: float
    orders: int
    guess_share: float
    log_middle: float
    log_spread: float

    def points(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """A few delivery times with their weights, which stand for the whole distribution."""
        if self.log_spread <= 0:
            return np.array([self.typical_days]), np.ones(1)
        steps = np.array([-_STEP, 0.0, _STEP])
        days = np.exp(self.log_middle + self.log_spread * steps)
        return days, np.array([1 / 6, 2 / 3, 1 / 6])

    @property
    def mean_days(self) -> float:
        """The mean delivery time."""
        days, weight = self.points()
        return float(days @ weight)

    def remaining_days(self, waited_days: float) -> float:
        """How long an order that has not come after so many days usually still takes (median)."""
        if self.log_spread <= 0 or waited_days < SHORTEST_DAYS:
            return max(0.0, self.typical_days - waited_days)
        normal = NormalDist(self.log_middle, self.log_spread)
        gone = min(normal.cdf(log(waited_days)), 1 - 1e-6)
        return max(0.0, exp(normal.inv_cdf(gone + (1 - gone) / 2)) - waited_days)


def lead_time(facts: PartFacts, days: NDArray[np.float64] | None = None) -> LeadTime:
    """How long does a delivery take, from the catalogue and the days own orders took?

    >>> from tracker.workshop.records import Records
    >>> guess = lead_time(Records().part_facts("head"))
    >>> guess.typical_days, guess.late_days, guess.guess_share
    (20.0, 45.0, 1.0)
    >>> learnt = lead_time(Records().part_facts("head"), np.array([9.0, 11.0, 10.0]))
    >>> round(learnt.typical_days), learnt.orders, learnt.guess_share
    (14, 3, 0.5)
    """
    took = np.empty(0) if days is None else np.maximum(np.asarray(days, float), SHORTEST_DAYS)
    guess = lead_time_of(float(facts.lead_days), float(facts.lead_days_late))
    if not len(took):
        return guess
    middle, spread = guess.log_middle, guess.log_spread
    logs, n = np.log(took), len(took)
    total = GUESS_ORDERS + n
    squares = (
        GUESS_ORDERS * spread**2
        + float(((logs - logs.mean()) ** 2).sum())
        + GUESS_ORDERS * n / total * float(logs.mean() - middle) ** 2
    )
    # The mean is itself uncertain; the factor is 1 with no order, so the guess stays as said.
    widened = (1 + 1 / total) / (1 + 1 / GUESS_ORDERS)
    middle = (GUESS_ORDERS * middle + float(logs.sum())) / total
    spread = sqrt(squares / total * widened)
    return LeadTime(
        typical_days=round(exp(middle), 6),
        late_days=round(exp(middle + NINE_IN_TEN * spread), 6),
        orders=n,
        guess_share=GUESS_ORDERS / total,
        log_middle=middle,
        log_spread=spread,
    )


def lead_time_of(usual_days: float, late_days: float) -> LeadTime:
    """The delivery time of two plain figures: usual, and nine in ten by then."""
    middle = log(max(usual_days, SHORTEST_DAYS))
    late = max(late_days, usual_days)
    if usual_days <= 0 and late <= 0:
        return LeadTime(0.0, 0.0, 0, 1.0, middle, 0.0)
    spread = max((log(max(late, SHORTEST_DAYS)) - middle) / NINE_IN_TEN, 0.0)
    return LeadTime(usual_days, late, 0, 1.0, middle, spread if late > usual_days else 0.0)


def lead_times(known: Records) -> dict[str, LeadTime]:
    """The delivery time of every part kind, learnt from the orders received so far.

    ``known``: records as known on the day.
    """
    orders = known.orders
    took = (orders["received_on"] - orders["ordered_on"]).dt.days
    received = took.notna() & (took >= 0)
    by_kind = {
        str(kind): np.asarray(days, dtype=np.float64)
        for kind, days in took[received].groupby(orders.loc[received, "part_kind"])
    }
    return {
        kind: lead_time(known.part_facts(kind), by_kind.get(kind)) for kind in known.part_kinds()
    }


def open_orders(
    known: Records, as_of: date, leads: dict[str, LeadTime] | None = None
) -> pd.DataFrame:
    """Which orders have not come yet, which of them are late, and when will they be here?

    One row per open order: ``part_kind, quantity, ordered_on, expected_on, supplier`` and
    ``likely_on`` (the promised day while it lies ahead, else what orders that have taken so long
    usually still take), ``days_open``, ``days_late`` (after the promised day, or where none was
    promised after the day by which nine in ten are here; 0 when not late). Latest first.
    ``known``: records as known on that day; ``leads`` from ``lead_times`` where already there.
    """
    leads = lead_times(known) if leads is None else leads
    orders = known.orders
    waiting = orders[orders["received_on"].isna()]
    rows = []
    for kind, placed, expected in zip(
        waiting["part_kind"], waiting["ordered_on"].dt.date, waiting["expected_on"], strict=True
    ):
        lead = leads[kind]
        open_days = (as_of - placed).days
        promised: date | None = None if pd.isna(expected) else expected.date()
        limit = promised or placed + timedelta(days=round(lead.late_days))
        if promised is not None and promised >= as_of:
            likely = promised
        else:
            likely = as_of + timedelta(days=max(1, round(lead.remaining_days(open_days))))
        rows.append((likely, open_days, max(0, (as_of - limit).days)))
    frame = waiting[["part_kind", "quantity", "ordered_on", "expected_on", "supplier"]].copy()
    frame["quantity"] = frame["quantity"].fillna(0).astype(int)
    likely_on, days_open, days_late = zip(*rows, strict=True) if rows else ((), (), ())
    frame["likely_on"] = np.array(likely_on, dtype="datetime64[ns]")
    frame["days_open"] = np.array(days_open, dtype=int)
    frame["days_late"] = np.array(days_late, dtype=int)
    return frame.sort_values(["days_late", "days_open"], ascending=False, kind="stable")


@dataclass(frozen=True)
class Price:
    """Price of one piece in currency units, and how many own purchases are behind it (0: the
    catalogue's)."""

    amount: float
    purchases: int
    last_bought_on: date | None


def prices(known: Records) -> dict[str, Price]:
    """What does a piece of every kind cost, by the last own purchases, else by the catalogue?

    The median of the last RECENT_PURCHASES prices of orders; of received stock where no order of
    the kind carries a price, and of the parts fitted where neither does. ``known``: records as
    known on the day.
    """
    received = known.stock[known.stock["reason"].eq("received")]
    # A part fitted for nothing came under warranty or from the old printer; the next one will not.
    paid = known.fittings[known.fittings["unit_cost"] > 0]
    sources = (
        known.orders[["part_kind", "ordered_on", "unit_cost"]],
        received[["part_kind", "moved_on", "unit_cost"]],
        paid[["part_kind", "fitted_on", "unit_cost"]],
    )
    found: dict[str, Price] = {}
    for source in sources:
        bought = source.set_axis(["part_kind", "day", "price"], axis=1).dropna()
        for kind, rows in bought.sort_values("day", kind="stable").groupby("part_kind"):
            last = rows.tail(RECENT_PURCHASES)
            if kind not in found:
                found[str(kind)] = Price(
                    float(last["price"].median()), len(rows), last["day"].iloc[-1].date()
                )
    return {
        kind: found.get(kind) or Price(known.part_facts(kind).unit_cost, 0, None)
        for kind in known.part_kinds()
    }


def suppliers(known: Records) -> dict[str, tuple[str, ...]]:
    """From whom was every kind bought, the latest first? By orders, else by the parts fitted.

    ``known``: records as known on the day.
    """
    sources = (known.orders[["part_kind", "ordered_on", "supplier"]],
               known.fittings[["part_kind", "fitted_on", "supplier"]])  # fmt: skip
    found: dict[str, tuple[str, ...]] = {}
    for source in sources:
        bought = source.set_axis(["part_kind", "day", "supplier"], axis=1)
        bought = bought[bought["supplier"].str.strip() != ""]
        bought = bought.sort_values("day", ascending=False, kind="stable", na_position="last")
        for kind, rows in bought.groupby("part_kind"):
            found.setdefault(str(kind), tuple(dict.fromkeys(rows["supplier"].str.strip())))
    return found
