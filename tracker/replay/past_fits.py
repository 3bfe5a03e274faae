"""The life model as it stood on days of the past: one fit a day, shared by all that is judged.

A fit is what playing a history again takes most of its time for. So the forecasts and the levels of
stock are told from the same ones, at the start of the log and of every month in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta

import pandas as pd

from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.replay.needs import Progress, first_day_of
from tracker.workshop.records import Records

FUTURES = 1000  # played on each past day: many days make up for few futures
# Told each fit in turn.
Hearer = Callable[[FittedLives], None]


def month_starts(records: Records, last: date) -> list[date]:
    """The first days of months from the log's second month on, up to ``last``."""
    begins = first_day_of(records)
    if begins is None:
        return []
    return [day.date() for day in pd.date_range(begins + timedelta(days=1), last, freq="MS")]


def play_past(
    records: Records,
    days: Iterable[date],
    hearers: Sequence[Hearer],
    progress: Progress | None = None,
) -> None:
    """Fit on each of these days, in their order, and let every hearer have each fit.

    ``progress`` is told the share done and the day that is played.
    """
    in_order = sorted(set(days))
    fitted: FittedLives | None = None
    for number, day in enumerate(in_order):
        if progress is not None:
            progress(number / len(in_order), day)
        fitted = fit_lives(records, day, near=fitted)
        for hear in hearers:
            hear(fitted)
