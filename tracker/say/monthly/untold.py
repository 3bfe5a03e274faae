"""Parts that came out and nobody wrote down why, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.language import N_, _, month_name, ngettext
from tracker.lives.life_table import can_bend_lives
from tracker.say import numbers, part_types

# In this order they are offered. What came out with its printer is told by the printer's own row.
ANSWERS = {
    "failed": N_("It failed"),
    "planned": N_("Planned, it still worked"),
    "with_other": N_("Came out with another part"),
    "accident": N_("Accident"),
}


def untold_in_month(parts: int) -> str:
    """How many came out in a month beside those that failed; "" where all was told."""
    if not parts:
        return ""
    return ngettext(
        "{count} more part came out, and nobody wrote down why.",
        "{count} more parts came out, and nobody wrote down why.",
        parts,
        count=numbers.decimal(parts),
    )


def many_untold(parts: int, ends: int) -> str:
    """That of many parts that came out nobody wrote down why; "" where few of ``ends`` are.

    >>> many_untold(6, 20)
    'Nobody wrote down why 6 of 20 parts came out; they count as not failed.'
    >>> many_untold(6, 200)
    ''
    """
    if not can_bend_lives(parts, ends):
        return ""
    return _(
        "Nobody wrote down why {parts} of {ends} parts came out; they count as not failed.",
        parts=numbers.decimal(parts),
        ends=numbers.decimal(ends),
    )


def untold_question(parts: int) -> str:
    """What is asked of that many parts."""
    return ngettext(
        "Why did {count} part come out?",
        "Why did {count} parts come out?",
        parts,
        count=numbers.decimal(parts),
    )


def untold_sentence(untold: pd.DataFrame, month: date) -> str:
    """How many came out untold, how many of them in that month, and what that does to the figures;
    ``untold`` as ``untold_reasons``.
    """
    here = int((untold["removed_on"] >= pd.Timestamp(month.replace(day=1))).sum())
    many = len(untold)
    return ngettext(
        "Nobody wrote down why {count} part came out ({here} of them in {month}). It counts as "
        "not failed: if it failed, lives are told too long and failures too few.",
        "Nobody wrote down why {count} parts came out ({here} of them in {month}). They count as "
        "not failed: where some failed, lives are told too long and failures too few.",
        many,
        count=numbers.decimal(many),
        here=numbers.decimal(here),
        month=month_name(month),
    )


def untold_line(row: Any) -> str:
    """One part: which, where, on which day, at what age; ``row`` of ``untold_reasons``."""
    if np.isnan(row.age):
        return _("{part}, {day}", part=part_types.placed(row), day=numbers.day(row.removed_on))
    return _(
        "{part}, {day}, after {age}",
        part=part_types.placed(row),
        day=numbers.day(row.removed_on),
        age=numbers.days(row.age),
    )
