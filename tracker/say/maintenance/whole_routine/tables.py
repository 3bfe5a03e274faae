"""The whole routine in tables: its tasks with their intervals, and what routines cost."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from tracker.decisions.routine.whole_routine.answer import TaskInterval, WholeRoutine
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.whole_routine.one_task import amount_in_words, done_now, why_kept
from tracker.say.numbers import day_range
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary


def tasks_table(routine: WholeRoutine) -> pd.DataFrame:
    """Every task with its interval now, at least cost and its range, and what that saves alone."""
    rows = [
        (
            vocabulary.task_label(one.task),
            first_up(done_now(one)),
            _advised(one),
            day_range(one.low, one.high) if one.kept is None else "",
            amount_in_words(routine, one.alone.saving.median) if one.is_changed else "",
        )
        for one in routine.tasks
    ]
    names = ["Task", "Now", "Least cost", "80 % range", "Saved a year, changed alone"]
    return pd.DataFrame(rows, columns=names)


def _advised(one: TaskInterval) -> str:
    if one.kept is not None:
        return f"Kept: {why_kept(one)}"
    if not one.is_changed:
        return "As now"
    edge = f" (end of what was seen; {one.beyond} may cost less)" if one.beyond else ""
    return f"{first_up(every(one.every_days))}{edge}"


def routines_table(routine: WholeRoutine) -> pd.DataFrame:
    """What each routine costs per printer and year: work, failures by kind, drop-outs, together."""

    def amounts(values: Iterable[float]) -> list[str]:
        return [amount_in_words(routine, value) for value in values]

    nozzles = routine.gathered.drop_outs is not None
    kinds = [vocabulary.part_label(kind) for kind in routine.part_kinds]
    rows = [
        [
            one.name,
            *amounts([one.work, *one.failure_costs.values()]),
            *(amounts([one.drop_out_costs]) if nozzles else []),
            *amounts(one.total),
        ]
        for one in routine.routines
    ]
    names = ["Routine", "Work", *kinds, *(["Drop-outs"] if nozzles else [])]
    return pd.DataFrame(rows, columns=[*names, "Together", "10 % below", "90 % below"])
