"""What a verdict on a routine rests on, and what could explain it away: sentences and tables."""

from __future__ import annotations

import math

import pandas as pd

from tracker.decisions.routine.effect import RoutineEffect
from tracker.language import N_, _
from tracker.models.fit.profile_limits import Estimate
from tracker.say.numbers import chance, count, figure
from tracker.workshop import vocabulary

_MONTH = 30.4
_IN_WEEKS = 60  # days; below that an age is told in weeks
LAGS_TEXT = N_(
    "Trouble that shows before a failure calls for cleaning; if the ratio moves with the "
    "days left out, that was part of it. Leaving out days the log does not need pulls "
    "the effect toward none."
)


def evidence_lines(effect: RoutineEffect) -> list[str]:
    """The ratio, its check, what is still needed, and what a hidden cause would take."""
    needed = (
        _(
            "about {events_needed} failures in all tell such a change from none with 80 % power",
            events_needed=figure(effect.events_needed),
        )
        if math.isfinite(effect.events_needed)
        else _("no number of failures can tell it while the task changes only along with others")
        if effect.study.fits.together
        else _("no number of failures can tell it while the task is always done at one pace")
    )
    cox = _ratio(effect.cox) if effect.is_checked else _("cannot be told from these records")
    lines = [
        _(
            "Hazard ratio {hazard_ratio}: the risk of failing under the first schedule as a "
            "multiple of that under the second, at the same age.",
            hazard_ratio=_ratio(effect.hazard_ratio),
        ),
        *filter(None, [printers_line(effect)]),
        _("Check without a life shape (Cox): {cox}.", cox=cox),
        _(
            "Chance that it helps at all: {chance_it_helps}; {failures} seen, {needed}.",
            chance_it_helps=chance(effect.chance_it_helps),
            failures=count(effect.failures, "failure", "failures"),
            needed=needed,
        ),
    ]
    if effect.is_told:
        lines.append(
            _(
                "A hidden cause would have to change both the care and the failures by a "
                "factor of {estimate} to explain it away, {limit} to make it doubtful "
                "(E-value).",
                estimate=figure(effect.e_value.estimate),
                limit=figure(effect.e_value.limit),
            )
        )
    else:
        lines.append(
            _(
                "No effect is among the possible answers, so there is nothing that a hidden "
                "cause would have to explain away (E-value 1)."
            )
        )
    return lines


def printers_sentence(effect: RoutineEffect) -> str:
    """Why only changes within printers count, where those between printers say something else
    beyond chance; else "".
    """
    apart = effect.printers
    if apart is None or not apart.is_apart:
        return ""
    more = apart.between.estimate < effect.hazard_ratio.estimate
    told, not_told = (
        (
            N_(
                "Printers that have it more often are better ones for other reasons too: between "
                "printers the risk is {between} times as high, within a printer {within} times, "
                "so only what changed within printers counts."
            ),
            N_(
                "Printers that have it more often are better ones for other reasons too: between "
                "printers the risk is {between} times as high, within a printer {within} times, "
                "so only what changed within printers counts, and that cannot be told yet."
            ),
        )
        if more == effect.is_more_often
        else (
            N_(
                "Printers that have it more often are worse ones for other reasons too: between "
                "printers the risk is {between} times as high, within a printer {within} times, "
                "so only what changed within printers counts."
            ),
            N_(
                "Printers that have it more often are worse ones for other reasons too: between "
                "printers the risk is {between} times as high, within a printer {within} times, "
                "so only what changed within printers counts, and that cannot be told yet."
            ),
        )
    )
    return _(
        told if effect.is_told else not_told,
        between=_ratio(apart.between),
        within=_ratio(effect.hazard_ratio),
    )


