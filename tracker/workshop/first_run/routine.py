"""The first routine of a workshop: which task every how many days, and from which day on.

Nobody can say of each task on which day it was last done. A rough answer is spread over the days it
may stand for, so that tasks of one interval do not all fall due on one day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor

from tracker.language import N_
from tracker.workshop.age_guesses import NO_IDEA
from tracker.workshop.vocabulary import TASKS

DONE_TODAY = N_("Today")
# How many days ago each answer may lie, from and to; None: the whole interval.
LAST_DONE: dict[str, tuple[float, float] | None] = {
    DONE_TODAY: (0.0, 0.0),
    N_("This week"): (1.0, 7.0),
    N_("This month"): (8.0, 30.0),
    NO_IDEA: None,
}
"""The answers to "when was it last done?"; no idea stands for never, too."""


@dataclass(frozen=True)
class FirstTask:
    """A task of the first routine; ``last_done`` is one of ``LAST_DONE``."""

    task: str
    every_days: float
    last_done: str = NO_IDEA


def usual_tasks() -> tuple[FirstTask, ...]:
    """The trade's usual intervals (common practice, no source)."""
    return tuple(
        FirstTask(task.name, task.every_days)
        for task in TASKS.values()
        if task.every_days is not None
    )


def first_due(tasks: Sequence[FirstTask], today: date) -> dict[str, date]:
    """On which day is each task due for the first time?

    Tasks with the same answer are taken one after the other over the days it may stand for, the
    earlier in the list the longer ago. A task that protects people is due at once where nobody
    knows when it was last done. A task done today is due an interval later.
    """
    answers = {task.last_done for task in tasks}
    days = {}
    for answer in answers:
        alike = [task for task in tasks if task.last_done == answer]
        spread = [task for task in alike if not _at_once(task)]
        for task in alike:
            ahead = 0.0
            if task in spread:
                low, high = LAST_DONE[answer] or (0.0, task.every_days)
                low, high = min(low, task.every_days), min(high, task.every_days)
                share = 1 - (spread.index(task) + 0.5) / len(spread)
                ahead = task.every_days - (low + share * (high - low))
            days[task.task] = today + timedelta(days=floor(max(ahead, 0.0)))
    return days


def _at_once(task: FirstTask) -> bool:
    """Due on the first day: of a daily task, and one that protects people, nobody knows when."""
    if task.last_done == DONE_TODAY:
        return False
    known = TASKS.get(task.task)
    protects = known is not None and known.protects_people and task.last_done == NO_IDEA
    return task.every_days < 2 or protects
