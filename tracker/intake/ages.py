"""The question about ages: parts of a file that were in before the log began, day not known."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from tracker.workshop.age_guesses import of_unknown_age


def ages_to_ask(fittings: pd.DataFrame) -> dict[str, int]:
    """Of which kinds must somebody guess the age, and of how many parts each?

    ``fittings``: rows of the contract's table, as read from a file.

    >>> from tracker.workshop.contract import FITTINGS
    >>> from tracker.workshop.records import shape_frame
    >>> rows = pd.DataFrame({"part_kind": ["damper", "damper", "head"],
    ...                      "fitted_on": [None, None, "2026-01-05"]})
    >>> ages_to_ask(shape_frame(FITTINGS, rows))
    {'damper': 2}
    """
    kinds = fittings.loc[of_unknown_age(fittings), "part_kind"]
    return {str(kind): int(count) for kind, count in kinds.value_counts(sort=False).items()}


def with_guessed_ages(
    fittings: pd.DataFrame, guess_by_kind: Mapping[str, float | None]
) -> pd.DataFrame:
    """The same rows with the guesses (days) where the age is asked for; None leaves it unknown."""
    guesses = fittings["part_kind"].map(dict(guess_by_kind)).astype("float64")
    asked = of_unknown_age(fittings)
    return fittings.assign(age_guess_days=fittings["age_guess_days"].where(~asked, guesses))
