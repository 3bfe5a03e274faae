"""Is this program to be trusted? The workshop's own history played again.

Its forecasts as they would have been told month by month, held against what came
(``forecasts``), and its orders as they would have been advised, against two simple habits
(``costs``). Nothing that was not yet known on a day is used for what is said on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from tracker.replay.costs import AdviceCost, ScoredTime, advice_cost
from tracker.replay.forecasts import ForecastScore, PastForecasts
from tracker.replay.needs import Progress
from tracker.replay.past_advice import PastAdvice
from tracker.replay.past_fits import play_past
from tracker.workshop.records import Records

# Share of the time by which the past is fitted and told; the rest is the walk.
_TOLD = 0.8


@dataclass(frozen=True)
class Replay:
    """What the forecasts and the advice on orders were worth so far."""

    forecasts: ForecastScore
    advice: AdviceCost

    def as_dict(self) -> dict[str, Any]:
        """Everything as JSON can hold it."""
        return {**self.forecasts.as_dict(), "advice": self.advice.as_dict()}


def replay(records: Records, as_of: date, progress: Progress | None = None) -> Replay:
    """How right were the forecasts, and what would the advice on orders have cost?

    ``progress`` is told the share done, 0 to 1, and the day that is played.
    """

    def so_far(share: float, day: date) -> None:
        if progress is not None:
            progress(_TOLD * share, day)

    forecasts, advice = PastForecasts(records, as_of), None
    days, hearers = set(forecasts.days), [forecasts.hear]
    if ScoredTime.of(records, as_of).is_enough:
        advice = PastAdvice.of(records, as_of)
        days |= set(advice.days)
        hearers.append(advice.hear)
    play_past(records, days, hearers, so_far)
    if progress is not None:
        progress(_TOLD, as_of)
    walked = None if advice is None else advice.advice()
    return Replay(forecasts.score(), advice_cost(records, as_of, advice=walked))
