"""The question about ages: parts of a file that were in before the log began, day not known."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from tracker.workshop.age_guesses import of_unknown_age
from tracker.workshop.fitted_types import fitted_variants
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in


def ages_to_ask(records: Records) -> dict[PartType, int]:
    """Of which types must somebody guess the age, and of how many parts each?

    ``records``: fittings as read from files, with the printers they are in.

    >>> rows = pd.DataFrame({"part_kind": ["damper", "damper", "head"],
    ...                      "fitted_on": [None, None, "2026-01-05"]})
    >>> ages_to_ask(Records.of({"fittings": rows}))
    {PartType(part_kind='damper', variant=''): 2}
    """
    asked = _types(records)[of_unknown_age(records.fittings)]
    return {part: int((asked == part).sum()) for part in dict.fromkeys(asked)}


def with_guessed_ages(records: Records, guess_by_type: Mapping[PartType, float | None]) -> Records:
    """The same records with the guesses (days) where an age is asked for; None: still unknown."""
    fittings = records.fittings
    # Not ``map``: it takes a mapping of pairs for one with two levels.
    guesses = [guess_by_type.get(part) for part in _types(records)]
    asked = of_unknown_age(fittings)
    guessed = fittings["age_guess_days"].where(~asked, pd.Series(guesses, fittings.index, float))
    return records.with_table("fittings", fittings.assign(age_guess_days=guessed))


def _types(records: Records) -> pd.Series:
    """The type of every fitting, same index."""
    rows = records.fittings.assign(variant=fitted_variants(records))
    return pd.Series(types_in(rows), index=rows.index, dtype=object)