def ages_sentence(effect: RoutineEffect) -> str:
    """On which parts the effect is seen, where the log tells that it goes with their age; else
    "".
    """
    ages = effect.ages
    if ages is None:
        return ""
    part, age = vocabulary.part_label(effect.part_kind).lower(), _about(ages.until_age)
    young = _seen_on(
        _("{part}s under {age}", part=part, age=age), ages.younger, effect.is_more_often
    )
    old = _seen_on(_("older ones"), ages.older, effect.is_more_often)
    return _(
        "By age, the task {young} ({younger_failures}: {younger}); it {old} "
        "({older_failures}: {older}). Failures per year are added up over the ages.",
        young=young,
        younger_failures=count(ages.younger_failures, "failure", "failures"),
        younger=_times(ages.younger),
        old=old,
        older_failures=count(ages.older_failures, "failure", "failures"),
        older=_times(ages.older),
    )


def _seen_on(parts: str, ratio: Estimate, is_more_often: bool) -> str:
    if ratio.lower <= 1 <= ratio.upper:
        return _("shows no effect on {parts}", parts=parts)
    helps = (ratio.upper < 1) == is_more_often
    return (
        _("helps {parts}", parts=parts)
        if helps
        else _("goes with more failures of {parts}", parts=parts)
    )


def _times(ratio: Estimate) -> str:
    return _(
        "{estimate} times the risk, 95 % limits {lower} to {upper}",
        estimate=figure(ratio.estimate),
        lower=figure(ratio.lower),
        upper=figure(ratio.upper),
    )


def _about(age_days: float) -> str:
    """An age in round words."""
    if age_days < _IN_WEEKS:
        return _("about {age_days}", age_days=count(max(round(age_days / 7), 1), "week", "weeks"))
    return _("about {age_days}", age_days=count(round(age_days / _MONTH), "month", "months"))


def printers_line(effect: RoutineEffect) -> str:
    """The effect within printers beside that between them; "" where all have the task alike."""
    if effect.printers is None:
        return ""
    return _(
        "Within printers, each against itself: {hazard_ratio}. Between printers that "
        "have the task more and less often: {between}. Both counted alike: {pooled}.",
        hazard_ratio=_ratio(effect.hazard_ratio),
        between=_ratio(effect.printers.between),
        pooled=_ratio(effect.printers.pooled),
    )


def check_line(effect: RoutineEffect) -> str:
    """The failures, the ratio and its check in one line, for a sheet of several kinds."""
    cox = _ratio(effect.cox) if effect.is_checked else _("cannot be told from these records")
    return _(
        "{part}: {failures} seen; the risk at the same age, as a multiple: "
        "{hazard_ratio}; checked without a life shape (Cox): {cox}.",
        part=vocabulary.part_label(effect.part_kind),
        failures=count(effect.failures, "failure", "failures"),
        hazard_ratio=_ratio(effect.hazard_ratio),
        cox=cox,
    )


def _ratio(ratio: Estimate) -> str:
    limits = _(
        "95 % limits {lower} to {upper}", lower=figure(ratio.lower), upper=figure(ratio.upper)
    )
    return f"{figure(ratio.estimate)} ({limits})"


def lag_table(effect: RoutineEffect) -> pd.DataFrame:
    """The ratio by the days left out before each day, in words."""
    lags = effect.lags
    return pd.DataFrame(
        {
            _("Days left out"): lags["lag_days"],
            _("Hazard ratio"): lags["hazard_ratio"].map(figure),
            _("95 % limits"): [
                _("{low} to {high}", low=figure(low), high=figure(high))
                for low, high in zip(lags["lower"], lags["upper"], strict=True)
            ],
            _("Chance that it helps"): lags["chance_it_helps"].map(chance),
            _("Failures"): lags["failures"],
        }
    )


def lag_line(effect: RoutineEffect) -> str:
    """The ratio with the last days before each day left out, in a sentence."""
    days = ", ".join(map(str, effect.lags["lag_days"]))
    ratios = ", ".join(map(figure, effect.lags["hazard_ratio"]))
    return _(
        "With the last {days} days before each day left out the risk is {ratios} times "
        "as high. {lags_text}",
        days=days,
        ratios=ratios,
        lags_text=_(LAGS_TEXT),
    )
