"""The lives of a part kind in words: how long they last, how they end, what that rests on."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.forecast.life_scale import ScaleFinding
from tracker.forecast.life_summary import (
    CHANCE,
    EARLY,
    LEAST_FAILURES,
    UNDECIDED,
    WEAR,
    LifeSummary,
)
from tracker.models.curves.survival_curve import SurvivalCurve
from tracker.models.fit.families import family_named
from tracker.say import numbers
from tracker.say.phrases import first_up

_MEANINGS = {
    WEAR: "They wear out: the older, the likelier to fail. Whether replacing them on schedule pays "
    "hangs on the money.",
    EARLY: "They fail early: look at how they are fitted and at the supplier; replacing "
    "good old ones early would make it worse.",
    CHANCE: "Age tells next to nothing: they fail by accident, and replacing old ones "
    "early does not help.",
    UNDECIDED: "Too few failures to tell wear from chance.",
}


def life_sentence(summary: LifeSummary) -> str:
    """How the lives of a kind end, with the interval and what that means."""
    return (
        f"{summary.label}: half fail by {numbers.days(summary.median_days)} of age "
        f"({numbers.day_range(summary.median_lower, summary.median_upper)}, 95 % sure), one in ten "
        f"by {numbers.days(summary.b10_days)}; {seen(summary.failures, summary.lives)}. "
        f"{meaning(summary)}"
    )


def meaning(summary: LifeSummary) -> str:
    """What the shape says, as one sentence with what to do about it."""
    return _MEANINGS[summary.reading]


def seen(failures: int, lives: int) -> str:
    """How many failed, of how many lives.

    >>> seen(6, 14), seen(0, 4), seen(0, 1), seen(0, 0)
    ('6 failures in 14 lives', 'none of 4 has failed', 'the one watched has not', 'none seen yet')
    """
    if failures:
        return f"{numbers.count(failures, 'failure')} in {numbers.count(lives, 'life', 'lives')}"
    if lives == 1:
        return "the one watched has not"
    return f"none of {lives} has failed" if lives else "none seen yet"


def why_no_curve(failures: int, lives: int) -> str:
    """Why do the figures rest on the starting guess?

    >>> why_no_curve(1, 4)
    'A curve of their own needs two failures; so far: 1 failure in 4 lives.'
    """
    if failures >= LEAST_FAILURES:
        return (
            f"{numbers.count(failures, 'failure')} were seen, but at ages that do not fix a curve "
            "yet: more failures, or parts that live on past those ages, are needed."
        )
    return f"A curve of their own needs two failures; so far: {seen(failures, lives)}."


def curve_sentence(curve: SurvivalCurve, failures: int, lives: int) -> str:
    """What the survival curve comes to, and what it counts."""
    last = curve.last
    still = "all" if last == 1 else "none" if last == 0 else numbers.chance(last)
    return (
        f"{first_up(seen(failures, lives))}; at the greatest age watched {still} still work. Parts "
        "still running, and parts taken out for other reasons, count as having lived at least so "
        "long."
    )


def between_checks(failures: int) -> str:
    """Why the curve falls slantwise."""
    return (
        f"The day of {numbers.count(failures, 'failure')} is known only to lie between two checks: "
        "over those days the curve falls slantwise (Turnbull’s estimate), and the band allows for "
        "the first and the last of them."
    )


def curve_table(curve: SurvivalCurve) -> pd.DataFrame:
    """The share still working at each corner of the curve, with its 95 % limits."""
    line = curve.line.groupby("age", sort=True)["survival"].last()
    at = np.searchsorted(curve.band["age"].to_numpy(), line.index.to_numpy(), side="right") - 1
    band = curve.band.iloc[np.maximum(at, 0)]
    return pd.DataFrame(
        {
            "Age (days)": line.index.to_numpy().round(),
            "Still working": [f"{100 * share:.0f} %" for share in line],
            "95 % limits": [
                f"{100 * low:.0f} to {100 * high:.0f} %"
                for low, high in zip(band["lower"], band["upper"], strict=True)
            ],
        }
    )


def families_table(families: pd.DataFrame) -> pd.DataFrame:
    """The life families that could be fitted; ``families`` of ``life_summary``."""
    fitted = families[families["why_not"] == ""]
    return pd.DataFrame(
        {
            "Family": [first_up(family_named(name).title) for name in fitted["family"]],
            "AICc": fitted["aicc"].round(1),
            "Support": [numbers.chance(share) for share in fitted["weight"]],
            "B10 life": fitted["b10"].map(numbers.days),
            "Mean life": fitted["mean_life"].map(numbers.days),
        }
    )


def failure_modes(modes: pd.Series) -> str:
    """How they failed, the commonest first: modes by how often; "" where none is written down."""
    named = [f"{mode or 'not written down'} ({count})" for mode, count in modes.items()]
    return f"How they failed: {'; '.join(named)}."


def starting_guess(
    typical_life: str, worth_failures: float, summary: LifeSummary, guessed: bool
) -> str:
    """The guess of a typical life, what it counts for, and what half and twice of it would say.

    ``guessed``: nobody in the workshop set it; it is the trade's.
    """
    usual, halved, doubled = (numbers.days(age) for age in summary.median_by_guess)
    whose = (
        "The trade’s starting guess (common practice, no source)" if guessed
        else "Your starting guess"
    )  # fmt: skip
    return (
        f"{whose} is a typical life of **{typical_life}**, and it counts as "
        f"**{numbers.count(worth_failures, 'failure')}**. With it half have failed by {usual} of "
        f"age; with half that guess by {halved}, with twice by {doubled}."
    )


def days_or_area(finding: ScaleFinding) -> str:
    """Which scale explains the lives better, with its evidence, or what is missing to tell."""
    if finding.choice is not None:
        return f"{finding.choice.sentence()} (Lives that have counter readings: {finding.lives}.)"
    if finding.problem:
        return f"Cannot tell yet: {finding.problem}"
    have = "has" if finding.failures == 1 else "have"
    return (
        f"Cannot tell yet: {numbers.count(finding.failures, 'failure')} {have} both an age "
        "in days and counter readings. Read the area counter weekly."
    )
