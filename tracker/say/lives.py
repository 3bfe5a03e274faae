"""The lives of a part kind in words: how they end, by days or by area."""

from __future__ import annotations

from datetime import date, timedelta

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
from tracker.say import numbers, part_types

MOSTLY_A_GUESS = (
    "No part has failed here yet, so this is mostly the starting guess: what is usual in the "
    "trade, and the ages you gave. Each change you log makes it more your own."
)

_MEANINGS = {
    WEAR: "They wear out: the older, the likelier to fail. Whether a change by plan pays "
    "hangs on the money (Maintenance, “Change by plan?”).",
    EARLY: "They fail early: look at how they are fitted and at the supplier; replacing "
    "good old ones early would make it worse.",
    CHANCE: "Age tells next to nothing: they fail by accident, and replacing old ones "
    "early does not help.",
    UNDECIDED: "Too few failures to tell wear from chance.",
}


def life_sentence(summary: LifeSummary) -> str:
    """How the lives of a kind end, with the interval and what that means."""
    return (
        f"{summary.label}: one in ten has failed after {numbers.days(summary.b10_days)} "
        f"(95 % sure: {numbers.day_range(summary.b10_lower, summary.b10_upper)}), half after "
        f"{numbers.days(summary.median_days)}; {seen(summary.failures, summary.lives)}. "
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
    """Why do the figures rest on belief?

    >>> why_no_curve(1, 4)
    'A curve of their own needs two failures; so far: 1 failure in 4 lives.'
    """
    if failures >= LEAST_FAILURES:
        return (
            f"{numbers.count(failures, 'failure')} were seen, but at ages that do not fix a curve "
            "yet: more failures, or parts that live on past those ages, are needed."
        )
    return f"A curve of their own needs two failures; so far: {seen(failures, lives)}."


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


def first_of_each(parts: pd.DataFrame, as_of: date) -> list[str]:
    """Of each type the part that is likely to go first, the soonest first.

    ``parts``: rows of ``outlook``. Printers are named as they were written.
    """
    soonest = parts.dropna(subset=["days_p50"]).sort_values("days_p50", kind="stable")
    soonest = soonest.drop_duplicates(["part_kind", "variant"])
    return [
        f"{part_types.placed(row)}: even chance that it lasts until "
        f"{numbers.day(as_of + timedelta(days=round(row.days_p50)))} "
        f"(80 % sure: {numbers.day_range(row.days_p10, row.days_p90)} more)."
        for row in soonest.itertuples()
    ]
