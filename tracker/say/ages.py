"""Ages nobody wrote down: the question, and what was assumed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from tracker.language import _, ngettext
from tracker.say import numbers, part_types
from tracker.say.phrases import listed
from tracker.workshop.variants import PartType


def how_long(part: PartType, pieces: int) -> str:
    """The question about a type, about all its parts at once.

    >>> how_long(PartType("head", "six-channel head"), 1), how_long(PartType("damper"), 6)
    ('Printhead (six-channel head): in there for how long?', 'Dampers (6): in there for how long?')
    """
    name = part_types.of(part)
    if part.variant and pieces > 1:
        name = f"{pieces} × {part_types.within(part)}"
    if part.variant or pieces == 1:
        return _("{name}: in there for how long?", name=name)
    plural = _("{part}s", part=name)
    return _("{name} ({pieces}): in there for how long?", name=plural, pieces=pieces)


def ages_left_unknown(parts: Mapping[PartType, int], answers: str) -> str:
    """Of which parts neither day nor age was told, what is assumed, and how to say it by command.

    ``answers`` are the words a command may give.
    """
    counted = [part_types.counted(pieces, part) for part, pieces in parts.items()]
    named = listed(counted)
    first = ", ".join(filter(None, next(iter(parts))))
    return ngettext(
        "The age of {named} is not known: it is taken as a part in regular service when the log "
        'began; to say more, load again with --age "{first}=…" and the like ({answers}).',
        "The age of {named} is not known: they are taken as parts in regular service when the log "
        'began; to say more, load again with --age "{first}=…" and the like ({answers}).',
        sum(parts.values()),
        named=named,
        first=first,
        answers=answers,
    )


def age_assumed(row: Any) -> str:
    """What was assumed of a part whose fitting day is unknown; ``row`` of ``outlook``, "" else."""
    if not pd.isna(row.age_days):
        return ""
    taken = _("taken as a part in regular service")
    if row.age_guess_days == 0:
        taken = _("taken as new when the log began")
    elif not pd.isna(row.age_guess_days):
        taken = _(
            "guessed at about {age_guess_days} when the log began",
            age_guess_days=numbers.days(row.age_guess_days),
        )
    low, high = round(row.age_p10), round(row.age_p90)
    now = numbers.days(low) if low == high else numbers.day_range(low, high)
    return _("age not known: {taken}, about {now} now", taken=taken, now=now)


def ages_assumed(rows: pd.DataFrame) -> list[str]:
    """One sentence for all parts of which the same was assumed; ``rows`` of ``outlook``."""
    named: dict[str, list[str]] = {}
    for row in rows.itertuples():
        if assumed := age_assumed(row):
            named.setdefault(assumed, []).append(part_types.placed(row))
    return [f"{', '.join(names)}: {assumed}." for assumed, names in named.items()]
