"""Which parts should share the shipment that goes out today?

Joint replenishment: one part must be ordered now, others would fall due soon. Each of those that
joins saves its own later shipment, unless that one would be shared as well, and costs holding and
ageing for the time it comes too early (can-order levels: Balintfy, 1964, Management Science 10).
Instead of fixed levels all sets of up to MOST_WEIGHED parts are compared by the shipments of the
reviews to come. Every order counts as a shipment that others may share, not only the next one of
each part: a kind ordered at nearly every review carries the others anyway.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import UsageError
from tracker.language import _

MOST_WEIGHED = 12


@dataclass(frozen=True, eq=False)
class Waiting:
    """A part whose own order is still to come.

    ``ordered`` [n] = chance that it is ordered at the n-th review from now (0 = the next one) when
    it does not join today, ``still_ordered`` when it does (None: never again in that time);
    ``earlier_cost``: what having it already now costs, in currency units.
    """

    ordered: Array
    earlier_cost: float
    still_ordered: Array | None = None


@dataclass(frozen=True)
class Additions:
    """Which of the waiting parts to add (their places), what that saves in all, and what each
    of them adds to it."""

    chosen: tuple[int, ...]
    saving: float
    each: tuple[float, ...]


def best_additions(
    waiting: Sequence[Waiting], shipping: float, others: Iterable[Array] = ()
) -> Additions:
    """Which parts should join the order that goes out today?

    Compares every set of the waiting parts: the shipments expected later (one at each review at
    which something is ordered, ``others`` included, which do not join: each the chance that it is
    ordered at the n-th review) and what is paid for having the joining parts early. At most
    MOST_WEIGHED parts. What is ordered is independent between parts.

    >>> soon = np.array([1.0, 0.0])
    >>> best_additions([Waiting(soon, 2.0)], shipping=12)
    Additions(chosen=(0,), saving=10.0, each=(10.0,))
    >>> best_additions([Waiting(soon, 2.0)], shipping=12, others=[soon]).chosen
    ()
    """
    if len(waiting) > MOST_WEIGHED:
        raise UsageError(
            _(
                "additions: {count} parts are too many to weigh; give at most {most_weighed}.",
                count=len(waiting),
                most_weighed=MOST_WEIGHED,
            )
        )
    if not waiting:
        return Additions((), 0.0, ())
    free = np.stack([1 - part.ordered for part in waiting])
    joined = np.stack(
        [
            np.ones(free.shape[1]) if part.still_ordered is None else 1 - part.still_ordered
            for part in waiting
        ]
    )
    rest = np.ones(free.shape[1])
    for law in others:
        rest = rest * (1 - law)
    joins = (np.arange(2 ** len(waiting))[:, None] >> np.arange(len(waiting))) & 1
    no_order = np.where(joins[:, :, None] == 1, joined, free).prod(axis=1) * rest
    early = joins @ np.array([part.earlier_cost for part in waiting])
    cost = shipping * (1 - no_order).sum(axis=1) + early
    # Among sets that save the same to the cent the smallest.
    best = int(np.lexsort((joins.sum(axis=1), np.round(cost, 6)))[0])
    chosen = tuple(int(i) for i in np.flatnonzero(joins[best]))
    each = tuple(float(cost[best - (1 << i)] - cost[best]) for i in chosen)
    return Additions(chosen, float(cost[0] - cost[best]), each)
