"""What should be done around a shutdown: before it so that heads stand it, after it first of all.

A head that stands for days dries at the nozzles. Before: flush, keep the cap wet, ink high enough;
after: look at the nozzles before anything is printed. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from tracker.lives.open_days import Closures
from tracker.workshop import vocabulary
from tracker.workshop.working_days import WorkingDays

LEAST_CLOSED_DAYS = 5  # a shorter closure is a long weekend
BEFORE_WORKING_DAYS = 3
# The first of each that the vocabulary knows.
BEFORE = (
    ("flush_before_shutdown", "flush_in_place"),
    ("clean_wiper_cap",),
    ("keep_tank_third",),
)
AFTER = (("nozzle_check",),)


@dataclass(frozen=True)
class Shutdown:
    """Closed days of a printer, and on which side of them a day lies."""

    side: Literal["before", "after"]
    began_on: date
    ended_on: date
    since: date  # the task counts as done for it from this day on

    @property
    def tasks(self) -> tuple[str, ...]:
        """What is offered on that side, in order."""
        offered = BEFORE if self.side == "before" else AFTER
        chosen = (
            next((name for name in names if name in vocabulary.TASKS), None) for names in offered
        )
        return tuple(name for name in chosen if name)


def shutdown_near(
    closures: Closures, working: WorkingDays, printer: str, day: date
) -> Shutdown | None:
    """The shutdown for which something should be done on that printer on that day.

    In the last three working days before one of five closed days or more, or up to the first
    working day after it; None on any other day.
    """
    if closures.closed_on(printer, day):
        return None
    for began, ended in closures.spans_between(
        printer, day - timedelta(days=30), day + timedelta(days=30)
    ):
        if (ended - began).days + 1 < LEAST_CLOSED_DAYS:
            continue
        if day < began:
            first = began
            for _ in range(BEFORE_WORKING_DAYS):
                first = _open_before(closures, working, printer, first)
            if first <= day:
                return Shutdown("before", began, ended, first)
        opened = ended + timedelta(days=1)
        if opened <= day <= first_open(closures, working, printer, opened):
            return Shutdown("after", began, ended, opened)
    return None


def first_open(closures: Closures, working: WorkingDays, printer: str, day: date) -> date:
    """That day, or the next one on which the workshop works and the printer is not closed."""
    while True:
        day = working.first_from(day)
        opened = closures.first_open(printer, day)
        if opened == day:
            return day
        day = opened


def _open_before(closures: Closures, working: WorkingDays, printer: str, day: date) -> date:
    """The last day before that one on which the workshop works and the printer is not closed."""
    day -= timedelta(days=1)
    while day.weekday() not in working.weekdays or closures.closed_on(printer, day):
        day -= timedelta(days=1)
    return day
