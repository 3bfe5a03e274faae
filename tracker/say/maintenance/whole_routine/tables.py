"""The whole routine in tables: its tasks with their intervals, and what routines cost."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from tracker.decisions.routine.whole_routine.answer import TaskInterval, WholeRoutine
from tracker.language import N_, _
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
            amount_in_words(routine, one.alone.saving.expected) if one.is_changed else "",
        )
        for one in routine.tasks
    ]
    names = [
        _("Task"),
        _("Now"),
        _("Least cost"),
        _("80 % range"),
        _("Saved a year, changed alone"),
    ]
    return pd.DataFrame(rows, columns=names)


def _advised(one: TaskInterval) -> str:
    if one.kept is not None:
        return _("Kept: {why}", why=why_kept(one))
    if not one.is_changed:
        return _("As now")
    often = first_up(every(one.every_days))
    if not one.is_told:
        return _("{often} (belief: the log cannot tell)", often=often)
    if not one.beyond:
        return often
    return _(
        N_("{often} (end of what was seen; more often may cost less)")
        if one.beyond == "more often"
        else N_("{often} (end of what was seen; less often may cost less)"),
        often=often,
    )


def routines_table(routine: WholeRoutine) -> pd.DataFrame:
    """What each routine costs per printer and year: work, failures by kind, drop-outs, together."""

    def amounts(values: Iterable[float]) -> list[str]:
        return [amount_in_words(routine, value) for value in values]

    nozzles = routine.gathered.drop_outs is not None
    kinds = [vocabulary.part_label(kind) for kind in routine.part_kinds]
    rows = [
        [
            _(one.name),
            *amounts([one.work, *one.failure_costs.values()]),
            *(amounts([one.drop_out_costs]) if nozzles else []),
            *amounts(one.total),
        ]
        for one in routine.routines
    ]
    names = [_("Routine"), _("Work"), *kinds, *([_("Drop-outs")] if nozzles else [])]
    return pd.DataFrame(rows, columns=[*names, _("Together"), _("10 % below"), _("90 % below")])
