"""Can the log tell what a task does? One rule, for a task by itself and for all tasks together."""

from __future__ import annotations

import math

from tracker.decisions.routine.task_effect.task_frequency import NO_SPREAD
from tracker.models.fit.profile_limits import Estimate
from tracker.models.regression.needed_evidence import events_for_exposure

# The least change worth planning for: a third fewer (or half as many more) failures.
_WORTH_DETECTING = math.log(1.5)


def leaves_out_none(ratio: Estimate) -> bool:
    """True when the limits of a ratio leave out 1."""
    return ratio.upper < 1 or ratio.lower > 1


def events_needed(ratio: Estimate, step: float, spread: float) -> float:
    """Failures in all that tell a change of ``step`` in the exposure with 80 % power: the estimated
    one if larger than the least worth planning for.

    Whole; infinite where the task was always done at one frequency (``spread`` nought).
    """
    if spread < NO_SPREAD:
        return math.inf
    size = max(abs(math.log(ratio.estimate)), _WORTH_DETECTING)
    return float(math.ceil(events_for_exposure(math.exp(size / abs(step)), spread)))
