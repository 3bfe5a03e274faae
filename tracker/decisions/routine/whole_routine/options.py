"""Which intervals are tried for each task, which of them the log has seen, and known routines."""

from __future__ import annotations

import numpy as np

from tracker.decisions.routine.whole_routine.answer import Beyond
from tracker.decisions.routine.whole_routine.gathering import Gathered
from tracker.decisions.routine.whole_routine.routine_costs import AS_NOW, TRIED, Choice
from tracker.lives.exposure.table import HALF_AN_ACTION, PER_DAYS
from tracker.workshop import vocabulary

_ABOUT_AS_OFTEN = 0.15  # of log2: a tenth more or less often than was seen still counts as seen
ALL_TRIED = tuple(range(1, len(TRIED) + 1))


def allowed_options(gathered: Gathered) -> list[tuple[int, ...]]:
    """Per task: as now, and where it is in question each interval tried that the log has seen."""
    return [
        (AS_NOW, *(option for option in ALL_TRIED if not beyond(gathered, task, option)))
        if task in gathered.free
        else (AS_NOW,)
        for task in gathered.practice.tasks
    ]


def beyond(gathered: Gathered, task: str, option: int) -> Beyond:
    """Does the option lie outside of what the log has seen of that task?"""
    low, high = gathered.seen[task]
    exposure = float(gathered.costs.weight @ gathered.costs.exposure(task, option))
    if exposure > high + _ABOUT_AS_OFTEN:
        return "more often"
    return "less often" if exposure < low - _ABOUT_AS_OFTEN else ""


def seen_days(gathered: Gathered, task: str) -> tuple[float, float]:
    """From how many to how many days lay between two times in the log; infinite: not done."""
    seldom, often = (max(2**at - HALF_AN_ACTION, 0.0) for at in gathered.seen[task])
    return PER_DAYS / max(often, 1e-9), PER_DAYS / seldom if seldom > 0.05 else float("inf")


def common_practice(gathered: Gathered) -> Choice:
    """The trade's interval for each task in question; as now where it has none."""
    found = []
    for task in gathered.practice.tasks:
        usual = vocabulary.TASKS.get(task)
        days = usual.every_days if usual is not None and task in gathered.free else None
        nearest = AS_NOW if days is None else int(np.argmin(np.abs(np.log(np.array(TRIED) / days))))
        found.append(AS_NOW if days is None else ALL_TRIED[nearest])
    return tuple(found)


def hardly_any(gathered: Gathered) -> Choice:
    """The longest interval tried for every task in question."""
    return tuple(
        ALL_TRIED[-1] if task in gathered.free else AS_NOW for task in gathered.practice.tasks
    )
