"""Key figures of the month: by their standard names, and the three that are looked at first.

Names after IEC 60050-192 (mean operating time between failures, mean down time, availability) and
EN 15341 (maintenance indicators).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tracker.lives.life_table import life_table
from tracker.review.happened import Happened, what_happened
from tracker.review.period import Period, is_silent, month_in_question, period_of
from tracker.workshop.records import Records


@dataclass(frozen=True)
class KeyFigures:
    """The month's key figures, None where it gives none.

    Hours in working hours of all printers: ``operating_hours`` less those stood still;
    ``between_failures`` that time per part that failed or met an accident (mean operating time
    between failures); ``down_time`` hours stood still per stoppage begun in the month;
    ``availability`` operating hours as a share of both together; ``corrective_share`` what went on
    failures, accidents and symptoms as a share of all maintenance.
    """

    operating_hours: float
    between_failures: float | None
    down_time: float | None
    availability: float | None
    corrective_share: float | None


def key_figures(happened: Happened) -> KeyFigures:
    """What do failures, downtime and money of the month come to by the standards' definitions?"""
    failures = int(happened.failures["this_month"].sum())
    stops = int(happened.stops["this_month"].sum())
    down = float(happened.hours["this_month"].sum())
    up = max(happened.operating_hours, 0.0)
    cost = happened.upkeep_cost
    return KeyFigures(
        operating_hours=up,
        between_failures=up / failures if failures else None,
        down_time=down / stops if stops else None,
        availability=up / (up + down) if up + down > 0 else None,
        corrective_share=happened.corrective / cost if cost > 0 else None,
    )


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
    return _glance(records, period_of(records, month_in_question(records, as_of), as_of))


def running_glance(records: Records, as_of: date) -> MonthGlance | None:
    """How does the month stand that is not over yet? None where it is the one that
    ``month_glance`` tells, and where nothing is written down of it.
    """
    period = period_of(records, as_of, as_of)
    if period.first == month_in_question(records, as_of) or is_silent(records, period):
        return None
    return _glance(records, period)


def _glance(records: Records, period: Period) -> MonthGlance:
    known = records.known_at(period.last)
    return glance_of(what_happened(known, life_table(known, period.last), period), period)


def glance_of(happened: Happened, period: Period) -> MonthGlance:
    """The three figures of a month beside the usual, of what happened in it."""
    failures, hours, money = (
        Compared(float(table["this_month"].sum()), float(table["mean_before"].sum(min_count=1)))
        for table in (happened.failures, happened.hours, happened.money)
    )
    return MonthGlance(period.first, period.whole, len(period.before), failures, hours, money)
