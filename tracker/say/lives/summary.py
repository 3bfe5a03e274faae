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
from tracker.language import N_, _, ngettext
from tracker.lives.life_table import can_bend_lives
from tracker.models.curves.survival_curve import SurvivalCurve
from tracker.models.fit.families import family_named
from tracker.say import numbers
from tracker.say.phrases import first_up, usable
from tracker.workshop.checks import FailedBeforeLog

_MEANINGS = {
    WEAR: N_(
        "They wear out: the older, the likelier to fail. Whether replacing them on schedule "
        "pays hangs on the money."
    ),
    EARLY: N_(
        "They fail early: look at how they are fitted and at the supplier; replacing good old "
        "ones early would make it worse."
    ),
    CHANCE: N_(
        "Age tells next to nothing: they fail by accident, and replacing old ones early does "
        "not help."
    ),
    UNDECIDED: N_("Too few failures to tell wear from chance."),
}


def life_sentence(summary: LifeSummary) -> str:
    """How the lives of a kind end, with the interval and what that means."""
    return _(
        "{label}: half fail by {median_days} of age ({between}, 95 % sure), one in "
        "ten by {b10_days} ({b10_between}); {failures}. {meaning}",
        label=summary.label,
        median_days=numbers.days(summary.median_days),
        between=numbers.day_range(summary.median_lower, summary.median_upper),
        b10_days=numbers.days(summary.b10_days),
        b10_between=numbers.day_range(summary.b10_lower, summary.b10_upper),
        failures=seen(summary.failures, summary.lives, summary.failures_left_out),
        meaning=meaning(summary),
    )


def meaning(summary: LifeSummary) -> str:
    """What the shape says, as one sentence with what to do about it."""
    leaves_out_one = summary.shape_lower > 1 or summary.shape_upper < 1
    if summary.reading == UNDECIDED and summary.basis == "lives" and leaves_out_one:
        return _(
            "Too few failures to tell wear from chance: with so few, the limits of the shape are "
            "too narrow."
        )
    return _(_MEANINGS[summary.reading])


def seen(failures: int, lives: int, left_out: int = 0) -> str:
    """How many failed, of how many lives; ``left_out``: failures that could not be used.

    >>> seen(6, 14), seen(0, 4), seen(0, 1), seen(0, 0)
    ('6 failures in 14 lives', 'none of 4 has failed', 'the one watched has not', 'none seen yet')
    >>> seen(1, 4, 1)
    '1 usable of 2 failures in 4 lives'
    """
    if failures or left_out:
        failed = usable(failures, left_out)
        watched = numbers.count(lives, "life", "lives")
        return _("{failures} in {lives}", failures=failed, lives=watched)
    if lives == 1:
        return _("the one watched has not")
    return _("none of {lives} has failed", lives=lives) if lives else _("none seen yet")


def why_no_curve(failures: int, lives: int, left_out: int = 0) -> str:
    """Why do the figures rest on the starting guess? ``left_out``: failures that cannot be used.

    >>> why_no_curve(1, 4)
    'A curve of their own needs two failures; so far: 1 failure in 4 lives.'
    """
    if failures >= LEAST_FAILURES:
        return _(
            "{failures} were seen, but at ages that do not fix a curve yet: more "
            "failures, or parts that live on past those ages, are needed.",
            failures=numbers.count(failures, "failure", "failures"),
        )
    return _(
        "A curve of their own needs two failures; so far: {failures}.",
        failures=seen(failures, lives, left_out),
    )


def why_left_out(summary: LifeSummary) -> str:
    """How many failures could not be used, and why; "" where all could."""
    if not summary.failures_left_out:
        return ""
    return _(
        "{left_out} could not be used: {why}.",
        left_out=numbers.count(summary.failures_left_out, "failure", "failures"),
        why="; ".join(_(why) for why in summary.why_left_out),
    )


def may_have_failed(summary: LifeSummary) -> str:
    """Ends that count as not failed though some may have, and what that does; "" where few are."""
    told = []
    if can_bend_lives(summary.ends_unknown, summary.ends):
        told.append(
            _(
                "Why {unknown} of the {ends} came out nobody wrote down: they count as not failed, "
                "so where some of them failed, lives are told too long. The monthly review asks "
                "why they came out.",
                unknown=summary.ends_unknown,
                ends=numbers.count(summary.ends, "part", "parts"),
            )
        )
    if can_bend_lives(summary.ends_by_eye, summary.ends):
        told.append(
            _(
                "{by_eye} of the {ends} that came out were changed by plan, at no steady age. "
                "Where that was done because they got worse, log them as failed: else lives are "
                "told too long.",
                by_eye=summary.ends_by_eye,
                ends=numbers.count(summary.ends, "part", "parts"),
            )
        )
    return " ".join(told)


