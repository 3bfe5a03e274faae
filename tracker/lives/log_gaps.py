"""Days of which nothing was written down, so that silence is not read as neglect."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from tracker.arrays import Ints
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers


@dataclass(frozen=True, eq=False)
class LogGaps:
    """``silent``: per printer the spans of such days, as in ``Closures``."""

    silent: Closures = field(default_factory=lambda: Closures({}))

    def open_numbers(self, closures: Closures, printers: pd.Index) -> OpenNumbers:
        """Calendars without closed and silent days: a trailing window reaches back over so many
        other days.
        """
        return closures.beside(self.silent).open_numbers(printers)


NO_GAPS = LogGaps()


def spans_of_days(days: Ints) -> Ints:
    """First and last day of each stretch of neighbouring days; ``days`` in rising order."""
    if not len(days):
        return np.zeros((0, 2), dtype=np.int64)
    cut = np.flatnonzero(np.diff(days) > 1) + 1
    return np.array([(each[0], each[-1]) for each in np.split(days, cut)], dtype=np.int64)
