"""The month under review, and the months it is compared with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.arrays import Bools
from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records
from tracker.workshop.working_days import WRITTEN, first_of

MONTHS_BEFORE = 12


@dataclass(frozen=True)
class Period:
    """The month from ``first`` to ``last`` (both in it); ``before`` are the whole months of the
    log before it, the latest first, at most twelve. ``whole`` is False for a month not over yet.
    """

    first: date
    last: date
    whole: bool
    before: tuple[pd.Period, ...]

    @property
    def month(self) -> pd.Period:
        """The month as a pandas period."""
        return pd.Period(self.first, "M")

    @property
    def looked_at_from(self) -> date:
        """The first day of it and of the months that it is compared with."""
        return self.before[-1].start_time.date() if self.before else self.first

    def looks_at(self, days: pd.Series) -> Bools:
        """True for each day in it or in a month it is compared with."""
        since = pd.Timestamp(self.looked_at_from)
        until = pd.Timestamp(self.last) + pd.Timedelta(days=1)
        return ((days >= since) & (days < until)).to_numpy(dtype=bool)

    @property
    def eve(self) -> date:
        """The last day before the month: what the forecast knew."""
        return self.first - timedelta(days=1)


def period_of(records: Records, month: date, as_of: date | None) -> Period:
    """Which days does a review of that month look at, and what may it compare with?

    Raises UsageError where the day looked from lies before the month.
    """
    first = month.replace(day=1)
    end: date = (pd.Timestamp(first) + pd.offsets.MonthEnd(1)).date()
    last = end if as_of is None else min(end, as_of)
    if last < first:
        raise UsageError(
            _(
                "month: {first} had not begun on {last}; choose {latest} or an earlier month.",
                first=f"{first:%Y-%m}",
                last=last.isoformat(),
                latest=f"{last:%Y-%m}",
            )
        )
    began = first_day(records)
    before = []
    for back in range(1, MONTHS_BEFORE + 1):
        earlier = pd.Period(first, "M") - back
        if began is None or earlier.start_time.date() < began:
            break
        before.append(earlier)
    return Period(first, last, last == end, tuple(before))


def month_in_question(records: Records, as_of: date) -> date:
    """Which month is looked at first on that day? The last whole one, by its first day; the running
    one where the log is no older, and on its last day.
    """
    began = first_day(records) or as_of
    this_month = as_of.replace(day=1)
    is_over = (as_of + timedelta(days=1)).day == 1
    if is_over or began >= this_month:
        return this_month
    return (this_month - timedelta(days=1)).replace(day=1)


def first_day(records: Records) -> date | None:
    """The day the log began: as stated, else the first day on which work was written down."""
    if records.log_began_on is not None:
        return records.log_began_on
    first = first_of(records, WRITTEN)
    return None if first is None else first.date()


def is_silent(records: Records, period: Period) -> bool:
    """True where a log that began before holds not one entry of the period."""
    began = first_day(records)
    if began is None or began >= period.first:
        return False
    first, last = day_number(period.first), day_number(period.last)
    days = (records.days_written(table, column) for table, column in WRITTEN)
    return not any(((own >= first) & (own <= last)).any() for own in days)


def compared(period: Period, by_month: pd.DataFrame) -> pd.DataFrame:
    """A table of months × things as things × (this month, the month before, the yearly mean).

    ``by_month`` has monthly periods as index. Means are over the months the log holds; NaN where
    it holds none.
    """
    months = list(period.before)
    by_month = by_month.astype(float)
    this = by_month.reindex([period.month]).fillna(0.0).iloc[0]
    earlier = by_month.reindex(months).fillna(0.0)
    return pd.DataFrame(
        {
            "this_month": this,
            "month_before": earlier.iloc[0] if months else np.nan,
            "mean_before": earlier.mean() if months else np.nan,
        }
    )


def by_month(days: pd.Series, thing: pd.Series, amount: pd.Series | float = 1.0) -> pd.DataFrame:
    """Months × things, the amounts added up; of a long log only the days that are looked at."""
    what, things = pd.factorize(thing, sort=True)
    there = days.notna().to_numpy() & (what >= 0)
    month = days.to_numpy()[there].astype("datetime64[M]").astype(np.int64)
    seen, row = np.unique(month, return_inverse=True)
    each = np.nan_to_num(np.broadcast_to(np.asarray(amount, dtype=float), len(days))[there])
    shape = len(seen), len(things)
    sums = np.bincount(row * shape[1] + what[there], each, shape[0] * shape[1]).reshape(shape)
    # Periods count their months from 1970 on, as numpy does.
    index = pd.PeriodIndex.from_ordinals(seen, freq="M", name="month")
    return pd.DataFrame(sums, index, pd.Index(things, name="thing"))
