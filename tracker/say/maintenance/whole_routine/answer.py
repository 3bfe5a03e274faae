"""The whole routine in words: which intervals together cost least, and what that rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial

from tracker.decisions.routine.whole_routine.answer import (
    PrinterInterval,
    Routine,
    TaskInterval,
    WholeRoutine,
)
from tracker.decisions.routine.whole_routine.least_cost import LEAST_GAIN_MINUTES
from tracker.decisions.routine.yearly_counts import Saving
from tracker.language import N_, _, ngettext
from tracker.say.maintenance.failure_cost import cost_line
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.log_check import suspects_sentence
from tracker.say.maintenance.verdict import how_sure, saving_in_words
from tracker.say.maintenance.whole_routine.less_often import less_often
from tracker.say.maintenance.whole_routine.one_task import (
    amount_in_words,
    done_now,
    interval_in_words,
    task_line,
)
from tracker.say.numbers import chance, count, days
from tracker.say.phrases import first_down, first_up, listed, quoted
from tracker.workshop import vocabulary


def routine_verdict(routine: WholeRoutine) -> str:
    """Whether to change it and what, how sure that it pays and how much; else that nothing is to
    be changed.

    While entries of the log are suspect, that they come first.
    """
    return " ".join(filter(None, (headline(routine), worth(routine))))


def headline(routine: WholeRoutine) -> str:
    """Does changing the routine pay, and what would change?

    While entries of the log are suspect, that they come first.
    """
    answer = _headline(routine)
    waiting = [one for one in routine.tasks if one.kept == "suspects"]
    if not waiting:
        return answer
    names = _quoted(waiting)
    return ngettext(
        "The log must be cleared first: {suspects} Until you have said of each whether it was "
        "planned, {names} keeps its interval. {answer}",
        "The log must be cleared first: {suspects} Until you have said of each whether it was "
        "planned, {names} keep their intervals. {answer}",
        len(waiting),
        suspects=suspects_sentence(routine.gathered.suspects),
        names=names,
        answer=answer,
    )


def worth(routine: WholeRoutine) -> str:
    """How surely the change pays and how much, what is belief apart; "" where nothing is to be
    changed."""
    if not _changed(routine):
        return ""
    whole = _in_words(routine, routine.saving)
    if routine.saving_if_told is None:
        return _(
            "By belief, for the log tells of none of these tasks: {whole}. No saving can be "
            "promised.",
            whole=whole,
        )
    if all(one.is_told for one in _changed(routine)):
        return first_up(f"{whole}.")
    told = first_up(_in_words(routine, routine.saving_if_told))
    return _("{told}. With what is only believed: {whole}.", told=told, whole=whole)


def _in_words(routine: WholeRoutine, saving: Saving) -> str:
    return saving_in_words(saving, partial(amount_in_words, routine))


def _headline(routine: WholeRoutine) -> str:
    asked = [one for one in routine.tasks if one.kept is None]
    if not asked:
        return _(
            "The whole routine: the log cannot tell of any task yet what it does, so "
            "every one keeps its interval."
        )
    changed = _changed(routine)
    if not changed:
        return _(
            "The whole routine: as it is done now it costs least, as far as the log "
            "tells (of {asked}); no change is worth the habit.",
            asked=_quoted(asked),
        )
    told, believed = (
        [one for one in changed if one.is_told is is_told] for is_told in (True, False)
    )
    if routine.saving_if_told is None:
        return _(
            "Does changing the routine pay? Cannot tell yet: the log does not say what these tasks "
            "do. At least cost by belief: {changes}.",
            changes=_changes(believed),
        )
    answer = _(
        "Does changing the routine pay? {saving}. At least expected cost: {changes}.",
        saving=how_sure(routine.saving_if_told),
        changes=_changes(told),
    )
    if not believed:
        return answer
    return _(
        "{answer} By belief only, for the log cannot tell yet: {changes}.",
        answer=answer,
        changes=_changes(believed),
    )


def _changes(tasks: Iterable[TaskInterval]) -> str:
    return "; ".join(
        _(
            "{task} {every_days} instead of {now}",
            task=first_down(vocabulary.task_label(one.task)),
            every_days=every(one.every_days),
            now=done_now(one),
        )
        for one in tasks
    )


def _changed(routine: WholeRoutine) -> list[TaskInterval]:
    return [one for one in routine.tasks if one.kept is None and one.is_changed]


def weak_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """Which kinds the log cannot tell of, and which way the told interval and saving are then off
    if the task protects them."""
    found: dict[tuple[tuple[str, ...], str], list[TaskInterval]] = {}
    for one in routine.tasks:
        thin = tuple(
            kind
            for kind, effects in routine.gathered.effects.items()
            if one.task in effects.log.varied and kind not in routine.gathered.told[one.task]
        )
        if one.is_changed and thin:
            found.setdefault((thin, _if_it_protects(one)), []).append(one)
    return tuple(_weak_line(routine, *each, tasks) for each, tasks in found.items())


def unkept_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """Tasks that the log shows at another pace than their routine in force says."""
    practice, lines = routine.gathered.practice, []
    for one in routine.tasks:
        meant = practice.unkept(one.task)
        if not meant:
            continue
        if not practice.is_done(one.task):
            lines.append(_never_logged_line(one, meant))
            continue
        done = {printer: one.now_on[printer] for printer in meant}
        lines.append(
            _(
                "{task}: done {done} by the log of the last half year, on {printers} whose "
                "routine says {meant}. “As now” goes by what was done.",
                task=quoted(vocabulary.task_label(one.task)),
                done=done_now(replace(one, now_on=done)),
                printers=count(len(meant), "printer", "printers"),
                meant=done_now(replace(one, now_on=meant)),
            )
        )
    return tuple(lines)


def _never_logged_line(one: TaskInterval, meant: Mapping[str, float]) -> str:
    return _(
        "{task}: not logged once in the last half year, though other work is, on {printers} whose "
        "routine says {meant}. So it is counted as not done, and “As now” leaves out its work; if "
        "it is done all the same, log it.",
        task=quoted(vocabulary.task_label(one.task)),
        printers=count(len(meant), "printer", "printers"),
        meant=done_now(replace(one, now_on=meant)),
    )


def _if_it_protects(one: TaskInterval) -> str:
    """Protected parts make work worth more: a gain by less of it is then smaller, one by more of it
    larger; where printers move both ways nobody can say."""
    rarer = any(one.every_days > days for days in one.now_on.values())
    oftener = any(one.every_days < days for days in one.now_on.values())
    if rarer and oftener:
        return N_(
            "If the trade is right that this protects them, the best interval is shorter than told "
            "here."
        )
    return (
        N_(
            "If the trade is right that this protects them, the best interval is shorter and the "
            "saving smaller than told here."
        )
        if rarer
        else N_(
            "If the trade is right that this protects them, the best interval is shorter and the "
            "saving larger than told here."
        )
    )


def _weak_line(
    routine: WholeRoutine, kinds: Sequence[str], then: str, tasks: Iterable[TaskInterval]
) -> str:
    names = listed([vocabulary.part_label(kind).lower() for kind in kinds])
    failed = sum(routine.gathered.effects[kind].log.failures for kind in kinds)
    silent = _(
        "What {tasks} does for {names} the log does not tell ({failed}), and such an effect is "
        "taken for a small one.",
        failed=count(failed, "failure", "failures"),
        names=names,
        tasks=_quoted(tasks),
    )
    return f"{silent} {_(then)}"


def _quoted(tasks: Iterable[TaskInterval]) -> str:
    return listed([quoted(vocabulary.task_label(one.task)) for one in tasks])


def routine_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """What stands under the verdict: what could be done less often, every task, other
    routines, printers, what is counted.
    """
    return (
        less_often(routine),
        *(task_line(routine, one) for one in routine.tasks),
        *unkept_lines(routine),
        *weak_lines(routine),
        *against_lines(routine),
        *printer_lines(routine),
        *cost_lines(routine),
        *not_counted(routine),
    )


def against_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """The routine of least cost against common practice and against next to nothing."""
    if not any(one.kept is None for one in routine.tasks):
        return ()

    def worth(other: Routine) -> str:
        return saving_in_words(other.saving, lambda amount: amount_in_words(routine, amount))

    longest = days(max(routine.nothing.every_days[one] for one in routine.gathered.free))
    return (
        _(
            "Against common practice (the trade's intervals, no source): {common}.",
            common=worth(routine.common),
        ),
        _(
            "Against doing each task only every {longest}, which is beyond what the log has "
            "seen: {nothing}.",
            longest=longest,
            nothing=worth(routine.nothing),
        ),
    )


def printer_lines(routine: WholeRoutine) -> tuple[str, ...]:
    """Printers that earn another interval than the rest."""
    return tuple(_printer_line(routine, one) for one in routine.by_printer)


def _printer_line(routine: WholeRoutine, one: PrinterInterval) -> str:
    harder = one.every_days < one.instead_of_days
    text = (
        N_(
            "{printer}: {task} {every_days} instead of {instead_of_days}, for it wears parts "
            "faster than the others or holds more of them; expected gain {gain} a year "
            "({chance_it_gains} chance that it gains)."
        )
        if harder
        else N_(
            "{printer}: {task} {every_days} instead of {instead_of_days}, for it wears parts "
            "slower than the others or holds fewer of them; expected gain {gain} a year "
            "({chance_it_gains} chance that it gains)."
        )
    )
    return _(
        text,
        printer=one.printer,
        task=vocabulary.task_label(one.task).lower(),
        every_days=interval_in_words(one.every_days),
        instead_of_days=interval_in_words(one.instead_of_days),
        gain=amount_in_words(routine, one.gain),
        chance_it_gains=chance(one.chance_it_gains),
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
        _(
            "What is done now is read off the log of the last half year; the routine in force "
            "stands for it where it was kept four times in five, or the log holds too little. A "
            "task never logged where other work is counts as not done."
        ),
        _(
            "Every other interval is taken to be kept; a task is left as it is where changing it "
            "gains less than {least_gain_minutes} minutes of work a year. A task's range "
            "holds the others at their intervals.",
            least_gain_minutes=f"{LEAST_GAIN_MINUTES:g}",
        ),
        _(
            "Tasks for which the printer is switched off are done in one stop where they can "
            "be: {shared_stop_minutes} minutes of each are needed once (setting "
            "shared_stop_minutes; common practice, no source).",
            shared_stop_minutes=f"{gathered.shared_stop_minutes:g}",
        ),
    ]
    if nozzles is None:
        remarks.append(
            _(
                "Nozzle drop-outs that end without a failure are not counted: fewer than "
                "twenty were cleaned because of a symptom."
            )
        )
    else:
        remarks.append(
            _(
                "Nozzle drop-outs that ended without a failure are counted ({counted} in the "
                "log) with their minutes and ink, not with the prints they spoil.",
                counted=nozzles.counted,
            )
        )
    standing_in = [
        vocabulary.task_label(name)
        for name, task in vocabulary.TASKS.items()
        if task.counts_as in gathered.free
    ]
    if standing_in:
        remarks.append(
            _(
                "Also counted as the lighter task: {standing_in}.",
                standing_in=listed(standing_in).lower(),
            )
        )
    remarks += [
        _(
            "{part}: protected too, but not watched long enough to be counted.",
            part=vocabulary.part_label(kind),
        )
        for kind in gathered.not_watched
    ]
    return tuple(remarks)
