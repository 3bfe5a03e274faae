"""The forecasts of every past month played again and scored, without orders and costs."""

from __future__ import annotations

from datetime import date

from tracker.replay.forecasts import ForecastScore, PastForecasts
from tracker.replay.past_fits import play_past
from tracker.workshop.records import Records


def past_score(records: Records, as_of: date) -> ForecastScore:
    """How right were the forecasts, by what was known then?"""
    past = PastForecasts(records, as_of)
    play_past(records, past.days, [past.hear])
    return past.score()
