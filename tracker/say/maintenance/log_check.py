"""Whether the maintenance log can be believed, in words: suspects, the lag, what is missing."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.decisions.routine.study import RoutineStudy
from tracker.forecast.log_quality.judged_log import JudgedLog
from tracker.forecast.log_quality.suspects import Suspect
from tracker.models.fit.profile_limits import Estimate
from tracker.say.numbers import chance, count, day, figure
from tracker.workshop import vocabulary

SUSPECTS_TEXT = (
    "Work done because something was wrong piles up before a failure. Called planned, it makes "
    "a good task look harmful. These entries came in between the usual ones, in the days before a "
    "failure; until each is settled it counts only as far as it may have been planned."
)
NO_SUSPECTS = "No planned entries pile up before failures."


def suspects_sentence(suspects: Sequence[Suspect]) -> str:
    """How many planned entries look like work because of a symptom."""
    if not suspects:
        return NO_SUSPECTS
    looks = "looks" if len(suspects) == 1 else "look"
    return (
        f"{count(len(suspects), 'planned entry', 'planned entries')} shortly before failures "
        f"{looks} like work because of a symptom."
    )


def suspect_line(suspect: Suspect) -> str:
    """One entry: what, where, when, and how long before which failure."""
    part = vocabulary.part_label(suspect.part_kind).lower()
    return (
        f"{vocabulary.task_label(suspect.task)}, {suspect.printer}, {day(suspect.done_on)}: "
        f"{count(suspect.days_before_failure, 'day')} before a {part} was found failed; "
        f"{chance(suspect.chance)} that a symptom called for it."
    )


def clear_first(study: RoutineStudy) -> str:
    """That no verdict stands while suspects do; "" where there are none."""
    suspects = study.suspects
    if not suspects:
        return ""
    return f"the log must be cleared first: {suspects_sentence(suspects)}"


def to_be_cleared(study: RoutineStudy, ratio: Estimate) -> str:
    """No verdict, neither of harm nor of a small effect, stands while suspects do."""
    return (
        f"{clear_first(study)} With these counted only as far as they may have been "
        "planned, "
        f"the risk is {figure(ratio.estimate)} times as high "
        f"(95 % limits {figure(ratio.lower)} to {figure(ratio.upper)}); no verdict stands on that "
        "before you have said of each whether it was planned."
    )


def lag_chosen(study: RoutineStudy) -> str:
    """How many days before each day are left out, and why; "" where none are and none pile up."""
    lag = study.fits.lag_days
    without = ", the suspects left out," if study.suspects else ""
    if lag and lag == study.log.counted.lags.get(study.task):
        return (
            f"Up to {lag} days before failures planned entries still pile up{without} so the "
            f"{lag} days before each day are not counted."
        )
    if study.suspects and not lag:
        return "With the suspects left out no planned entries pile up: all days count."
    return ""


def log_findings(log: JudgedLog, task: str) -> tuple[str, ...]:
    """What is missing from the log of a task, and what that does to the answer."""
    found = []
    if log.silent:
        printers = dict.fromkeys(span.printer for span in log.silent)
        span = max(log.silent, key=lambda one: one.open_days)
        found.append(
            f"Nothing was written down for {count(sum(one.open_days for one in log.silent), 'day')}"
            f" on {count(len(printers), 'printer')} while work went on, longest on {span.printer} "
            f"from {day(span.began_on)} to {day(span.ended_on)}. These days are passed over, so "
            "that silence is not read as neglect."
        )
    if log.weeks is not None and log.weeks.are_thin:
        found.append(
            "In weeks with a failure or a stoppage only "
            f"{_percent(log.weeks.ratio)} of the usual entries are written down (95 % limits "
            f"{_percent(log.weeks.lower)} to {_percent(log.weeks.upper)}). Read as it stands that "
            "would make every task look better than it is, so these weeks are passed over."
        )
    own = log.missed.get(task)
    if own is not None and own.are_many:
        found.append(
            f"{vocabulary.task_label(task)}: {_percent(own.share)} of the occasions due have an "
            f"entry (95 % limits {_percent(own.lower)} to {_percent(own.upper)}), and the gaps are "
            "whole multiples of the interval, as when it is done but not written down. The "
            "occasions without an entry are counted as done when they were due, as far as the "
            "gaps are not so long that they may be real rests. In simulated half-written logs the "
            "effect came out right by that, with limits a fifth wider than from a whole log."
        )
    return tuple(found)


def completeness_sentence(log: JudgedLog, task: str) -> str:
    """The estimated share of the work done that is in the log."""
    known = log.completeness(task)
    name = vocabulary.task_label(task)
    if known.share > 0.995:
        return f"{name}: nothing is found missing from the log."
    return (
        f"{name}: about {_percent(known.share)} of the work done is in the log (range "
        f"{_percent(known.lower)} to {_percent(known.upper)})."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
