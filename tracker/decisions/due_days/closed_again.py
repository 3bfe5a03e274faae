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
    found: dict[tuple[date, date], list[tuple[str, str]]] = {}
    for row in closures.sort_values(["began_on", "ended_on"], kind="stable").itertuples():
        last = ClosedAgain(row.began_on.date(), row.ended_on.date(), ())  # type: ignore[union-attr]
        long = (last.last_ended_on - last.last_began_on).days + 1 >= LEAST_CLOSED_DAYS
        near = 0 < (last.began_on - as_of).days <= ASKED_AHEAD_DAYS
        said = (last.began_on, last.ended_on) in open_then
        whom = str(row.site), str(row.supplier)
        if long and near and not said and not _written(closures, whom, last):
            found.setdefault((last.last_began_on, last.last_ended_on), []).append(whom)
    return [ClosedAgain(*last, tuple(dict.fromkeys(whom))) for last, whom in found.items()]


def _written(closures: pd.DataFrame, whom: tuple[str, str], last: ClosedAgain) -> bool:
    """Is something written down for the same about that time?"""
    same = (closures["site"] == whom[0]) & (closures["supplier"] == whom[1])
    first, end = pd.Timestamp(last.began_on - _MOVED), pd.Timestamp(last.ended_on + _MOVED)
    return bool((same & (closures["began_on"] <= end) & (closures["ended_on"] >= first)).any())
