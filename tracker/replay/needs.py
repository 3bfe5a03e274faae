"""Which pieces did the workshop really need, and when? The demand that a replay walks over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pandas as pd

from tracker.lives.life_table import life_table
from tracker.workshop.empty_positions import ASKS_FOR_ANOTHER, PLACE, waiting_positions
from tracker.workshop.records import Records

# Told while a replay goes on: the share that is done, and the day that is played.
Progress = Callable[[float, date], None]

COLUMNS = ("part_kind", "variant", "printer", "position", "needed_on", "stops")


def needs(records: Records, as_of: date) -> pd.DataFrame:
    """The parts that came out by that day and were replaced, or are still waited for, COLUMNS, in
    order of days; those of one day by their places, in whatever order they were written down.

    ``needed_on`` is the day the old part came out, whenever the new one went in: how long the
    workshop really waited is its own stock's doing. ``stops`` is True where the printer stands
    until the piece is there; a planned change waits for its piece while the printer works.
    """
    lives = life_table(records, as_of)
    newest = lives.groupby(PLACE, sort=False)["fitted_on"].transform("max")
    replaced = lives["outcome"].isin(ASKS_FOR_ANOTHER) & (newest >= lives["removed_on"])
    gone = replaced | lives.index.isin(waiting_positions(records, as_of).index)
    found = lives.loc[gone, ["part_kind", "variant", *PLACE[1:], "removed_on", "outcome"]]
    found = found.rename(columns={"removed_on": "needed_on"})
    found["stops"] = found.pop("outcome").ne("planned")
    return found.sort_values(["needed_on", *PLACE], kind="stable", ignore_index=True)


def first_day_of(records: Records) -> date | None:
    """The day from which a history can be played: the log's first, else the first fitting's."""
    if records.log_began_on is not None or records.fittings["fitted_on"].isna().all():
        return records.log_began_on
    first: date = records.fittings["fitted_on"].min().date()
    return first
