"""How often has the log seen each task done, kept up for a while?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.forecast.exposure_tables import LogWindow
from tracker.lives.exposure.logged_window import log_began
from tracker.lives.exposure.table import HALF_AN_ACTION, DayTable, log2_rate
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

# A window of 30 days may by chance hold nothing of what is done monthly; three of them tell.
_KEPT_UP_DAYS = 90
_ENDS = (0.05, 0.95)


def seen_exposures(
    counted: Records,
    as_of: date,
    tasks: Sequence[str],
    lag_days: int,
    *,
    gaps: LogGaps = NO_GAPS,
) -> dict[str, tuple[float, float]]:
    """Between which exposures to each task have printers been for three months on end?

    The 5 % and 95 % points over printers and stretches of 90 days; of a shorter log, all of it.
    ``gaps``: silent days of the log, passed over.
    """
    printers = pd.Index(counted.printers["printer"].unique())
    window = LogWindow.of(counted, as_of, printers, log_began(counted), lag_days, gaps=gaps)
    found = {}
    for task in tasks:
        rates = _kept_up(window.task(counted, task), counted, window)
        if len(rates):
            low, high = log2_rate(np.quantile(rates, _ENDS))
            found[task] = float(low), float(high)
    return found


def _kept_up(exposure: DayTable, counted: Records, window: LogWindow) -> Array:
    """Mean times in 30 days of each stretch of each printer."""
    left = counted.printers.drop_duplicates("printer", keep="last").set_index("printer")
    rates = []
    for row, name in enumerate(window.printers):
        first = max(int(window.trailing.first_whole[row]) - window.calendar.first_day, 0)
        gone = left["retired_on"].get(name)
        last = window.calendar.steps
        if gone is not None and not pd.isna(gone):
            last = min(last, day_number(gone.date()) - window.calendar.first_day)
        per_30_days = 2.0 ** exposure[row, first:last] - HALF_AN_ACTION
        stretches = max(len(per_30_days) // _KEPT_UP_DAYS, 1)
        if len(per_30_days):
            rates += [part.mean() for part in np.array_split(per_30_days, stretches)]
    return np.array(rates)
