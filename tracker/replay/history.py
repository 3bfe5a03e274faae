"""Is this program to be trusted? The workshop's own history played again.

Its forecasts as they would have been told month by month, held against what came
(``forecasts``), and its orders as they would have been advised, against two simple habits
(``costs``). Nothing that was not yet known on a day is used for what is said on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from tracker.replay.costs import AdviceCost, advice_cost
from tracker.replay.forecasts import ForecastScore, forecast_score
from tracker.replay.needs import Progress
from tracker.workshop.records import Records

# Shares of the time by which the forecasts and the advice are through; the rest is the walk.
_FORECASTS, _ADVICE = 0.2, 0.8


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

    def part(begin: float, end: float) -> Progress | None:
        if progress is None:
            return None
        return lambda share, day: progress(begin + (end - begin) * share, day)

    return Replay(
        forecast_score(records, as_of, part(0.0, _FORECASTS)),
        advice_cost(records, as_of, progress=part(_FORECASTS, _ADVICE)),
    )
