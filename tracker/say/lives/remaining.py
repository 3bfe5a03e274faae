"""How long a fitted part has left, in words and as a table."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.say import numbers, part_types

FAR_DAYS = 3650.0  # later days are told as "more than ten years"


def lasts(row: Any, as_of: date) -> str:
    """Until when a part likely lasts; ``row`` of ``outlook``."""
    middle = until(row.days_p50, as_of)
    if not middle:
        return "even chance it lasts for more than ten years"
    return f"even chance it lasts until {middle} (8 in 10: {between(row, as_of)})"


def between(row: Any, as_of: date) -> str:
    """The days between which it fails with eight chances in ten; ``row`` of ``outlook``."""
    low, high = until(row.days_p10, as_of), until(row.days_p90, as_of)
    return f"from {low} to {high or 'more than ten years from now'}"


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
    soon = f"{chance} within {numbers.days(within_days)}"
    if len(parts) == 1:
        return f"{which}: {soon} to fail; {lasts(first, as_of)}."
    return f"{which} is the likeliest to fail: {soon}; {lasts(first, as_of)}."


def many_stand_empty(positions: int) -> str:
    """How many positions wait for a part.

    >>> many_stand_empty(66)
    '66 positions stand empty and need a part now'
    """
    return f"{numbers.count(positions, 'position')} stand empty and need a part now"


def table(parts: pd.DataFrame, as_of: date, within_days: float) -> pd.DataFrame:
    """One row per part, ready to be shown: chance in per cent, then days in words.

    ``parts`` of ``outlook``. Printed area stands there only where a counter was read.
    """
    rows = list(parts.itertuples())
    shown = pd.DataFrame(
        {
            "Printer": parts["printer"],
            "Position": parts["position"],
            f"Fails within {numbers.days(within_days)}": 100 * parts["chance_of_failure"],
            "Even chance it lasts until": [
                until(row.days_p50, as_of) or "over ten years" for row in rows
            ],
            "8 in 10": [between(row, as_of) for row in rows],
            "That chance, 80 % range": [
                f"{100 * row.chance_low:.0f} to {100 * row.chance_high:.0f} %" for row in rows
            ],
            "Age": ["not known" if pd.isna(row.age_days) else numbers.days(row.age_days)
                    for row in rows],
        }
    )  # fmt: skip
    if parts["area_p50"].notna().any():
        shown["m² left (8 in 10)"] = [_area(row) for row in rows]
    if parts["variant"].any():
        shown.insert(5, "Type", parts["variant"])
    return shown


def _area(row: Any) -> str:
    if pd.isna(row.area_p50):
        return ""
    middle, low, high = (
        numbers.figure(area) for area in (row.area_p50, row.area_p10, row.area_p90)
    )
    return f"{middle} ({low} to {high})"


def under_another_routine(parts: pd.DataFrame, changed: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """The same parts as now and under another routine; rows of two ``outlook``s."""
    return pd.DataFrame(
        {
            "Printer": parts["printer"],
            "Position": parts["position"],
            "Even chance until, as now": [until(days, as_of) for days in parts["days_p50"]],
            "then": [until(days, as_of) for days in changed["days_p50"]],
            "8 in 10, then": [between(row, as_of) for row in changed.itertuples()],
        }
    )
