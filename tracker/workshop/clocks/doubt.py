"""Can the clock be right that says today, given what is written down?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

import pandas as pd

from tracker.workshop.records import Records

# A workshop writes something down every few days; common practice, no source.
LONG_DAYS = 60


@dataclass(frozen=True)
class ClockDoubt:
    """``today`` does not follow on the ``newest`` day written down.

    ``kind``: it is ``before`` that day, or ``long_after`` it.
    """

    kind: Literal["before", "long_after"]
    today: date
    newest: date

    @property
    def days(self) -> int:
        """How many days lie between the two."""
        return abs((self.today - self.newest).days)


def clock_doubt(records: Records, today: date) -> ClockDoubt | None:
    """Is a clock that says ``today`` to be asked about? None where it is not.

    A computer or phone whose clock is wrong would age every part by the difference: before the
    newest day written down, or more than sixty days after it, a person is to say so.

    >>> clock_doubt(Records(), date(2026, 10, 31)) is None
    True
    """
    newest = records.last_day()
    if newest is None or records.is_demo:
        return None
    if today < newest:
        return ClockDoubt("before", today, newest)
    started = records.printers["started_on"].max()  # a printer begun with is written down too
    newest = newest if pd.isna(started) else max(newest, min(started.date(), today))
    if (today - newest).days > LONG_DAYS and _is_kept(records):
        return ClockDoubt("long_after", today, newest)
    return None


def _is_kept(records: Records) -> bool:
    """Is what goes on at the printers written down? Printers and their first parts alone tell
    nothing of the days since.
    """
    logged = ("maintenance", "nozzle_checks", "counters", "stoppages")
    return any(records.count(table) for table in logged) or bool(
        records.fittings["removed_on"].notna().any()
    )
