"""What does a year with a task cost at each interval, and of what is that made: work, failures?

A cost that is as likely more as less is no sum of such costs of its parts. So what stands for a
part is its mean over the draws in which the whole comes out near its middle: those means add up to
the middle of the whole (the contribution of a part to a quantile is its conditional expectation
there; Tasche 1999, Risk contributions and performance measurement).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array

_NEAR_THE_MIDDLE = (0.4, 0.6)  # of the draws by their whole


@dataclass(frozen=True, eq=False)
class CostStack:
    """Cost per printer and year at each interval: ``work``, and ``by_kind`` that of failures.

    ``together`` is the median of the whole, ``low`` and ``high`` its 10 % and 90 % points.
    """

    every_days: Array
    work: Array
    by_kind: Mapping[str, Array]
    together: Array
    low: Array
    high: Array

    def at(self, every_days: float) -> float:
        """The whole at an interval, straight in its logarithm between two that were tried."""
        return float(np.interp(np.log(every_days), np.log(self.every_days), self.together))


def cost_stack(every_days: Array, work: Array, by_kind: Mapping[str, Array]) -> CostStack:
    """From possible costs: rows intervals, columns draws that are all as likely."""
    whole = work + sum(by_kind.values())
    low, half, high = np.quantile(whole, (0.1, 0.5, 0.9), axis=1)
    ends = (round(share * whole.shape[1]) for share in _NEAR_THE_MIDDLE)
    near = np.argsort(whole, axis=1, kind="stable")[:, slice(*ends)]

    def share(part: Array) -> Array:
        return np.asarray(np.take_along_axis(part, near, axis=1).mean(axis=1))

    parts = {kind: share(costs) for kind, costs in by_kind.items()}
    own = share(work)
    # The mean of the middle fifth is not quite the median; the parts are to end where it does.
    found = own + sum(parts.values())
    to_median = np.divide(half, found, out=np.ones_like(half), where=found > 0)
    return CostStack(
        every_days=every_days,
        work=own * to_median,
        by_kind={kind: part * to_median for kind, part in parts.items()},
        together=half,
        low=low,
        high=high,
    )
