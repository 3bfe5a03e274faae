"""How many spares of a part will be needed, and how many should lie on the shelf?

All positions of a kind share what is not known about its life, so need is computed per parameter
node (the generating functions of the positions' renewal counts multiplied on a Fourier grid) and
then averaged over the nodes, never the other way round. Parts that another part's change takes
along are in ``co_replacement``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.decisions.demand.area_demand import demand_of_used_groups
from tracker.decisions.demand.co_replacement import demand_along
from tracker.decisions.demand.large_pools import coarse_ages, demand_along_in_large_pool
from tracker.decisions.demand.led_positions import Leader
from tracker.decisions.demand.parameter_nodes import Posterior
from tracker.decisions.demand.position_groups import PositionGroup
from tracker.decisions.demand.renewal import renewal_counts
from tracker.decisions.demand.renewal_grid import checked_horizon
from tracker.decisions.demand.sums_of_counts import EXACT_POSITIONS, average_of_sums, trimmed
from tracker.errors import ModelError

Array = NDArray[np.float64]


def demand(
    posterior: Posterior,
    ages: Array | Sequence[float],
    horizon: float,
    *,
    planned: float | None = None,
    co_replaced: Leader | None = None,
    until: Array | Sequence[float] | None = None,
) -> Array:
    """What is the chance that exactly k pieces are needed within the horizon?

    Args:
        posterior: what is believed about the life (anything with ``nodes()``).
        ages: age of the part now fitted in each position, shape (A,), in the posterior's unit.
        horizon: length of time looked at, same unit.
        planned: age at which a working part is changed by plan, if the workshop does so.
        co_replaced: the part whose failure takes this one along (a head takes the dampers of its
            printer), with what is believed about it and which position goes with which.
        until: how long each position is there at all (its printer leaves the workshop), shape
            (A,), same unit; infinite where it stays. None: all stay.

    Returns:
        Array whose [k] is the chance that exactly k are needed; it sums to 1.

    Raises:
        ModelError: impossible ages, horizon or planned age.

    >>> from tracker.models.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([200, 350, 120], [1, 1, 0], belief=LifeBelief(300))
    >>> chances = demand(life, ages=[250, 100], horizon=60)
    >>> chances[:3].round(2)
    array([0.6 , 0.34, 0.05])
    """
    follows = None if co_replaced is None else co_replaced.follows
    group = PositionGroup.of(posterior, ages, planned=planned, follows=follows, until=until)
    return demand_of_groups([group], horizon, leader=co_replaced)


def demand_of_groups(
    groups: Sequence[PositionGroup], horizon: float, *, leader: Leader | None = None
) -> Array:
    """The need of one part kind whose positions fall into groups with a life of their own each.

    For example white and colour dampers. The lives of two groups are taken as unknown
    independently of each other; a common leader (the head) is shared by all of them. Where the
    leader carries a ``usage``, lives are in area and ``horizon`` is days of printing.
    """
    horizon = checked_horizon(horizon)
    groups = [group for group in groups if len(group.ages)]
    if not groups:
        return np.ones(1)
    if leader is not None and leader.usage is not None:
        return demand_of_used_groups(groups, horizon, leader)
    if leader is not None and any((group.follows >= 0).any() for group in groups):
        if sum(len(group.ages) for group in groups) > EXACT_POSITIONS:
            return demand_along_in_large_pool(groups, leader, horizon)
        return demand_along(groups, leader, horizon)
    total = np.ones(1)
    for group in groups:
        total = np.convolve(total, _group_demand(group, horizon))
    return trimmed(total)


def mixed(laws: Sequence[Array], weights: Sequence[float] | Array) -> Array:
    """The law of a need over a time that is itself uncertain: its laws with their weights.

    Cut where less than 1e-9 is left, and summing to 1.

    >>> mixed([np.array([1.0]), np.array([0.5, 0.5])], [0.6, 0.4])
    array([0.8, 0.2])
    """
    total = np.zeros(max(len(law) for law in laws))
    for law, weight in zip(laws, weights, strict=True):
        total[: len(law)] += weight * law
    last = np.flatnonzero(total > 1e-9)
    total = total[: last[-1] + 1]
    return np.asarray(total / total.sum())


def _group_demand(group: PositionGroup, horizon: float) -> Array:
    nodes = group.source.for_total(group.ages, horizon)
    many = len(group.ages) > EXACT_POSITIONS
    spans = group.spans(horizon)
    counts, times = [], []
    for span in np.unique(spans):
        ages = group.ages[spans == span]
        ages = coarse_ages(ages, 256) if many and group.planned is None else ages
        unique, number = np.unique(ages, return_counts=True)
        counts.append(renewal_counts(nodes, unique, span, planned_age=group.planned))
        times.append(number)
    most = max(found.shape[-1] for found in counts)
    padded = [np.pad(c, ((0, 0), (0, 0), (0, most - c.shape[-1]))) for c in counts]
    return average_of_sums(np.concatenate(padded, 1), np.concatenate(times), nodes.weight)


def stock_for_service(probabilities: Array, service: float) -> int:
    """The smallest stock whose chance of no shortage reaches the service level.

    >>> stock_for_service(np.array([0.5, 0.3, 0.15, 0.05]), 0.95)
    2

    Raises:
        ModelError: a service level that is not above 0 and below 1.
    """
    if not 0 < service < 1:
        raise ModelError(f"service level: {service} is not possible; give 0.95 for 95 %.")
    enough = np.flatnonzero(np.cumsum(_checked(probabilities)) >= service - 1e-12)
    return int(enough[0]) if enough.size else len(probabilities) - 1


def expected_shortage(probabilities: Array, stock: int | NDArray[np.int_]) -> Array:
    """How many pieces will be missing on average with this stock? (E of need beyond stock.)

    Also called expected backorders; ``stock`` may be an array. Source: Sherbrooke (2004), Optimal
    Inventory Modeling of Systems, ch. 2.
    """
    need = np.arange(len(_checked(probabilities)))
    short = np.maximum(need - np.atleast_1d(stock)[:, None], 0) @ probabilities
    return short if np.ndim(stock) else short[0]


def fill_rate(probabilities: Array, stock: int) -> float:
    """What share of demands finds a piece on the shelf, P(need < stock)? (Sherbrooke, ch. 2.)"""
    return float(np.sum(_checked(probabilities)[: max(0, stock)]))


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
    wasted: Array | None = None,
) -> LeastCostStock:
    """The stock at which standing still and money tied up together cost least.

    Args:
        probabilities: [k] = chance that exactly k are needed.
        shortage_cost: cost of one missing piece (the printer stands until it comes).
        holding_cost: cost over the horizon of one piece left on the shelf.
        wasted: [s] = expected cost over the horizon of pieces that grow too old when s are kept.

    Without waste this is the critical ratio: the smallest stock whose chance of no shortage
    reaches shortage / (shortage + holding). Source: Arrow, Harris & Marschak (1951).

    Raises:
        ModelError: a cost below 0 or not finite.
    """
    for name, cost in (("shortage cost", shortage_cost), ("holding cost", holding_cost)):
        if not np.isfinite(cost) or cost < 0:
            raise ModelError(f"{name}: {cost} is no cost; give an amount of 0 or more.")
    need = np.arange(len(_checked(probabilities)))
    short = _tail_sums(probabilities)
    left = need - float(need @ probabilities) + short
    costs = shortage_cost * short + holding_cost * left
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
        raise ModelError("probabilities: give one chance of 0 or more for each need 0, 1, 2, …")
    return probabilities
