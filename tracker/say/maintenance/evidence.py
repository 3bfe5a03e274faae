"""What a verdict on a routine rests on, and what could explain it away: sentences and tables."""

from __future__ import annotations

import math

import pandas as pd

from tracker.decisions.routine.effect import RoutineEffect
from tracker.models.fit.profile_limits import Estimate
from tracker.say.numbers import chance, count, figure
from tracker.workshop import vocabulary

_MONTH = 30.4
_IN_WEEKS = 60  # days; below that an age is told in weeks
LAGS_TEXT = (
    "Trouble that shows before a failure calls for cleaning; if the ratio moves with the days left "
    "out, that was part of it. Leaving out days the log does not need pulls the effect toward none."
)


def evidence_lines(effect: RoutineEffect) -> list[str]:
    """The ratio, its check, what is still needed, and what a hidden cause would take."""
    needed = (
        f"about {figure(effect.events_needed)} failures in all tell such a change from none with "
        "80 % power"
        if math.isfinite(effect.events_needed)
        else "no number of failures can tell it while the task is always done at one pace"
    )
    cox = _ratio(effect.cox) if effect.is_checked else "cannot be told from these records"
    lines = [
        f"Hazard ratio {_ratio(effect.hazard_ratio)}: the risk of failing under the first schedule "
        "as a multiple of that under the second, at the same age.",
        *filter(None, [printers_line(effect)]),
        f"Check without a life shape (Cox): {cox}.",
        f"Chance that it helps at all: {chance(effect.chance_it_helps)}; "
        f"{count(effect.failures, 'failure')} seen, {needed}.",
    ]
    if effect.is_told:
        lines.append(
            "A hidden cause would have to change both the care and the failures by a factor of "
            f"{figure(effect.e_value.estimate)} to explain it away, "
            f"{figure(effect.e_value.limit)} to make it doubtful (E-value)."
        )
    else:
        lines.append(
            "No effect is among the possible answers, so there is nothing that a hidden cause "
            "would have to explain away (E-value 1)."
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
    better = "better" if more == effect.is_more_often else "worse"
    sentence = (
        f"Printers that have it more often are {better} ones for other reasons too: between "
        f"printers the risk is {_ratio(apart.between)} times as high, within a printer "
        f"{_ratio(effect.hazard_ratio)} times, so only what changed within printers counts"
    )
    return f"{sentence}." if effect.is_told else f"{sentence}, and that cannot be told yet."


def ages_sentence(effect: RoutineEffect) -> str:
    """On which parts the effect is seen, where the log tells that it goes with their age; else
    "".
    """
    ages = effect.ages
    if ages is None:
        return ""
    part, age = vocabulary.part_label(effect.part_kind).lower(), _about(ages.until_age)
    young = _seen_on(f"{part}s under {age}", ages.younger, effect.is_more_often)
    old = _seen_on("older ones", ages.older, effect.is_more_often)
    return (
        f"By age, the task {young} ({count(ages.younger_failures, 'failure')}: "
        f"{_times(ages.younger)}); it {old} ({count(ages.older_failures, 'failure')}: "
        f"{_times(ages.older)}). Failures per year are added up over the ages."
    )


def _seen_on(parts: str, ratio: Estimate, is_more_often: bool) -> str:
    if ratio.lower <= 1 <= ratio.upper:
        return f"shows no effect on {parts}"
    helps = (ratio.upper < 1) == is_more_often
    return f"helps {parts}" if helps else f"goes with more failures of {parts}"


def _times(ratio: Estimate) -> str:
    return (
        f"{figure(ratio.estimate)} times the risk, 95 % limits {figure(ratio.lower)} to "
        f"{figure(ratio.upper)}"
    )


def _about(age_days: float) -> str:
    """An age in round words."""
    if age_days < _IN_WEEKS:
        return f"about {count(max(round(age_days / 7), 1), 'week')}"
    return f"about {count(round(age_days / _MONTH), 'month')}"


def printers_line(effect: RoutineEffect) -> str:
    """The effect within printers beside that between them; "" where all have the task alike."""
    if effect.printers is None:
        return ""
    return (
        f"Within printers, each against itself: {_ratio(effect.hazard_ratio)}. Between printers "
        f"that have the task more and less often: {_ratio(effect.printers.between)}. Both counted "
        f"alike: {_ratio(effect.printers.pooled)}."
    )


def check_line(effect: RoutineEffect) -> str:
    """The failures, the ratio and its check in one line, for a sheet of several kinds."""
    cox = _ratio(effect.cox) if effect.is_checked else "cannot be told from these records"
    return (
        f"{vocabulary.part_label(effect.part_kind)}: {count(effect.failures, 'failure')} seen; the "
        f"risk at the same age, as a multiple: {_ratio(effect.hazard_ratio)}; checked without a "
        f"life shape (Cox): {cox}."
    )


def _ratio(ratio: Estimate) -> str:
    limits = f"95 % limits {figure(ratio.lower)} to {figure(ratio.upper)}"
    return f"{figure(ratio.estimate)} ({limits})"


def lag_table(effect: RoutineEffect) -> pd.DataFrame:
    """The ratio by the days left out before each day, in words."""
    lags = effect.lags
    return pd.DataFrame(
        {
            "Days left out": lags["lag_days"],
            "Hazard ratio": lags["hazard_ratio"].map(figure),
            "95 % limits": [
                f"{figure(low)} to {figure(high)}"
                for low, high in zip(lags["lower"], lags["upper"], strict=True)
            ],
            "Chance that it helps": lags["chance_it_helps"].map(chance),
            "Failures": lags["failures"],
        }
    )


def lag_line(effect: RoutineEffect) -> str:
    """The ratio with the last days before each day left out, in a sentence."""
    days = ", ".join(map(str, effect.lags["lag_days"]))
    ratios = ", ".join(map(figure, effect.lags["hazard_ratio"]))
    return (
        f"With the last {days} days before each day left out the risk is {ratios} times as "
        f"high. {LAGS_TEXT}"
    )
