"""Will what was closed a year ago be closed again?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from tracker.decisions.due_days.shutdown_tasks import LEAST_CLOSED_DAYS
from tracker.workshop.records import Records
from tracker.workshop.settings.spans_worked import OPEN_AGAIN, spans_worked

ASKED_AHEAD_DAYS = 90  # a late delivery and a look at the shelf still fit in before
_A_YEAR = timedelta(days=364)  # to the same weekday
_MOVED = timedelta(days=28)  # what begins so much earlier or later is the same shutdown still


@dataclass(frozen=True)
class ClosedAgain:
    """Closed from ``last_began_on`` to ``last_ended_on``; a year later, to the weekday, that is
    from ``began_on`` to ``ended_on``. ``whom``: the sites and suppliers it held for, ``site`` and
    ``supplier`` of ``closures``, both empty for the whole workshop.
    """

    last_began_on: date
    last_ended_on: date
    whom: tuple[tuple[str, str], ...]

    @property
    def began_on(self) -> date:
        """The first day of the same stretch a year later."""
        return self.last_began_on + _A_YEAR

    @property
    def ended_on(self) -> date:
        """Its last day."""
        return self.last_ended_on + _A_YEAR


def closed_again(records: Records, as_of: date) -> list[ClosedAgain]:
    """Which stretches of a year ago are coming near, and nobody has said whether they come again?

    Of LEAST_CLOSED_DAYS or more, beginning within ASKED_AHEAD_DAYS, the soonest first. Said is
    what closed days of the same site or supplier about that time say, or the setting OPEN_AGAIN. A
    printer's own closed days are no holiday.
    """
    known = records.known_at(as_of)
    closures = known.closures[known.closures["printer"] == ""]
    open_then = set(spans_worked(known.setting(OPEN_AGAIN)))
    long = closures["ended_on"] - closures["began_on"] >= timedelta(days=LEAST_CLOSED_DAYS - 1)
    ahead = closures["began_on"] + _A_YEAR - pd.Timestamp(as_of)
    near = long & (ahead > timedelta(0)) & (ahead <= timedelta(days=ASKED_AHEAD_DAYS))
    found = []
    for (began, ended), rows in closures[near].groupby(["began_on", "ended_on"]):
        whom = zip(rows["site"], rows["supplier"], strict=True)
        unsaid = tuple(each for each in whom if not _is_written(closures, each, began, ended))
        one = ClosedAgain(began.date(), ended.date(), unsaid)
        if unsaid and (one.began_on, one.ended_on) not in open_then:
            found.append(one)
    return found


def _is_written(
    closures: pd.DataFrame, whom: tuple[str, str], began: pd.Timestamp, ended: pd.Timestamp
) -> bool:
    """Is something written down for the same about a year after those days?"""
    same = (closures["site"] == whom[0]) & (closures["supplier"] == whom[1])
    first, last = began + _A_YEAR - _MOVED, ended + _A_YEAR + _MOVED
    return bool((same & (closures["began_on"] <= last) & (closures["ended_on"] >= first)).any())
