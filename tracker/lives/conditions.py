"""What surrounded the parts of a printer, seen from the evening before each step of a calendar?"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.lives.exposure_table import (
    Calendar,
    days_since_epoch,
    printed_area,
    trailing_mean,
)
from tracker.lives.logged_window import TrailingWindow
from tracker.workshop.records import Records


def condition_tables(
    known: Records, window: TrailingWindow, calendar: Calendar
) -> dict[str, Array]:
    """Idle and closed share, area, white share and humidity of the window before each step, as far
    as anything is noted of them; see ``episodes.EXPOSURES``. (printers, steps), NaN where unknown.
    """
    printers, days, lag_days = window.printers, window.days, window.lag_days
    tables: dict[str, Array] = {}
    if not known.counters.empty:
        area = printed_area(
            known.counters, printers, calendar, days, lag_days, open_numbers=window.open_numbers
        )
        tables["idle_share"] = area.idle_share
        tables["area_per_day"] = area.per_day
    if not window.open_numbers.are_plain:
        ends = calendar.begins - lag_days
        tables["closed_share"] = np.zeros((len(printers), calendar.steps))
        for rows, open_days in window.open_numbers.together():
            opened = open_days.number(ends) - open_days.number(ends - days)
            tables["closed_share"][rows] = 1 - opened / days
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
                code[ours], day, value, len(printers), calendar, days, lag_days
            )
    return tables
