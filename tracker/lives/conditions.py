"""What surrounded the parts of a printer, seen from the evening before each step of a calendar?"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.lives.exposure_table import (
    Calendar,
    OpenNumber,
    days_since_epoch,
    printed_area,
    trailing_mean,
)
from tracker.workshop.records import Records


def condition_tables(
    known: Records,
    printers: pd.Index,
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    open_numbers: Mapping[int, OpenNumber],
) -> dict[str, Array]:
    """Idle and closed share, area, white share and humidity of the window before each step, as far
    as anything is noted of them; see ``episodes.EXPOSURES``. (printers, steps), NaN where unknown.
    """
    tables: dict[str, Array] = {}
    if not known.counters.empty:
        area = printed_area(
            known.counters, printers, calendar, window_days, lag_days, open_numbers=open_numbers
        )
        tables["idle_share"] = area.idle_share
        tables["area_per_day"] = area.per_day
    if open_numbers:
        ends = calendar.begins - lag_days
        tables["closed_share"] = np.zeros((len(printers), calendar.steps))
        for code, number in open_numbers.items():
            opened = number(ends) - number(ends - window_days)
            tables["closed_share"][code] = 1 - opened / window_days
    notes = known.conditions
    if not notes.empty:
        code = printers.get_indexer(pd.Index(notes["printer"])).astype(np.int64)
        ours = code >= 0
        day = days_since_epoch(notes["noted_on"])[ours]
        for name, column, unit_size in (
            ("white_share", "white_share_percent", 100.0),
            ("humidity", "humidity_percent", 10.0),
        ):
            value = notes[column].to_numpy(dtype=np.float64)[ours] / unit_size
            tables[name] = trailing_mean(
                code[ours], day, value, len(printers), calendar, window_days, lag_days
            )
    return tables
