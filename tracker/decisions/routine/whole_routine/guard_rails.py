"""Which tasks are never optimised away, and which the log cannot speak of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Literal

from tracker.decisions.routine.schedules import RoutineSchedules
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

# Why a task keeps its interval: left undone it can hurt someone; the maker asks for it; no part's
# life is known to hang on it; it was always done at one pace; too little was seen.
Kept = Literal["people", "maker", "no life", "one pace", "too little seen"]


def guarded(
    known: Records, as_of: date, tasks: Sequence[str], printers: Sequence[str]
) -> Mapping[str, Kept]:
    """The tasks that keep their interval whatever the log says, and why.

    A task that the maker demands on one printer is kept on all. What a workshop's own task does
    for a part nobody knows, so it is kept as well.
    """
    schedules, found = RoutineSchedules(known), dict[str, Kept]()
    for task in tasks:
        usual = vocabulary.TASKS.get(task)
        rules = [schedules.on(task, printer, as_of) for printer in printers]
        if usual is not None and usual.protects_people:
            found[task] = "people"
        elif any(rule is not None and rule.demanded for rule in rules):
            found[task] = "maker"
        elif usual is None or not usual.likely_helps:
            found[task] = "no life"
    return found
