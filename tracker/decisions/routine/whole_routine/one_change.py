"""One task's interval changed, all others as now: what does that do to every kind?"""

from __future__ import annotations

import numpy as np

from tracker.decisions.routine.whole_routine.answer import Change
from tracker.decisions.routine.whole_routine.gathering import Gathered
from tracker.decisions.routine.whole_routine.options import beyond
from tracker.decisions.routine.whole_routine.routine_costs import AS_NOW, TRIED
from tracker.decisions.routine.whole_routine.search import put
from tracker.decisions.routine.yearly_counts import Saving
from tracker.errors import UsageError
from tracker.language import _


def changed_alone(gathered: Gathered, task: str, every_days: float) -> Change:
    """What changes with this task done every so many days on all printers?

    Raises UsageError for a task whose interval is kept, and for an interval that is not tried.
    """
    if task not in gathered.free:
        raise UsageError(
            _(
                "{task}: its interval is kept; choose one of {gathered}.",
                task=task,
                gathered=_listed(gathered),
            )
        )
    if every_days not in TRIED:
        raise UsageError(
            _(
                "every {every_days} days is not tried; give one of {tried} days.",
                every_days=f"{every_days:g}",
                tried=", ".join(f"{days:g}" for days in TRIED),
            )
        )
    return change_to(gathered, gathered.practice.tasks.index(task), 1 + TRIED.index(every_days))


def change_to(gathered: Gathered, number: int, option: int) -> Change:
    """The same by the task's number and one of its options."""
    costs = gathered.costs
    task, is_free = costs.tasks[number], costs.tasks[number] in gathered.free
    before = costs.figures(costs.as_now)
    after = costs.figures(put(costs.as_now, number, option))
    nozzles = gathered.drop_outs
    return Change(
        task=task,
        saving=Saving.of(costs.draws, before.total - after.total),
        avoided={
            kind: costs.draws.expected(before.failures[kind] - after.failures[kind])
            for kind, one in gathered.effects.items()
            if is_free and task in one.log.varied
        },
        drop_outs_avoided=costs.draws.expected(before.drop_outs - after.drop_outs)
        if nozzles is not None and task in nozzles.tasks
        else None,
        extra_work=float(np.mean(after.work - before.work)),
        beyond=beyond(gathered, task, option) if is_free and option != AS_NOW else "",
    )


def _listed(gathered: Gathered) -> str:
    return ", ".join(gathered.free) or _("none: the log cannot tell of any yet")
