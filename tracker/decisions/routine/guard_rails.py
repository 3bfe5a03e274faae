"""Which tasks are never optimised away, and which the log cannot speak of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop import vocabulary
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules

# Why a task keeps its interval: left undone it can hurt someone; the maker asks for it; no part's
# life is known to hang on it; entries of it look mistaken and nobody has said what they were; it
# is never logged, though other work is; it was always done at one pace; it changed only along with
# others; too little was seen.
Kept = Literal[
    "people",
    "maker",
    "no life",
    "suspects",
    "never logged",
    "one pace",
    "goes along",
    "too little seen",
]


@dataclass(frozen=True)
class Demand:
    """The maker demands a task at least every so many days; None: by printed area, which no
    interval in days can be held against."""

    every_days: float | None

    def forbids(self, every_days: float) -> bool:
        """Is every so many days less often than is demanded?"""
        return self.every_days is None or every_days > self.every_days


def guarded(
    known: Records, as_of: date, tasks: Sequence[str], printers: Sequence[str]
) -> Mapping[str, Kept]:
    """The tasks that keep their interval whatever the log says, and why.

    A task that the maker demands on one printer is kept on all. What a workshop's own task does
    for a part nobody knows, so it is kept as well.
    """
    found = dict[str, Kept]()
    for task in tasks:
        usual = vocabulary.TASKS.get(task)
        if usual is not None and usual.protects_people:
            found[task] = "people"
        elif demand(known, as_of, task, printers) is not None:
            found[task] = "maker"
        elif usual is None or not usual.likely_helps:
            found[task] = "no life"
    return found


def demand(known: Records, as_of: date, task: str, printers: Sequence[str]) -> Demand | None:
    """How often does the maker demand the task, on the strictest of these printers? None: never."""
    rules = RoutineSchedules(known).demanded(task, printers, as_of)
    if not rules:
        return None
    days = [rule.every_days for rule in rules if np.isfinite(rule.every_days)]
    return Demand(min(days) if days else None)


def check_may_be_tried(
    known: Records, as_of: date, task: str, longest_days: float, printers: Sequence[str]
) -> None:
    """Refuse to try a task at an interval that could hurt someone or that the maker rules out.

    Raises UsageError with what to ask instead.
    """
    label, usual = vocabulary.task_label(task), vocabulary.TASKS.get(task)
    if usual is not None and usual.protects_people:
        raise UsageError(
            _(
                "“{label}” protects people, so nothing is tried out with it: keep its "
                "interval, and ask about another task.",
                label=label,
            )
        )
    asked = demand(known, as_of, task, printers)
    if asked is None or not asked.forbids(longest_days):
        return
    if asked.every_days is None:
        raise UsageError(
            _(
                "The maker demands “{label}” by printed area, so no interval in days is "
                "tried out: ask about another task, or take the maker's demand off the "
                "routine if there is none.",
                label=label,
            )
        )
    raise UsageError(
        _(
            "The maker demands “{label}” every {every_days} days; every {longest_days} days "
            "is less often. Ask about intervals up to {every_days} days, or take the maker's "
            "demand off the routine if there is none.",
            label=label,
            every_days=f"{asked.every_days:g}",
            longest_days=f"{longest_days:g}",
        )
    )
