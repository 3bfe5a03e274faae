"""What fails on a printer in a year, for any move of the log hazard, draw by draw.

The long-run rate is read off a table over moves of the log hazard (see
``YearlyCounts.failures_if_moved``): its logarithm is nearly straight there, so half a unit between
two entries leaves it within a thousandth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.decisions.routine.yearly_counts import YearlyCounts

_FURTHEST, _STEP = 9.0, 0.5
_NEVER = 1e-12  # failures in a year that are none


@dataclass(frozen=True, eq=False)
class KindLosses:
    """One part kind under the ``tasks`` that move it, in the draws of the whole.

    ``log_failures (moves, draws)``: log of failures per year of a printer without a level of its
    own; ``effect (tasks, draws)`` on the log hazard with each unit of exposure, ``centre (tasks,)``
    the exposures at which the table holds; ``level (printers, draws)``: the printers' own;
    ``share (printers,)``: how many of these parts a printer has, against the mean. ``cost`` of one
    failure, per draw.
    """

    part_kind: str
    tasks: tuple[str, ...]
    log_failures: Array
    effect: Array
    centre: Array
    level: Array
    share: Array
    cost: Array

    def failures(self, exposure: Array) -> Array:
        """Failures per year of each printer: (printers, draws); ``exposure (tasks, printers)``."""
        moved = self.level + (exposure - self.centre[:, None]).T @ self.effect
        at = (np.clip(moved, -_FURTHEST, _FURTHEST) + _FURTHEST) / _STEP
        low = np.minimum(at.astype(np.int64), len(self.log_failures) - 2)
        column, part = np.arange(self.log_failures.shape[1]), at - low
        first, second = self.log_failures[low, column], self.log_failures[low + 1, column]
        return np.asarray(self.share[:, None] * np.exp(first + part * (second - first)))


def log_failures(yearly: YearlyCounts) -> Array:
    """The table of ``KindLosses``: (moves, draws)."""
    moves = np.arange(-_FURTHEST, _FURTHEST + _STEP / 2, _STEP)
    size = len(yearly.effect)
    rates = [yearly.failures_if_moved(np.full(size, move)) for move in moves]
    return np.log(np.maximum(np.array(rates), _NEVER))


def together(levels: Sequence[Array], power: Array) -> Array:
    """The level of several printers as one: their parts fail e^(level / power) times as often
    (``GroupLives.power``), and the mean of that counts."""
    return np.asarray(power * np.log(np.mean(np.exp(np.array(levels) / power), axis=0)))
