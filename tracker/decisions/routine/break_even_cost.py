"""From which cost of one part kind's failure on does a change of the routine just pay?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array


@dataclass(frozen=True)
class BreakEvenCost:
    """The cost of a failure at which a change pays as likely as not, all else as counted.

    ``is_least``: it pays from ``cost`` on, 0 where it pays whatever a failure costs. Else (failures
    of the kind become more) it pays up to ``cost``, NaN where it does not pay at any.
    """

    part_kind: str
    cost: float
    counted: float
    is_least: bool


def break_even_cost(
    part_kind: str, counted: float, avoided: Array, off_by: Array, rest: Array
) -> BreakEvenCost:
    """Where does the chance that it pays cross a half, as the cost of a failure goes?

    Per draw, all as likely: failures ``avoided`` per printer and year, by which factor the cost
    is ``off_by``, and the ``rest`` of the saving, other kinds and the work. In a draw it pays
    where cost · off_by · avoided + rest > 0: above −rest / (off_by · avoided) if failures are
    avoided, below that if there are more of them.
    """
    each = off_by * avoided
    is_least = bool(np.median(each) > 0)
    turns = np.divide(-rest, each, out=np.full(len(each), math.inf), where=each != 0)
    rising, falling = np.sort(turns[each > 0]), np.sort(turns[each < 0])
    at = np.unique(np.concatenate([[0.0], turns[(turns > 0) & np.isfinite(turns)]]))
    # Just above each turn: those that begin to pay up to there, those that go on beyond it.
    paying = np.searchsorted(rising, at, side="right")
    paying = paying + len(falling) - np.searchsorted(falling, at, side="right")
    share = (paying + np.count_nonzero(rest[each == 0] > 0)) / len(each)
    enough = np.flatnonzero(share >= 0.5)
    if is_least:
        cost = float(at[enough[0]]) if len(enough) else math.nan
    elif not len(enough):
        cost = math.nan
    else:
        beyond = enough[-1] + 1
        cost = float(at[beyond]) if beyond < len(at) else math.inf
    return BreakEvenCost(part_kind, cost, counted, is_least)