def before_log(failures: int, left_out: FailedBeforeLog) -> str:
    """Why do these failures teach the models nothing?"""
    return _(
        "{failures} before {began}, the first day of your log, not counted: of the days before it "
        "nobody said that every failure was written down.",
        failures=numbers.count(failures, "failure", "failures"),
        began=numbers.day(left_out.began),
    )


def curve_sentence(curve: SurvivalCurve, failures: int, lives: int) -> str:
    """What the survival curve comes to, and what it counts."""
    last = curve.last
    still = _("all") if last == 1 else _("none") if last == 0 else numbers.chance(last)
    return _(
        "{failures}; at the greatest age watched {still} still work. Parts still "
        "running, and parts taken out for other reasons, count as having lived at least "
        "so long.",
        failures=first_up(seen(failures, lives)),
        still=still,
    )


def between_checks(failures: int) -> str:
    """Why the curve falls slantwise."""
    return _(
        "The day of {failures} is known only to lie between two checks: over those days "
        "the curve falls slantwise (Turnbull’s estimate), and the band allows for the "
        "first and the last of them.",
        failures=numbers.count(failures, "failure", "failures"),
    )


def curve_table(curve: SurvivalCurve) -> pd.DataFrame:
    """The share still working at each corner of the curve, with its 95 % limits."""
    line = curve.line.groupby("age", sort=True)["survival"].last()
    at = np.searchsorted(curve.band["age"].to_numpy(), line.index.to_numpy(), side="right") - 1
    band = curve.band.iloc[np.maximum(at, 0)]
    return pd.DataFrame(
        {
            _("Age (days)"): line.index.to_numpy().round(),
            _("Still working"): [numbers.percent(share) for share in line],
            _("95 % limits"): [
                _("{low} to {high} %", low=f"{100 * low:.0f}", high=f"{100 * high:.0f}")
                for low, high in zip(band["lower"], band["upper"], strict=True)
            ],
        }
    )


def families_table(families: pd.DataFrame) -> pd.DataFrame:
    """The life families that could be fitted; ``families`` of ``life_summary``."""
    fitted = families[families["why_not"] == ""]
    return pd.DataFrame(
        {
            _("Family"): [first_up(family_named(name).title) for name in fitted["family"]],
            _("AICc"): fitted["aicc"].round(1),
            _("Support"): [numbers.chance(share) for share in fitted["weight"]],
            _("B10 life"): fitted["b10"].map(numbers.days),
            _("Mean life"): fitted["mean_life"].map(numbers.days),
        }
    )


def failure_modes(modes: pd.Series) -> str:
    """How they failed, the commonest first: modes by how often; "" where none is written down."""
    unknown = _("not written down")
    named = [f"{_(str(mode)) if mode else unknown} ({count})" for mode, count in modes.items()]
    return _("How they failed: {named}.", named="; ".join(named))


def starting_guess(
    typical_life: str, worth_failures: float, summary: LifeSummary, guessed: bool
) -> str:
    """The guess of a typical life, what it counts for, and what half and twice of it would say.

    ``guessed``: nobody in the workshop set it; it is the trade's.
    """
    usual, halved, doubled = (numbers.days(age) for age in summary.median_by_guess)
    text = (
        N_(
            "The trade’s starting guess (common practice, no source) is a typical life of "
            "**{typical_life}**, and it counts as **{worth_failures}**. With it half have failed "
            "by {usual} of age; with half that guess by {halved}, with twice by {doubled}."
        )
        if guessed
        else N_(
            "Your starting guess is a typical life of **{typical_life}**, and it counts as "
            "**{worth_failures}**. With it half have failed by {usual} of age; with half that "
            "guess by {halved}, with twice by {doubled}."
        )
    )
    return _(
        text,
        typical_life=typical_life,
        worth_failures=numbers.count(worth_failures, "failure", "failures"),
        usual=usual,
        halved=halved,
        doubled=doubled,
    )


def days_or_area(finding: ScaleFinding) -> str:
    """Which scale explains the lives better, with its evidence, or what is missing to tell."""
    if finding.choice is not None:
        return _(
            "{sentence} (Lives that have counter readings: {lives}.)",
            sentence=finding.choice.sentence(),
            lives=finding.lives,
        )
    if finding.problem:
        return _("Cannot tell yet: {problem}", problem=finding.problem)
    return ngettext(
        "Cannot tell yet: {failures} has both an age in days and counter readings. Read the area "
        "counter weekly.",
        "Cannot tell yet: {failures} have both an age in days and counter readings. Read the area "
        "counter weekly.",
        finding.failures,
        failures=numbers.count(finding.failures, "failure", "failures"),
    )
