"""What does a year with a task cost at each interval, and of what is that made: work, failures?

All are expected costs (means over the draws): those of the parts add up to that of the whole, and
the interval of least cost is the lowest point, for it is decided by the same means.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array

NO_REAL_DIFFERENCE = 0.02  # of the least cost: less than any cost is known to


@dataclass(frozen=True, eq=False)
class CostStack:
    """Expected cost per printer and year at each interval: ``work``, ``by_kind`` that of failures,
    ``together`` the whole; ``low`` and ``high`` are the 10 % and 90 % points of the whole.
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

    def alike(self, every_days: float) -> tuple[float, float]:
        """The first and last interval around this one that cost hardly more than it."""
        dear = self.together > (1 + NO_REAL_DIFFERENCE) * self.at(every_days)
        before = self.every_days[dear & (self.every_days < every_days)]
        beyond = self.every_days[dear & (self.every_days > every_days)]
        inside = self.every_days[
            (self.every_days > before.max(initial=0.0))
            & (self.every_days < beyond.min(initial=np.inf))
        ]
        return float(inside[0]), float(inside[-1])


def cost_stack(every_days: Array, work: Array, by_kind: Mapping[str, Array]) -> CostStack:
    """From possible costs: rows intervals, columns draws that are all as likely."""
    whole = work + sum(by_kind.values())
    low, high = np.quantile(whole, (0.1, 0.9), axis=1)
    return CostStack(
        every_days=every_days,
        work=work.mean(axis=1),
        by_kind={kind: costs.mean(axis=1) for kind, costs in by_kind.items()},
        together=whole.mean(axis=1),
        low=low,
        high=high,
    )
