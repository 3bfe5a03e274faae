"""The whole routine in words: which intervals together cost least, and what that rests on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import pandas as pd

from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.whole_routine.answer import (
    Change,
    PrinterInterval,
    Routine,
    TaskInterval,
    WholeRoutine,
)
from tracker.decisions.routine.whole_routine.least_cost import LEAST_GAIN_MINUTES
from tracker.say.maintenance.failure_cost import cost_line
from tracker.say.maintenance.frequency import every, fewer
from tracker.say.maintenance.log_check import suspects_sentence
from tracker.say.maintenance.verdict import how_sure, saving_in_words
from tracker.say.numbers import chance, count, day_range, days, figure, money
from tracker.say.phrases import first_up, listed
from tracker.workshop import vocabulary

_KEPT: dict[Kept, str] = {
    "people": "protects people",
    "maker": "the maker asks for it",
    "suspects": "entries of it look like work because of a symptom; say first what they were",
    "no life": "no part's life is known to hang on it",
    "one pace": "always done at one pace, so the log cannot tell what it does",
    "too little seen": "too little was seen to tell what it does",
}

# The share of the belief about an effect that the log has taken away, from which it is well told.
_WELL_TOLD = 0.8
_UNSEEN = {"more often": "so often", "less often": "so seldom"}


def why_kept(one: TaskInterval) -> str:
    """Why the task keeps its interval; "" where it is a question of money."""
    return _KEPT[one.kept] if one.kept is not None else ""


def routine_verdict(routine: WholeRoutine) -> str:
    """What to change, how sure that it pays and how much; else that nothing is to be changed.

    While entries of the log are suspect, that they come first.
    """
    answer = _verdict(routine)
    waiting = [one for one in routine.tasks if one.kept == "suspects"]
    if not waiting:
        return answer
    names = _quoted(waiting)
    keep = "keeps its interval" if len(waiting) == 1 else "keep their intervals"
    sentence = suspects_sentence(routine.gathered.suspects)
    return (
        f"The log must be cleared first: {sentence} Until you have said of each whether it was "
        f"planned, {names} {keep}. {answer}"
    )


def _verdict(routine: WholeRoutine) -> str:
    asked = [one for one in routine.tasks if one.kept is None]
    if not asked:
        return (
            "The whole routine: the log cannot tell of any task yet what it does, so every one "
            "keeps its interval."
        )
    changed = [one for one in asked if one.is_changed]
    if not changed:
        return (
            "The whole routine: as it is done now it costs least, as far as the log tells (of "
            f"{_quoted(asked)}); no change is worth the habit."
        )
    changes = "; ".join(
        f"{vocabulary.task_label(one.task)} {every(one.every_days)} instead of {done_now(one)}"
        for one in changed
    )
    worth = saving_in_words(routine.saving, lambda amount: _money(routine, amount))
    return (
        f"The whole routine at least expected cost: {changes}. Does the change pay? "
        f"{how_sure(routine.saving)}: {worth}."
    )


def weak_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """Where few failures make the told interval too long and the told saving too high."""
    found: dict[tuple[str, ...], list[TaskInterval]] = {}
    for one in routine.tasks:
        thin = tuple(
            kind
            for kind, effects in routine.gathered.effects.items()
            if one.task in effects.log.varied and effects.told(one.task) < _WELL_TOLD
        )
        if one.is_changed and thin:
            found.setdefault(thin, []).append(one)
    return tuple(_weak_line(routine, *each) for each in found.items())


def _weak_line(routine: WholeRoutine, kinds: Sequence[str], tasks: Iterable[TaskInterval]) -> str:
    names = listed([vocabulary.part_label(kind).lower() for kind in kinds])
    failed = sum(routine.gathered.effects[kind].log.failures for kind in kinds)
    return (
        f"Few failures: {count(failed, 'failure')} of {names} tell little of {_quoted(tasks)}, and "
        "an effect of which little is told is taken for a small one. If the trade is right that "
        "this protects them, the best interval is shorter and the saving smaller than told here."
    )


def _quoted(tasks: Iterable[TaskInterval]) -> str:
    return listed([f"“{vocabulary.task_label(one.task)}”" for one in tasks])


def routine_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """What stands under the verdict: every task, other routines, printers, what is counted."""
    return (
        *(task_line(routine, one) for one in routine.tasks),
        *weak_lines(routine),
        *against_lines(routine),
        *printer_lines(routine),
        *cost_lines(routine),
        *not_counted(routine),
    )


def done_now(one: TaskInterval) -> str:
    """How often the task is done now, over all printers.

    Printers that differ are told as a range.
    """
    least, most = min(one.now_on.values()), max(one.now_on.values())
    if math.isinf(least):
        return "never"
    if math.isinf(most):
        return f"{_every(least)} or not at all"
    if round(least, 1) == round(most, 1):
        return _every(least)
    return f"every {figure(least)} to {days(most)}"


def task_line(routine: WholeRoutine, one: TaskInterval) -> str:
    """One task: its interval with its range, what changing it alone does to every kind, or why it
    is kept."""
    name = vocabulary.task_label(one.task)
    if one.kept is not None:
        return f"{name}: {done_now(one)}, kept: {why_kept(one)}."
    best = f"{every(one.every_days)} costs least" if one.is_changed else f"{done_now(one)}, as now"
    sentences = [f"{name}: {best} ({range_in_words(one)}).", *filter(None, [beyond_seen(one)])]
    if one.is_changed:
        sentences.append(f"Changed alone: {change_in_words(routine, one.alone)}")
    return " ".join(sentences)


def range_in_words(one: TaskInterval) -> str:
    """Where the least cost lies in four draws of five."""
    if one.low == one.high:
        return "80 % sure: no other interval comes out"
    return f"80 % range {day_range(one.low, one.high)}"


def beyond_seen(one: TaskInterval) -> str:
    """What the log has not seen, said so; "" where all of the answer was seen."""
    if one.seen is None or not (one.beyond or one.reaches_beyond):
        return ""
    often, seldom = one.seen
    end = "at times not at all" if math.isinf(seldom) else f"at least every {days(seldom)}"
    sentence = f"The log has seen it done every {figure(often)} days at most and {end}"
    if one.beyond:
        return (
            f"{sentence}; {one.beyond} than that may cost less still, and how much nobody can say "
            "before it was tried."
        )
    return f"{sentence}; what lies outside of that is a guess."


def change_in_words(routine: WholeRoutine, change: Change) -> str:
    """What changing one task alone is worth, and what it does to every kind it acts on, to
    drop-outs and to the work; what the log has not seen is said so."""
    worth = saving_in_words(change.saving, lambda amount: _money(routine, amount))
    changes = [
        fewer(*points, f"{vocabulary.part_label(kind).lower()} failures")
        for kind, points in change.avoided.items()
    ]
    if change.drop_outs_avoided is not None:
        changes.append(fewer(*change.drop_outs_avoided, "nozzle drop-outs"))
    more = "more" if change.extra_work >= 0 else "less"
    work = f"the work costs {_money(routine, abs(change.extra_work))} {more}"
    unseen = (
        f" It was never done {_UNSEEN[change.beyond]} in the log, so this is a guess."
        if change.beyond
        else ""
    )
    return f"{worth}. {first_up('; '.join([*changes, work]))}.{unseen}"


def against_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """The routine of least cost against common practice and against next to nothing."""
    if not any(one.kept is None for one in routine.tasks):
        return ()

    def worth(other: Routine) -> str:
        return saving_in_words(other.saving, lambda amount: _money(routine, amount))

    longest = days(max(routine.nothing.every_days[one] for one in routine.gathered.free))
    return (
        f"Against common practice (the trade's intervals, no source): {worth(routine.common)}.",
        f"Against doing each task only every {longest}, which is beyond what the log has seen: "
        f"{worth(routine.nothing)}.",
    )


def printer_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """Printers that earn another interval than the rest."""
    return tuple(_printer_line(routine, one) for one in routine.by_printer)


def _printer_line(routine: WholeRoutine, one: PrinterInterval) -> str:
    harder = one.every_days < one.instead_of_days
    return (
        f"{one.printer}: {vocabulary.task_label(one.task).lower()} {_every(one.every_days)} "
        f"instead of {_every(one.instead_of_days)}, for it wears parts "
        f"{'faster' if harder else 'slower'} than the others or holds "
        f"{'more' if harder else 'fewer'} of them; expected gain "
        f"{_money(routine, one.gain)} a year ({chance(one.chance_it_gains)} chance that it gains)."
    )


def cost_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """What one failure of each kind costs, term by term."""
    return tuple(
        cost_line(cost, routine.gathered.currency)
        for cost in routine.gathered.failure_costs.values()
    )


def not_counted(routine: WholeRoutine) -> tuple[str, ...]:
    """How the answer was reckoned, and what it leaves out."""
    gathered = routine.gathered
    nozzles = gathered.drop_outs
    remarks = [
        "Every interval is taken to be kept; a task is left as it is where changing it gains less "
        f"than {LEAST_GAIN_MINUTES:g} minutes of work a year. A task's range holds the others at "
        "their intervals.",
        "Tasks for which the printer is switched off are done in one stop where they can be: "
        f"{gathered.shared_stop_minutes:g} minutes of each are needed once (setting "
        "shared_stop_minutes; common practice, no source).",
    ]
    if nozzles is None:
        remarks.append(
            "Nozzle drop-outs that end without a failure are not counted: fewer than twenty were "
            "cleaned because of a symptom."
        )
    else:
        remarks.append(
            f"Nozzle drop-outs that ended without a failure are counted ({nozzles.counted} in the "
            "log) with their minutes and ink, not with the prints they spoil."
        )
    standing_in = [
        vocabulary.task_label(name)
        for name, task in vocabulary.TASKS.items()
        if task.counts_as in gathered.free
    ]
    if standing_in:
        remarks.append(f"Also counted as the lighter task: {listed(standing_in).lower()}.")
    remarks += [
        f"{vocabulary.part_label(kind)}: protected too, but not watched long enough to be counted."
        for kind in gathered.not_watched
    ]
    return tuple(remarks)


def tasks_table(routine: WholeRoutine) -> pd.DataFrame:
    """Every task with its interval now, at least cost and its range, and what that saves alone."""
    rows = [
        (
            vocabulary.task_label(one.task),
            first_up(done_now(one)),
            _advised(one),
            day_range(one.low, one.high) if one.kept is None else "",
            _money(routine, one.alone.saving.median) if one.is_changed else "",
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
        return [_money(routine, value) for value in values]

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


def _every(interval_days: float) -> str:
    return every(float(figure(interval_days).replace(" ", "")))


def _money(routine: WholeRoutine, amount: float) -> str:
    return money(amount, routine.gathered.currency)
