"""Which task could be done less often? One answer for the workshop, and what record would tell."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.whole_routine.answer import TaskInterval, WholeRoutine
from tracker.language import N_, _
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.verdict import is_too_close
from tracker.say.maintenance.whole_routine.one_task import done_now
from tracker.say.numbers import chance
from tracker.say.phrases import listed, quoted
from tracker.workshop import vocabulary

# Why nothing is told of a task, and what record would tell it.
_WOULD_TELL: dict[Kept, str] = {
    "never logged": N_("Do {tasks} by plan on some printers and log it: that would tell."),
    "one pace": N_("Do {tasks} at two intervals in turn (“Try it out”): that would tell."),
    "goes along": N_("Change {tasks} apart from each other on some printers: that would tell."),
    "too little seen": N_("Go on writing down {tasks} and every failure: that would tell."),
    "suspects": N_("Say first which entries of {tasks} were planned: that would tell."),
}


def less_often(routine: WholeRoutine) -> str:
    """Which tasks could be done less often, or that none can be told; then what record would tell
    of those that the log is silent about.
    """
    seldom = [one for one in routine.tasks if _is_less_often(one)]
    told = [one for one in seldom if one.is_told]
    sure = [one for one in told if not is_too_close(one.alone.saving)]
    answer = (
        _("Could be done less often: {tasks}.", tasks=_listed(sure))
        if sure
        else _("Of no task can it be told yet that it could be done less often.")
    )
    unsure = [one for one in told if one not in sure]
    believed = [one for one in seldom if not one.is_told]
    beside = (
        _("Too close to call: {tasks}.", tasks=_listed(unsure)) if unsure else "",
        _("By belief only, for the log cannot tell yet: {changes}.", changes=_listed(believed))
        if believed
        else "",
    )
    return " ".join(filter(None, (answer, *beside, *_what_would_tell(routine.tasks))))


def _listed(tasks: Sequence[TaskInterval]) -> str:
    return "; ".join(map(_changed, tasks))


def _is_less_often(one: TaskInterval) -> bool:
    """Would it be done less often than now on most printers?"""
    rarer = sum(one.every_days > days for days in one.now_on.values())
    return one.kept is None and one.is_changed and 2 * rarer > len(one.now_on)


def _changed(one: TaskInterval) -> str:
    return _(
        "“{task}” {every_days} instead of {now} ({chance_it_pays} chance that it pays)",
        task=vocabulary.task_label(one.task),
        every_days=every(one.every_days),
        now=done_now(one),
        chance_it_pays=chance(one.alone.saving.chance_it_pays),
    )


def _what_would_tell(tasks: Sequence[TaskInterval]) -> list[str]:
    """For each reason why the log is silent of tasks, the record that would end that."""
    found = []
    for reason, text in _WOULD_TELL.items():
        silent = [one for one in tasks if one.kept == reason]
        if silent:
            asked = dict.fromkeys(task for one in silent for task in (one.task, *one.along_with))
            names = [quoted(vocabulary.task_label(task)) for task in asked]
            found.append(_(text, tasks=listed(names)))
    return found
