"""What happened before and after a routine's schedule changed, in sentences."""

from __future__ import annotations

import math

from tracker.decisions.routine.change import LEAST_FAILURES, RoutineChange, RoutineHistory
from tracker.models.events.event_rates import RateRatio
from tracker.models.events.paired_rates import CommonRatio
from tracker.say.maintenance.frequency import due_every
from tracker.say.numbers import count, day, figure
from tracker.workshop import vocabulary
from tracker.workshop.schedules import Rule

TIME_CHANGED_TOO = (
    "Before and after differ in more than the schedule: season, other parts, ink, and what people "
    "learnt changed with time too. The parts’ age is allowed for as far as their usual life is "
    "known. A change that was made because of trouble looks better afterwards than it was."
)
_YEAR_DAYS = 365.0
_MOST_NAMES = 3


def history_sentences(history: RoutineHistory) -> tuple[str, ...]:
    """Every change, then all of them together; empty where nothing changed."""
    sentences = [change_sentence(change) for change in history.changes]
    if history.together is not None:
        sentences.append(
            "All changes together, each printer against itself and against the usual at the "
            f"parts’ ages: with the shorter interval {_times(history.together)}."
        )
    return tuple(sentences)


def history_remarks(history: RoutineHistory) -> tuple[str, ...]:
    """What a reader of the comparison has to know; empty where nothing changed."""
    if not history.changes:
        return ()
    remarks = [TIME_CHANGED_TOO]
    if min(change.shortest_days for change in history.changes) < _YEAR_DAYS:
        remarks.append(
            "Not every side covers a whole year, so the season is part of the difference."
        )
    remarks += [
        f"{', '.join(change.printers[:_MOST_NAMES])}: the log shows the task done "
        f"{figure(change.done_before)} times in 30 days before and "
        f"{figure(change.done_after)} times after, so the change was hardly made."
        for change in history.changes
        if not change.was_made
    ]
    return tuple(remarks)


def change_sentence(change: RoutineChange) -> str:
    """The change in one sentence, with its counts and limits."""
    part = vocabulary.part_label(change.part_kind).lower()
    names = ", ".join(change.printers[:_MOST_NAMES])
    if len(change.printers) > _MOST_NAMES:
        names += f" and {len(change.printers) - _MOST_NAMES} more"
    before = (
        f"{names}, from {day(change.changed_on)} {_wanted(change.after)} instead of "
        f"{_wanted(change.before)}: {count(change.failures_before, f'{part} failure')} in "
        f"{figure(change.part_days_before, 3)} part-days before"
    )
    after = (
        f"{count(change.failures_after, 'failure')} in {figure(change.part_days_after, 3)} after"
    )
    if change.failures_before + change.failures_after < LEAST_FAILURES:
        return f"{before}, {after}. Too few failures to compare."
    return (
        f"{before}, {figure(change.usual_before)} usual at the parts’ ages; {after}, "
        f"{figure(change.usual_after)} usual. Against the usual {_times(change.rates)}."
    )


def _wanted(rule: Rule) -> str:
    return due_every(rule.every_days, rule.every_m2)


def _times(rates: RateRatio | CommonRatio) -> str:
    """The ratio with its limits in words."""
    limits = f"95 % limits {figure(rates.lower)} to {figure(rates.upper)}"
    if not math.isfinite(rates.upper):
        limits = f"95 % limits {figure(rates.lower)} and more"
    chance_alone = "" if rates.lower > 1 or rates.upper < 1 else "; chance alone can do that"
    ratio = f"{figure(rates.ratio)} times" if math.isfinite(rates.ratio) else "many times"
    often = "just as often" if ratio == "1 times" else f"{ratio} as often"
    return f"{often} ({limits}){chance_alone}"
