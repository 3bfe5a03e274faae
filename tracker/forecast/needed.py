"""How many pieces of a part will be needed?

All positions of a kind share what is not known about its life, so need is computed per parameter
node (the generating functions of the positions' renewal counts multiplied on a Fourier grid) and
then averaged over the nodes, never the other way round. Parts that another part's change takes
along are in ``co_replacement``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from tracker.arrays import Array
from tracker.forecast.positions.area_demand import demand_of_used_groups
from tracker.forecast.positions.co_replaced_positions import TriggerPart
from tracker.forecast.positions.co_replacement import demand_along
from tracker.forecast.positions.large_pools import coarse_ages, demand_along_in_large_pool
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.renewal.grid import checked_horizon
from tracker.forecast.renewal.parameter_nodes import Posterior
from tracker.forecast.renewal.renewal import renewal_counts
from tracker.forecast.renewal.sums_of_counts import EXACT_POSITIONS, average_of_sums, trimmed


def demand(
    posterior: Posterior,
    ages: Array | Sequence[float],
    horizon: float,
    *,
    planned: float | None = None,
    trigger: TriggerPart | None = None,
    until: Array | Sequence[float] | None = None,
) -> Array:
    """What is the chance that exactly k pieces are needed within the horizon?

    Args:
        posterior: what is believed about the life (anything with ``nodes()``).
        ages: age of the part now fitted in each position, shape (A,), in the posterior's unit.
        horizon: length of time looked at, same unit.
        planned: age at which a working part is changed by plan, if the workshop does so.
        trigger: the part whose failure takes this one along (a head takes the dampers of its
            printer), with what is believed about it and which position goes with which.
        until: how long each position is there at all (its printer leaves the workshop), shape
            (A,), same unit; infinite where it stays. None: all stay.

    Returns:
        Array whose [k] is the chance that exactly k are needed; it sums to 1.

    Raises:
        ModelError: impossible ages, horizon or planned age.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([200, 350, 120], [1, 1, 0], belief=LifeBelief(300))
    >>> chances = demand(life, ages=[250, 100], horizon=60)
    >>> chances[:3].round(2)
    array([0.6 , 0.34, 0.05])
    """
    follows = None if trigger is None else trigger.follows
    group = PositionGroup.of(posterior, ages, planned=planned, follows=follows, until=until)
    return demand_of_groups([group], horizon, trigger=trigger)


def demand_of_groups(
    groups: Sequence[PositionGroup], horizon: float, *, trigger: TriggerPart | None = None
) -> Array:
    """The need of one part kind whose positions fall into groups with a life of their own each.

    For example white and colour dampers. The lives of two groups are taken as unknown
    independently of each other; a common trigger part (the head) is shared by all. Where it
    carries a ``usage``, lives are in area and ``horizon`` is days of printing.
    """
    horizon = checked_horizon(horizon)
    groups = [group for group in groups if len(group.ages)]
    if not groups:
        return np.ones(1)
    if trigger is not None and trigger.usage is not None:
        return demand_of_used_groups(groups, horizon, trigger)
    if trigger is not None and any((group.follows >= 0).any() for group in groups):
        if sum(len(group.ages) for group in groups) > EXACT_POSITIONS:
            return demand_along_in_large_pool(groups, trigger, horizon)
        return demand_along(groups, trigger, horizon)
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
    nodes = group.source.for_total(group.ages.expected, horizon)
    many = len(group.ages) > EXACT_POSITIONS
    spans = group.spans(horizon)
    counts, times = [], []
    for span in np.unique(spans):
        rounds = partial(coarse_ages, most=256) if many and group.planned is None else None
        table = group.ages[spans == span].table(rounds)
        found = renewal_counts(nodes, table.ages, span, planned_age=group.planned)
        counts.append(table.rows(found, 1))
        times.append(np.bincount(table.row_of, minlength=counts[-1].shape[1]))
    most = max(own.shape[-1] for own in counts)
    padded = [np.pad(c, ((0, 0), (0, 0), (0, most - c.shape[-1]))) for c in counts]
    return average_of_sums(np.concatenate(padded, 1), np.concatenate(times), nodes.weight)
