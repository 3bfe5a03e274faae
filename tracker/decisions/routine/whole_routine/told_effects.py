"""What does the log, once it is judged, tell of every task, and which tasks keep their interval?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from tracker.decisions.routine.first_question import first_intervals
from tracker.decisions.routine.guard_rails import Kept, guarded
from tracker.decisions.routine.task_studies import protected_kinds
from tracker.decisions.routine.whole_routine.joint_effects import JointEffects, KindLog
from tracker.decisions.routine.whole_routine.practice import Practice, names_of, with_stand_ins
from tracker.forecast.log_quality.judged_log import JudgedLog
from tracker.forecast.log_quality.suspects import Suspect
from tracker.forecast.routine_exposure import schedule_exposure
from tracker.workshop.records import Records

_FIT_DRAWS = 1500
_LEAST_FAILURES = 3  # of a kind; fewer tell nothing of a task that protects only this one
# Of the belief's variance: what the log takes away before a task's interval is moved at all.
_LEAST_LEARNT = 0.5
# The same of the difference to tasks that go along with it; of 1 500 draws chance alone makes 0.1.
_LEAST_APART = 0.15


@dataclass(frozen=True, eq=False)
class ToldEffects:
    """``effects`` by part kind, of the kinds that any task protects; those that a task in question
    moves, ``moved``, come first.

    ``counted``: the records with suspects out and stand-ins in; ``lag_days``: what is left out
    before each day where all tasks are looked at together; ``told``: on which kinds the log can
    tell what each task does; ``kept``: tasks that keep their interval, and why; ``along``: with
    which others tasks go along that keep theirs for that; ``suspects``: planned entries that look
    mistaken; ``not_watched``: kinds protected, but not watched long enough.
    """

    counted: Records = field(repr=False)
    lag_days: int
    effects: Mapping[str, JointEffects]
    moved: tuple[str, ...]
    told: Mapping[str, tuple[str, ...]]
    kept: Mapping[str, Kept]
    along: Mapping[str, tuple[str, ...]]
    free: tuple[str, ...]
    suspects: tuple[Suspect, ...]
    not_watched: tuple[str, ...]


def told_effects(
    known: Records, as_of: date, log: JudgedLog, practice: Practice, rng: np.random.Generator
) -> ToldEffects:
    """One joint fit per kind, of the log without its suspects and at the lags that it needs.

    The rule for both is that of a single task (``routine_study``).
    """
    counted = with_stand_ins(log.counted.records)
    lags = {task: log.counted.lag_of(*names_of(task)) for task in practice.tasks}
    suspects = {
        task: tuple(one for name in names_of(task) for one in log.suspects_of(name))
        for task in practice.tasks
    }
    kept = dict(guarded(known, as_of, practice.tasks, practice.printers))
    kept |= {task: "suspects" for task, own in suspects.items() if own and task not in kept}
    protecting: dict[str, list[str]] = {}
    for task in practice.tasks:
        for kind in protected_kinds(known, task):
            protecting.setdefault(kind, []).append(task)
    watched = {
        # Tasks looked at together leave out the days that any of them needs.
        kind: KindLog.of(
            counted, as_of, kind, own, max(lags[task] for task in own), gaps=log.counted.gaps
        )
        for kind, own in sorted(protecting.items())
    }
    logs = {kind: one for kind, one in watched.items() if one is not None}
    kept |= _one_pace(practice, kept, logs)
    asked = set(practice.tasks) - set(kept)
    fits = {
        kind: JointEffects.of(counted, as_of, logs[kind], rng, _FIT_DRAWS)
        for kind in sorted(logs, key=lambda kind: not asked.intersection(logs[kind].varied))
    }
    effects = {kind: fit for kind, fit in fits.items() if fit is not None}
    along = _hardly_told(practice, kept, effects)
    kept |= {task: "goes along" if own else "too little seen" for task, own in along.items()}
    free = tuple(task for task in practice.tasks if task not in kept)
    moved = tuple(kind for kind, one in effects.items() if set(free).intersection(one.log.varied))
    return ToldEffects(
        counted=counted,
        lag_days=max(lags.values(), default=0),
        effects={kind: effects[kind] for kind in dict.fromkeys((*moved, *effects))},
        moved=moved,
        told=_told(practice, free, effects),
        kept=kept,
        along=along,
        free=free,
        suspects=tuple(one for own in suspects.values() for one in own),
        not_watched=tuple(kind for kind in watched if kind not in logs),
    )


def _one_pace(
    practice: Practice, kept: Mapping[str, Kept], logs: Mapping[str, KindLog]
) -> dict[str, Kept]:
    """Tasks never logged or always done at one pace, and those whose kinds hardly ever failed."""
    found: dict[str, Kept] = {}
    for task in practice.tasks:
        varied = [log for log in logs.values() if task in log.varied]
        if task in kept:
            continue
        if not varied:
            found[task] = "one pace" if practice.is_done(task) else "never logged"
        elif max(log.failures for log in varied) < _LEAST_FAILURES:
            found[task] = "too little seen"
    return found


def _hardly_told(
    practice: Practice, kept: Mapping[str, Kept], effects: Mapping[str, JointEffects]
) -> dict[str, tuple[str, ...]]:
    """Tasks of which the log tells little, each with those from which it cannot tell it apart,
    though it tells what they do together."""
    found: dict[str, tuple[str, ...]] = {}
    for task in practice.tasks:
        if task in kept:
            continue
        fits = [(one, one.goes_along(task)) for one in effects.values()]
        if any(_is_learnt(task, *each) for each in fits):
            continue
        told = [others for one, others in fits if one.learnt(task, others) >= _LEAST_LEARNT]
        found[task] = tuple(dict.fromkeys(other for others in told for other, _ in others))
    return found


def _is_learnt(task: str, fit: JointEffects, along: Sequence[tuple[str, float]]) -> bool:
    """Of two tasks always done together the log takes half of the variance of each away and says
    nothing of which of them it was."""
    if along and fit.learnt(task, [(other, -way) for other, way in along]) < _LEAST_APART:
        return False
    return fit.learnt(task) >= _LEAST_LEARNT


def _told(
    practice: Practice,
    free: Sequence[str],
    effects: Mapping[str, JointEffects],
) -> dict[str, tuple[str, ...]]:
    """On which kinds the log can tell what each task does, in the question asked of it first."""
    found: dict[str, tuple[str, ...]] = dict.fromkeys(practice.tasks, ())
    for task in free:
        often, seldom = (
            schedule_exposure(days, practice.working_share)
            for days in first_intervals(practice, task)
        )
        step = often - seldom
        found[task] = tuple(kind for kind, one in effects.items() if one.is_told(task, step))
    return found
