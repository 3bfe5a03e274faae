"""What a replay of the orders found."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

import pandas as pd

ADVICE, ONE, NONE = "advice", "always one on the shelf", "order when it breaks"
POLICIES = (ADVICE, ONE, NONE)
WARM_UP_DAYS = 180
LEAST_DAYS = 180  # scored; below this, and below LEAST_NEEDS, a comparison says nothing
LEAST_NEEDS = 10

KIND_COLUMNS = (
    "part_kind", "variant", "policy", "needs", "missing", "downtime_days", "downtime_cost",
    "holding", "aged", "left_over", "money",
)  # fmt: skip
SERVICE_COLUMNS = ("part_kind", "variant", "cycles", "asked", "kept_as_asked", "foretold", "kept")


@dataclass(frozen=True)
class PolicyCost:
    """One way of ordering over the scored days, mean of the deliveries drawn; money in currency
    units. ``missing`` of the ``needs`` found no piece on the shelf; ``low`` and ``high`` are the
    10 % and 90 % points of the money over the deliveries drawn."""

    policy: str
    needs: int
    missing: float
    downtime_days: float
    downtime_cost: float
    holding: float
    aged: float
    left_over: float
    low: float
    high: float

    @property
    def money(self) -> float:
        """Everything together."""
        return self.downtime_cost + self.holding + self.aged + self.left_over


@dataclass(frozen=True)
class Service:
    """Is a service level kept? Over the review cycles of all kinds that are kept by stock.

    A cycle runs from a review until the order of the next one was there; it is ``kept`` when no
    more was needed in it than was on the shelf and on order after the review, which ``foretold``
    is the mean chance of, as told then. Whole pieces and packs make that more than was ``asked``;
    ``kept_as_asked`` is what stocks of exactly the level asked for would have kept; ``is_floor``
    where stocks were to keep at least that, else money alone decided them. ``lower`` and
    ``upper`` are the 95 % limits of ``kept_as_asked`` (Wilson, 1927), for as many cycles as would
    stand one after the other: neighbouring ones share the days of a delivery.
    """

    asked: float
    is_floor: bool
    cycles: int
    kept_as_asked: float
    foretold: float
    kept: float
    lower: float
    upper: float


@dataclass(frozen=True, eq=False)
class AdviceCost:
    """The comparison; ``policies`` is empty where the log is too short to judge.

    ``by_kind`` has one row per part kind, type and policy (KIND_COLUMNS), ``service_by_kind`` one
    per type kept by stock (SERVICE_COLUMNS).
    """

    scored_from: date | None
    scored_days: int
    needs: int
    currency: str
    policies: tuple[PolicyCost, ...]
    by_kind: pd.DataFrame
    service: Service | None
    service_by_kind: pd.DataFrame

    def of(self, policy: str) -> PolicyCost:
        """That policy's cost; KeyError for one that was not walked."""
        return {found.policy: found for found in self.policies}[policy]

    def as_dict(self) -> dict[str, Any]:
        """Everything as JSON can hold it."""
        return {
            "scored_from": self.scored_from,
            "scored_days": self.scored_days,
            "needs": self.needs,
            "currency": self.currency,
            "policies": [asdict(found) | {"money": found.money} for found in self.policies],
            "service": None if self.service is None else asdict(self.service),
            "kinds": self.by_kind.to_dict(orient="records"),
            "service_by_kind": self.service_by_kind.to_dict(orient="records"),
        }
