"""How many spares should lie on the shelf, given the chances of every need?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.language import _


def stock_for_service(probabilities: Array, service: float) -> int:
    """The smallest stock whose chance of no shortage reaches the service level.

    >>> stock_for_service(np.array([0.5, 0.3, 0.15, 0.05]), 0.95)
    2

    Raises:
        ModelError: a service level that is not above 0 and below 1.
    """
    if not 0 < service < 1:
        raise ModelError(
            _("service level: {service} is not possible; give 0.95 for 95 %.", service=service)
        )
    enough = np.flatnonzero(np.cumsum(_checked(probabilities)) >= service - 1e-12)
    return int(enough[0]) if enough.size else len(probabilities) - 1


def chance_of_shortage(probabilities: Array, available: int) -> float:
    """The chance that more pieces are needed than are available."""
    return float(max(0.0, 1 - np.sum(_checked(probabilities)[: max(0, available) + 1])))


@dataclass(frozen=True)
class LeastCostStock:
    """The cheapest stock: its expected cost over the horizon, and the cost of every stock."""

    stock: int
    cost: float
    costs: Array


def least_cost_stock(
    probabilities: Array,
    shortage_cost: float,
    holding_cost: float,
    *,
    short: Array | None = None,
    wasted: Array | None = None,
) -> LeastCostStock:
    """The stock at which standing still and money tied up together cost least.

    Args:
        probabilities: [k] = chance that exactly k are needed.
        shortage_cost: cost of one missing piece (the printer stands until it comes), or of one
            of the occasions counted by ``short``.
        holding_cost: cost over the horizon of one piece left on the shelf.
        short: [s] = expected occasions on which something is missing when s are kept, where
            several pieces may be missed at once; None: every missing piece is one.
        wasted: [s] = expected cost over the horizon of pieces that grow too old when s are kept.

    Without waste this is the critical ratio: the smallest stock whose chance of no shortage
    reaches shortage / (shortage + holding). Source: Arrow, Harris & Marschak (1951).

    Raises:
        ModelError: a cost below 0 or not finite.
    """
    for name, cost in ((_("shortage cost"), shortage_cost), (_("holding cost"), holding_cost)):
        if not np.isfinite(cost) or cost < 0:
            raise ModelError(
                _("{name}: {cost} is no cost; give an amount of 0 or more.", name=name, cost=cost)
            )
    need = np.arange(len(_checked(probabilities)))
    missing = _tail_sums(probabilities)
    left = need - float(need @ probabilities) + missing
    costs = shortage_cost * (missing if short is None else short) + holding_cost * left
    if wasted is not None:
        costs = costs + np.asarray(wasted)[: len(costs)]
    best = int(np.argmin(np.round(costs, 12)))
    return LeastCostStock(stock=best, cost=float(costs[best]), costs=costs)


def _tail_sums(probabilities: Array) -> Array:
    """Expected shortage of every stock 0, 1, …: sums of the chances beyond."""
    beyond = np.cumsum(probabilities[::-1])[::-1]  # chance of k or more
    more = np.concatenate([beyond[1:], [0.0]])
    return np.asarray(np.cumsum(more[::-1])[::-1])


def _checked(probabilities: Array) -> Array:
    probabilities = np.asarray(probabilities, dtype=np.float64)
    if probabilities.ndim != 1 or not probabilities.size or (probabilities < -1e-12).any():
        raise ModelError(_("probabilities: give one chance of 0 or more for each need 0, 1, 2, …"))
    return probabilities
