"""What is known to be missing from the maintenance log, so that silence is not read as neglect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.lives.exposure_table import OpenNumber
from tracker.lives.open_days import Closures


@dataclass(frozen=True, eq=False)
class LogGaps:
    """``silent``: per printer the spans of days of which nothing was written down, as in
    ``Closures``; ``share_logged``: per task and printer the share of the work that was, 1 where
    nothing is known to be missing.
    """

    silent: Closures = field(default_factory=lambda: Closures({}))
    share_logged: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def open_numbers(self, closures: Closures, printers: pd.Index) -> dict[int, OpenNumber]:
        """Day numbers without closed and silent days, of the printers that have any: a trailing
        window reaches back over so many other days.
        """
        found: dict[int, OpenNumber] = {}
        for code, name in enumerate(map(str, printers)):
            spans = [each.spans[name] for each in (closures, self.silent) if name in each.spans]
            if spans:
                both = Closures.merged(name, np.concatenate(spans))
                found[code] = partial(both.open_number, name)
        return found

    def share_on(self, task: str, printers: pd.Index) -> Array | None:
        """The share of that task's work that was logged, per printer; None where all of it was."""
        shares = np.array([self.share_logged.get((task, str(name)), 1.0) for name in printers])
        return None if (shares == 1).all() else shares


NO_GAPS = LogGaps()


def spans_of_days(days: Ints) -> Ints:
    """First and last day of each stretch of neighbouring days; ``days`` in rising order."""
    if not len(days):
        return np.zeros((0, 2), dtype=np.int64)
    cut = np.flatnonzero(np.diff(days) > 1) + 1
    return np.array([(each[0], each[-1]) for each in np.split(days, cut)], dtype=np.int64)
