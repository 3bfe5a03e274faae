"""The work of a routine: what is done in one stop switches the printer off and on once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.workshop import vocabulary

_MOST_OF_A_TASK = 0.5  # of a task's minutes that may be switching off and on


@dataclass(frozen=True, eq=False)
class Work:
    """What each task costs once, and how much of that is switching off and on; (tasks, draws).

    ``in_stop`` is 0 for tasks done while the printer is on.
    """

    once: Array
    in_stop: Array

    def per_year(self, times: Array) -> Array:
        """Cost per year of each printer, draw by draw: (printers, draws); ``times (tasks,
        printers)`` in a year.

        Rarer tasks are done along with the commonest one that needs a stop, so their own switching
        off and on falls away.
        """
        stops = times * (self.in_stop.max(axis=1, initial=0.0) > 0)[:, None]
        along = stops.copy()
        if len(along):
            along[stops.argmax(axis=0), np.arange(stops.shape[1])] = 0.0
        return np.asarray(times.T @ self.once - along.T @ self.in_stop)


def stop_minutes(task: str, minutes: float, shared_minutes: float) -> float:
    """How many of a task's minutes go into switching off and on: 0 where it needs no stop.

    >>> stop_minutes("shake_dampers", 25, 5), stop_minutes("wipe_encoder", 5, 5)
    (5, 2.5)
    >>> stop_minutes("stir_ink", 4, 5)
    0.0
    """
    usual = vocabulary.TASKS.get(task)
    if usual is None or not usual.needs_a_stop:
        return 0.0
    return min(max(shared_minutes, 0.0), _MOST_OF_A_TASK * minutes)
