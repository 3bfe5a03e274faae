"""One task of the whole routine in words: its interval, why it is kept, what changing it does."""

from __future__ import annotations

import math

from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.whole_routine.answer import Change, TaskInterval, WholeRoutine
from tracker.say.maintenance.frequency import every, fewer
from tracker.say.maintenance.verdict import saving_in_words
from tracker.say.numbers import about_money, day_range, days, figure
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary

_KEPT: dict[Kept, str] = {
    "people": "protects people",
    "maker": "the maker asks for it",
    "suspects": "entries of it look like work because of a symptom; say first what they were",
    "no life": "no part's life is known to hang on it",
    "one pace": "always done at one pace, so the log cannot tell what it does",
    "too little seen": "too little was seen to tell what it does",
}
_UNSEEN = {"more often": "so often", "less often": "so seldom"}


def why_kept(one: TaskInterval) -> str:
    """Why the task keeps its interval; "" where it is a question of money."""
    return _KEPT[one.kept] if one.kept is not None else ""


def done_now(one: TaskInterval) -> str:
    """How often the task is done now, over all printers.

    Printers that differ are told as a range.
    """
    least, most = min(one.now_on.values()), max(one.now_on.values())
    if math.isinf(least):
        return "never"
    if math.isinf(most):
        return f"{interval_in_words(least)} or not at all"
    if round(least, 1) == round(most, 1):
        return interval_in_words(least)
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
    worth = saving_in_words(change.saving, lambda amount: amount_in_words(routine, amount))
    changes = [
        fewer(*points, f"{vocabulary.part_label(kind).lower()} failures")
        for kind, points in change.avoided.items()
    ]
    if change.drop_outs_avoided is not None:
        changes.append(fewer(*change.drop_outs_avoided, "nozzle drop-outs"))
    more = "more" if change.extra_work >= 0 else "less"
    work = f"the work costs {amount_in_words(routine, abs(change.extra_work))} {more}"
    unseen = (
        f" It was never done {_UNSEEN[change.beyond]} in the log, so this is a guess."
        if change.beyond
        else ""
    )
    return f"{worth}. {first_up('; '.join([*changes, work]))}.{unseen}"


def interval_in_words(interval_days: float) -> str:
    """An interval as it comes out of the log, in round days."""
    return every(float(figure(interval_days).replace(" ", "")))


def amount_in_words(routine: WholeRoutine, amount: float) -> str:
    """An estimated amount in the workshop's currency."""
    return about_money(amount, routine.gathered.currency)
