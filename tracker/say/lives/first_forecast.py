"""The first forecast of a workshop that has just begun: which part is likely to go first."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.language import N_
from tracker.say import part_types
from tracker.say.lives.remaining import lasts

MOSTLY_A_GUESS = N_(
    "No part has failed here yet, so this is mostly the starting guess: what is usual in "
    "the trade, and the ages you gave. Each change you log makes it more your own."
)


def first_of_each(parts: pd.DataFrame, as_of: date) -> list[str]:
    """Of each type the part that is likely to go first, the soonest first.

    ``parts``: rows of ``outlook``. Printers are named as they were written.
    """
    soonest = parts.dropna(subset=["days_p50"]).sort_values("days_p50", kind="stable")
    soonest = soonest.drop_duplicates(["part_kind", "variant"])
    return [f"{part_types.placed(row)}: {lasts(row, as_of)}." for row in soonest.itertuples()]
