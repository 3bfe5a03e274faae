"""Ages nobody wrote down: the question, and what was assumed."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.say import numbers
from tracker.workshop import vocabulary as words


def how_long(part_kind: str, pieces: int) -> str:
    """The question about a kind, about all its parts at once.

    >>> how_long("head", 1), how_long("damper", 6)
    ('Printhead: in there for how long?', 'Dampers (6): in there for how long?')
    """
    label = words.part_label(part_kind)
    name = label if pieces == 1 else f"{label}s ({pieces})"
    return f"{name}: in there for how long?"


def age_assumed(row: Any) -> str:
    """What was assumed of a part whose fitting day is unknown; ``row`` of ``outlook``, "" else."""
    if not pd.isna(row.age_days):
        return ""
    taken = "taken as a part in regular service"
    if row.age_guess_days == 0:
        taken = "taken as new when the log began"
    elif not pd.isna(row.age_guess_days):
        taken = f"guessed at about {numbers.days(row.age_guess_days)} when the log began"
    low, high = round(row.age_p10), round(row.age_p90)
    now = numbers.days(low) if low == high else numbers.day_range(low, high)
    return f"age not known: {taken}, about {now} now"


def ages_assumed(rows: pd.DataFrame) -> list[str]:
    """One sentence for all parts of which the same was assumed; ``rows`` of ``outlook``."""
    named: dict[str, list[str]] = {}
    for row in rows.itertuples():
        if assumed := age_assumed(row):
            name = f"{words.part_name(str(row.part_kind), str(row.position))} of {row.printer}"
            named.setdefault(assumed, []).append(name)
    return [f"{', '.join(names)}: {assumed}." for assumed, names in named.items()]
