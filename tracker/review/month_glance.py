"""The last month in three figures beside what is usual; the whole review is ``month``."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from tracker.lives.life_table import life_table
from tracker.review.happened import what_happened
from tracker.review.period import first_day, period_of
from tracker.workshop.records import Records


@dataclass(frozen=True)
class Compared:
    """A figure of the month and its mean over the months before; NaN where there are none."""

    this: float
    usual: float


@dataclass(frozen=True)
class MonthGlance:
    """Failures and accidents, working hours that printers stood still, and money of a month.

    ``month`` is its first day; ``whole`` False where it is not over; ``months_compared`` earlier
    months stand behind what is usual. ``money``: parts, work, standing and scrap less what was
    credited, in currency units.
    """

    month: date
    whole: bool
    months_compared: int
    failures: Compared
    hours: Compared
    money: Compared


def month_glance(records: Records, as_of: date) -> MonthGlance:
    """Was the last whole month worse than usual? The running one where the log is no older."""
    began = first_day(records) or as_of
    this_month = as_of.replace(day=1)
    is_over = (as_of + timedelta(days=1)).day == 1
    last_month = (this_month - timedelta(days=1)).replace(day=1)
    month = this_month if is_over or began >= this_month else last_month
    period = period_of(records, month, as_of)
    known = records.known_at(period.last)
    happened = what_happened(known, life_table(known, period.last), period)
    failures, hours, money = (
        Compared(float(table["this_month"].sum()), float(table["mean_before"].sum(min_count=1)))
        for table in (happened.failures, happened.hours, happened.money)
    )
    return MonthGlance(period.first, period.whole, len(period.before), failures, hours, money)
