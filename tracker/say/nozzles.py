"""In words: what the nozzle checks say of a head's next days, or why they say nothing yet."""

from __future__ import annotations

from typing import Any

from tracker.forecast.nozzle_checks import NozzleFactors
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.phrases import first_up


def nozzle_sentence(
    missing: int,
    rising_for_days: int,
    chance: float,
    chance_without: float,
    within_days: int,
) -> str:
    """The latest count, its rise, and the chance of failing with and without the checks.

    >>> nozzle_sentence(44, 4, 0.312, 0.0651, 14)
    '44 nozzles missing, rising for 4 days: 31 % within 14 days; without the checks 6.5 %.'
    >>> nozzle_sentence(0, 0, 0.004, 0.021, 14)
    'No nozzles missing: under 1 % within 14 days; without the checks 2.1 %.'
    """
    text = (
        N_(
            "{nozzles} missing, rising for {rising}: {chance} within {days}; without the checks "
            "{chance_without}."
        )
        if rising_for_days > 0
        else N_("{nozzles} missing: {chance} within {days}; without the checks {chance_without}.")
    )
    return first_up(
        _(
            text,
            nozzles=numbers.count(missing, "nozzle", "nozzles"),
            rising=numbers.count(rising_for_days, "day", "days"),
            chance=_percent(chance),
            days=numbers.count(within_days, "day", "days"),
            chance_without=_percent(chance_without),
        )
    )


def checks_say(row: Any, within_days: float) -> str:
    """What the checks say of a row of ``outlook``; "" where they do not enter its forecast."""
    if row.missing_nozzles != row.missing_nozzles:
        return ""
    return nozzle_sentence(
        int(row.missing_nozzles),
        int(row.rising_for_days),
        row.chance_of_failure,
        row.chance_without_checks,
        int(within_days),
    )


def unused_sentence(found: NozzleFactors) -> str:
    """Why the checks do not enter the forecast; "" where they do, or where there are none."""
    if found.used or found.landmark is None:
        return ""
    days = numbers.count(found.within_days, "day", "days")
    if found.failures < found.failures_needed:
        seen = numbers.count(found.failures, "head", "heads")
        return _(
            "Nozzle checks do not enter the forecast yet: {seen} failed within {days} of "
            "a check so far, {failures_needed} are needed.",
            seen=seen,
            days=days,
            failures_needed=found.failures_needed,
        )
    return _(
        "Nozzle checks do not enter the forecast: so far they would not have told head "
        "failures within {days} clearly better than age alone.",
        days=days,
    )


def _percent(probability: float) -> str:
    if 0.01 <= probability <= 0.99:
        return f"{numbers.figure(100 * probability)} %"
    return numbers.chance(probability)
