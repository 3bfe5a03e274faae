"""Would the forecasts have been right so far? The workshop's own history, month by month.

At each month's start the outlook is computed from what was known then, and held against what came.
Scored is "fails within 30 days": the Brier score (Brier 1950, mean squared error of the chance)
against that of always telling the share seen so far, and the number foretold against the number
that came. Parts taken out working within the 30 days say nothing either way and are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tracker.decisions import wording
from tracker.decisions.remaining_life import outlook
from tracker.lives.life_table import life_table
from tracker.records.model import Records

HORIZON_DAYS = 30
LEAST_FORECASTS = 50  # below this, and below LEAST_FAILURES, a score says nothing
LEAST_FAILURES = 5


@dataclass(frozen=True)
class Replay:
    """What the forecasts were worth; ``months`` has one row per month played again.

    ``brier`` of the forecasts and ``brier_base_rate`` of the share seen until then are None where
    the log is too short to judge.
    """

    months: tuple[Mapping[str, Any], ...]
    forecasts: int
    foretold: float
    came: int
    brier: float | None
    brier_base_rate: float | None

    @property
    def sentence(self) -> str:
        """The finding in one sentence, or why there is none."""
        if self.brier is None or self.brier_base_rate is None:
            return (
                f"Too short a log to judge: {wording.count(self.forecasts, 'forecast')} and "
                f"{wording.count(self.came, 'failure')} so far; it takes about {LEAST_FORECASTS} "
                f"and {LEAST_FAILURES}."
            )
        gain = 1 - self.brier / self.brier_base_rate if self.brier_base_rate else 0.0
        better = "better" if gain >= 0 else "worse"
        return (
            f"Over {wording.count(len(self.months), 'month')} the forecasts foretold "
            f"{self.foretold:.1f} failures within {HORIZON_DAYS} days and {self.came} came; they "
            f"were {abs(gain):.0%} {better} than telling every part the usual share."
        )

    def rows(self) -> list[dict[str, Any]]:
        """The months as rows for a table."""
        return [dict(month) for month in self.months]

    def as_dict(self) -> dict[str, Any]:
        """Everything as JSON can hold it."""
        return {
            "horizon_days": HORIZON_DAYS,
            "forecasts": self.forecasts,
            "foretold": self.foretold,
            "came": self.came,
            "brier": self.brier,
            "brier_base_rate": self.brier_base_rate,
            "months": self.rows(),
            "sentence": self.sentence,
        }


def replay(records: Records, as_of: date) -> Replay:
    """How right were the forecasts of "fails within 30 days", by what was known at the time?"""
    days = _month_starts(records, as_of - timedelta(days=HORIZON_DAYS))
    fate = life_table(records, as_of)
    months: list[dict[str, Any]] = []
    errors, base_errors = [], []
    seen, seen_failed = 0, 0
    for day in days:
        told, happened = _judged(outlook(records, day, HORIZON_DAYS), fate, day)
        if not len(told):
            continue
        # The usual share as known then; one failure in a hundred before anything was seen.
        share = (seen_failed + 1) / (seen + 100)
        errors.append((told - happened) ** 2)
        base_errors.append((share - happened) ** 2)
        seen, seen_failed = seen + len(told), seen_failed + int(happened.sum())
        months.append(
            {
                "month": f"{day:%Y-%m}",
                "parts": len(told),
                "foretold": float(told.sum()),
                "came": int(happened.sum()),
            }
        )
    enough = seen >= LEAST_FORECASTS and seen_failed >= LEAST_FAILURES
    return Replay(
        months=tuple(months),
        forecasts=seen,
        foretold=float(sum(month["foretold"] for month in months)),
        came=seen_failed,
        brier=float(np.concatenate(errors).mean()) if enough else None,
        brier_base_rate=float(np.concatenate(base_errors).mean()) if enough else None,
    )


def _month_starts(records: Records, last: date) -> list[date]:
    """The first days of months from the log's second month on, up to ``last``."""
    begins = records.log_began_on
    if begins is None:
        if records.fittings["fitted_on"].isna().all():
            return []
        begins = records.fittings["fitted_on"].min().date()
    return [day.date() for day in pd.date_range(begins + timedelta(days=1), last, freq="MS")]


def _judged(parts: pd.DataFrame, fate: pd.DataFrame, day: date) -> tuple[np.ndarray, np.ndarray]:
    """The chances told on that day and whether it came so (1 or 0), for parts whose fate is known.

    ``parts`` and ``fate`` share the fitting's index.
    """
    later = fate.loc[parts.index]
    gone = later["removed_on"] <= pd.Timestamp(day) + pd.Timedelta(days=HORIZON_DAYS)
    failed = (gone & later["outcome"].isin(("failed", "accident"))).to_numpy()
    judged = failed | ~gone.to_numpy()
    told = parts["chance_of_failure"].to_numpy(dtype=float)
    return told[judged], failed[judged].astype(float)
