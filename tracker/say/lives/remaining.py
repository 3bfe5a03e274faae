"""How long a fitted part has left, in words and as a table."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.language import _
from tracker.say import numbers, part_types
from tracker.workshop.vocabulary import said

FAR_DAYS = 3650.0  # later days are told as "more than ten years"


def lasts(row: Any, as_of: date) -> str:
    """Until when a part likely lasts; ``row`` of ``outlook``."""
    middle = until(row.days_p50, as_of)
    if not middle:
        return _("even chance it lasts for more than ten years")
    return _(
        "even chance it lasts until {middle} (8 in 10: {between})",
        middle=middle,
        between=between(row, as_of),
    )


def between(row: Any, as_of: date) -> str:
    """The days between which it fails with eight chances in ten; ``row`` of ``outlook``."""
    low, high = until(row.days_p10, as_of), until(row.days_p90, as_of)
    if not high:
        return _("from {low} to more than ten years from now", low=low)
    return _("from {low} to {high}", low=low, high=high)


def until(days: float, as_of: date) -> str:
    """The day so many days ahead; "" where it is further off than anybody plans.

    >>> until(30, date(2026, 3, 1)), until(float("inf"), date(2026, 3, 1))
    ('31 Mar 2026', '')
    """
    if not days <= FAR_DAYS:
        return ""
    return numbers.day(as_of + timedelta(days=round(days)))


def likeliest(parts: pd.DataFrame, as_of: date, within_days: float) -> str:
    """The part that fails first, of ``outlook``, likeliest first."""
    first = next(parts.itertuples())
    which = part_types.placed(first)
    chance = numbers.chance(first.chance_of_failure)
    soon = _("{chance} within {within_days}", chance=chance, within_days=numbers.days(within_days))
    if len(parts) == 1:
        return _(
            "{which}: {soon} to fail; {first}.", which=which, soon=soon, first=lasts(first, as_of)
        )
    return _(
        "{which} is the likeliest to fail: {soon}; {first}.",
        which=which,
        soon=soon,
        first=lasts(first, as_of),
    )


def many_stand_empty(positions: int) -> str:
    """How many positions wait for a part.

    >>> many_stand_empty(66)
    '66 positions stand empty and need a part now'
    """
    told = numbers.count(positions, "position", "positions")
    return _("{positions} stand empty and need a part now", positions=told)


def table(parts: pd.DataFrame, as_of: date, within_days: float) -> pd.DataFrame:
    """One row per part, ready to be shown: chance in per cent, then days in words.

    ``parts`` of ``outlook``. Printed area stands there only where a counter was read.
    """
    rows = list(parts.itertuples())
    shown = pd.DataFrame(
        {
            _("Printer"): parts["printer"],
            _("Position"): parts["position"],
            _("Fails within {days}", days=numbers.days(within_days)): 100
            * parts["chance_of_failure"],
            _("Even chance it lasts until"): [
                until(row.days_p50, as_of) or _("over ten years") for row in rows
            ],
            _("8 in 10"): [between(row, as_of) for row in rows],
            _("That chance, 80 % range"): [
                _(
                    "{low} to {high} %",
                    low=f"{100 * row.chance_low:.0f}",
                    high=f"{100 * row.chance_high:.0f}",
                )
                for row in rows
            ],
            _("Age"): [
                _("not known") if pd.isna(row.age_days) else numbers.days(row.age_days)
                for row in rows
            ],
        }
    )
    if parts["area_p50"].notna().any():
        shown[_("m² left (8 in 10)")] = [_area(row) for row in rows]
    if parts["variant"].any():
        shown.insert(5, _("Type"), parts["variant"].map(said))
    return shown


def _area(row: Any) -> str:
    if pd.isna(row.area_p50):
        return ""
    middle, low, high = (
        numbers.figure(area) for area in (row.area_p50, row.area_p10, row.area_p90)
    )
    return _("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def under_another_routine(parts: pd.DataFrame, changed: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """The same parts as now and under another routine; rows of two ``outlook``s."""
    return pd.DataFrame(
        {
            _("Printer"): parts["printer"],
            _("Position"): parts["position"],
            _("Even chance until, as now"): [until(days, as_of) for days in parts["days_p50"]],
            _("then"): [until(days, as_of) for days in changed["days_p50"]],
            _("8 in 10, then"): [between(row, as_of) for row in changed.itertuples()],
        }
    )
