"""Whether the maintenance log can be believed, in words: suspects, the lag, what is missing."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.decisions.routine.study import RoutineStudy
from tracker.forecast.log_quality.judged_log import JudgedLog
from tracker.forecast.log_quality.suspects import Suspect
from tracker.language import N_, _, ngettext
from tracker.models.fit.profile_limits import Estimate
from tracker.say.numbers import chance, count, day, decimal, figure, percent
from tracker.workshop import vocabulary

SUSPECTS_TEXT = N_(
    "Work done because something was wrong piles up before a failure. Called planned, it "
    "makes a good task look harmful. These entries came in between the usual ones, in "
    "the days before a failure; until each is settled it counts only as far as it may have "
    "been planned."
)
NO_SUSPECTS = N_("No planned entries pile up before failures.")


def suspects_sentence(suspects: Sequence[Suspect]) -> str:
    """How many planned entries look like work because of a symptom."""
    if not suspects:
        return _(NO_SUSPECTS)
    return ngettext(
        "{count} planned entry shortly before failures looks like work because of a symptom.",
        "{count} planned entries shortly before failures look like work because of a symptom.",
        len(suspects),
        count=decimal(len(suspects)),
    )


def suspect_line(suspect: Suspect) -> str:
    """One entry: what, where, when, and how long before which failure."""
    part = vocabulary.part_label(suspect.part_kind).lower()
    return _(
        "{task}, {printer}, {done_on}: {days_before_failure} before one {part} was found "
        "failed; {chance} that a symptom called for it.",
        task=vocabulary.task_label(suspect.task),
        printer=suspect.printer,
        done_on=day(suspect.done_on),
        days_before_failure=count(suspect.days_before_failure, "day", "days"),
        part=part,
        chance=chance(suspect.chance),
    )


def clear_first(study: RoutineStudy) -> str:
    """That no verdict stands while suspects do; "" where there are none."""
    suspects = study.suspects
    if not suspects:
        return ""
    return _("the log must be cleared first: {suspects}", suspects=suspects_sentence(suspects))


def to_be_cleared(study: RoutineStudy, ratio: Estimate) -> str:
    """No verdict, neither of harm nor of a small effect, stands while suspects do."""
    return _(
        "{study} With these counted only as far as they may have been planned, the risk is "
        "{estimate} times as high (95 % limits {lower} to {upper}); no verdict stands on "
        "that before you have said of each whether it was planned.",
        study=clear_first(study),
        estimate=figure(ratio.estimate),
        lower=figure(ratio.lower),
        upper=figure(ratio.upper),
    )


def lag_chosen(study: RoutineStudy) -> str:
    """How many days before each day are left out, and why; "" where none are and none pile up."""
    lag = study.fits.lag_days
    if lag and lag == study.log.counted.lags.get(study.task):
        text = (
            N_(
                "Up to {lag} days before failures planned entries still pile up, the suspects "
                "left out, so the {lag} days before each day are not counted."
            )
            if study.suspects
            else N_(
                "Up to {lag} days before failures planned entries still pile up so the {lag} "
                "days before each day are not counted."
            )
        )
        return _(text, lag=lag)
    if study.suspects and not lag:
        return _("With the suspects left out no planned entries pile up: all days count.")
    return ""


def log_findings(log: JudgedLog, task: str) -> tuple[str, ...]:
    """What is missing from the log of a task, and what that does to the answer."""
    found = []
    if log.silent:
        printers = dict.fromkeys(span.printer for span in log.silent)
        span = max(log.silent, key=lambda one: one.open_days)
        found.append(
            _(
                "Nothing was written down for {silent} on {count} while work went on, "
                "longest on {printer} from {began_on} to {ended_on}. These days are passed "
                "over, so that silence is not read as neglect.",
                silent=count(sum(one.open_days for one in log.silent), "day", "days"),
                count=count(len(printers), "printer", "printers"),
                printer=span.printer,
                began_on=day(span.began_on),
                ended_on=day(span.ended_on),
            )
        )
    if log.weeks is not None and log.weeks.are_thin:
        found.append(
            _(
                "In weeks with a failure or a stoppage only {ratio} of the usual entries are "
                "written down (95 % limits {lower} to {upper}). Read as it stands that would "
                "make every task look better than it is, so these weeks are passed over.",
                ratio=percent(log.weeks.ratio),
                lower=percent(log.weeks.lower),
                upper=percent(log.weeks.upper),
            )
        )
    own = log.missed.get(task)
    if own is not None and own.are_many:
        found.append(
            _(
                "{task}: {share} of the occasions due have an entry (95 % limits {lower} to "
                "{upper}), and the gaps are whole multiples of the interval, as when it is "
                "done but not written down. The occasions without an entry are counted as done "
                "when they were due, as far as the gaps are not so long that they may be real "
                "rests. In simulated half-written logs the effect came out right by that, with "
                "limits a fifth wider than from a whole log.",
                task=vocabulary.task_label(task),
                share=percent(own.share),
                lower=percent(own.lower),
                upper=percent(own.upper),
            )
        )
    return tuple(found)


def completeness_sentence(log: JudgedLog, task: str) -> str:
    """The estimated share of the work done that is in the log."""
    known = log.completeness(task)
    name = vocabulary.task_label(task)
    if known.share > 0.995:
        return _("{name}: nothing is found missing from the log.", name=name)
    return _(
        "{name}: about {share} of the work done is in the log (range {lower} to {upper}).",
        name=name,
        share=percent(known.share),
        lower=percent(known.lower),
        upper=percent(known.upper),
    )
