"""What happened before and after a routine's schedule changed, in sentences."""

from __future__ import annotations

import math

from tracker.decisions.routine.change import LEAST_FAILURES, RoutineChange, RoutineHistory
from tracker.language import N_, _
from tracker.models.events.event_rates import RateRatio
from tracker.models.events.paired_rates import CommonRatio
from tracker.say.maintenance.frequency import due_every
from tracker.say.numbers import count, day, figure
from tracker.say.phrases import failures_of
from tracker.workshop import vocabulary
from tracker.workshop.schedules import Rule

TIME_CHANGED_TOO = N_(
    "Before and after differ in more than the schedule: season, other parts, ink, and "
    "what people learnt changed with time too. The parts’ age is allowed for as far as "
    "their usual life is known. A change that was made because of trouble looks better "
    "afterwards than it was."
)
_YEAR_DAYS = 365.0
_MOST_NAMES = 3


def history_sentences(history: RoutineHistory) -> tuple[str, ...]:
    """Every change, then all of them together; empty where nothing changed."""
    sentences = [change_sentence(change) for change in history.changes]
    if history.together is not None:
        sentences.append(
            _(
                "All changes together, each printer against itself and against the usual at "
                "the parts’ ages: with the shorter interval {together}.",
                together=_times(history.together),
            )
        )
    return tuple(sentences)


def history_remarks(history: RoutineHistory) -> tuple[str, ...]:
    """What a reader of the comparison has to know; empty where nothing changed."""
    if not history.changes:
        return ()
    remarks = [_(TIME_CHANGED_TOO)]
    if min(change.shortest_days for change in history.changes) < _YEAR_DAYS:
        remarks.append(
            _("Not every side covers a whole year, so the season is part of the difference.")
        )
    remarks += [
        _(
            "{printers}: the log shows the task done {done_before} times in 30 days before "
            "and {done_after} times after, so the change was hardly made.",
            printers=", ".join(change.printers[:_MOST_NAMES]),
            done_before=figure(change.done_before),
            done_after=figure(change.done_after),
        )
        for change in history.changes
        if not change.was_made
    ]
    return tuple(remarks)


def change_sentence(change: RoutineChange) -> str:
    """The change in one sentence, with its counts and limits."""
    part = vocabulary.part_label(change.part_kind).lower()
    names = ", ".join(change.printers[:_MOST_NAMES])
    if len(change.printers) > _MOST_NAMES:
        names += _(" and {count} more", count=len(change.printers) - _MOST_NAMES)
    before = _(
        "{names}, from {changed_on} {after} instead of {before}: {failures_before} in "
        "{part_days_before} part-days before",
        names=names,
        changed_on=day(change.changed_on),
        after=_wanted(change.after),
        before=_wanted(change.before),
        failures_before=failures_of(change.failures_before, part),
        part_days_before=figure(change.part_days_before, 3),
    )
    after = _(
        "{failures_after} in {part_days_after} after",
        failures_after=count(change.failures_after, "failure", "failures"),
        part_days_after=figure(change.part_days_after, 3),
    )
    if change.failures_before + change.failures_after < LEAST_FAILURES:
        return _("{before}, {after}. Too few failures to compare.", before=before, after=after)
    return _(
        "{before}, {usual_before} usual at the parts’ ages; {after}, {usual_after} "
        "usual. Against the usual {rates}.",
        before=before,
        usual_before=figure(change.usual_before),
        after=after,
        usual_after=figure(change.usual_after),
        rates=_times(change.rates),
    )


def _wanted(rule: Rule) -> str:
    return due_every(rule.every_days, rule.every_m2)


def _times(rates: RateRatio | CommonRatio) -> str:
    """The ratio with its limits in words."""
    limits = _(
        "95 % limits {lower} to {upper}", lower=figure(rates.lower), upper=figure(rates.upper)
    )
    if not math.isfinite(rates.upper):
        limits = _("95 % limits {lower} and more", lower=figure(rates.lower))
    chance_alone = "" if rates.lower > 1 or rates.upper < 1 else _("; chance alone can do that")
    ratio = (
        _("{ratio} times", ratio=figure(rates.ratio))
        if math.isfinite(rates.ratio)
        else _("many times")
    )
    often = _("just as often") if figure(rates.ratio) == "1" else _("{ratio} as often", ratio=ratio)
    return f"{often} ({limits}){chance_alone}"
