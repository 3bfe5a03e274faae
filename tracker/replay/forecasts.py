"""Would the forecasts have been right so far? The workshop's own history, month by month.

At each month's start the outlook is computed from what was known then, and held against what came.
Scored is "fails within 30 days": the Brier score (Brier 1950, mean squared error of the chance)
against that of always telling the share seen so far, and the number foretold against the number
that came; parts taken out working within the 30 days say nothing either way and are left out.
And scored are the ranges of remaining life (``coverage``), of parts whose age was known.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.forecast.need import NeedModel, need_models, rows_of_each_life
from tracker.forecast.outlook import outlook
from tracker.lives.life_table import life_table
from tracker.replay.coverage import Coverage, coverage
from tracker.replay.needs import Progress, first_day_of
from tracker.workshop.records import Records

HORIZON_DAYS = 30
LEAST_FORECASTS = 50  # below this, and below LEAST_FAILURES, a score says nothing
LEAST_FAILURES = 5
RANGES = (0.8, 0.5)
_NORMAL_95 = 1.959964


@dataclass(frozen=True)
class Gain:
    """By how much smaller a mean squared error is than another, as a share, with 95 % limits."""

    share: float
    lower: float
    upper: float


@dataclass(frozen=True)
class ForecastScore:
    """What the forecasts were worth; ``months`` has one row per month played again.

    ``brier`` of the forecasts and ``brier_base_rate`` of the share seen until then are None where
    the log is too short to judge; ``gain`` is by how much smaller the first is (negative: larger),
    a share of the second, with its 95 % limits. ``coverage`` of the ranges, largest range first,
    is empty then; ``coverage_later`` is that of the later half of the months, which lean less on
    the catalogue.
    """

    months: tuple[Mapping[str, Any], ...]
    forecasts: int
    foretold: float
    came: int
    brier: float | None
    brier_base_rate: float | None
    gain: Gain | None
    coverage: tuple[Coverage, ...]
    coverage_later: tuple[Coverage, ...]

    def as_dict(self) -> dict[str, Any]:
        """Everything as JSON can hold it."""
        return {
            "horizon_days": HORIZON_DAYS,
            "forecasts": self.forecasts,
            "foretold": self.foretold,
            "came": self.came,
            "brier": self.brier,
            "brier_base_rate": self.brier_base_rate,
            "gain": None if self.gain is None else asdict(self.gain),
            "coverage": [asdict(found) for found in self.coverage],
            "coverage_later": [asdict(found) for found in self.coverage_later],
            "months": [dict(month) for month in self.months],
        }


def month_starts(records: Records, last: date) -> list[date]:
    """The first days of months from the log's second month on, up to ``last``."""
    begins = first_day_of(records)
    if begins is None:
        return []
    return [day.date() for day in pd.date_range(begins + timedelta(days=1), last, freq="MS")]


def forecast_score(
    records: Records, as_of: date, progress: Progress | None = None
) -> ForecastScore:
    """How right were the forecasts of failures and of remaining life, by what was known then?"""
    days = month_starts(records, as_of - timedelta(days=1))
    fate = life_table(records, as_of)
    judged_until = as_of - timedelta(days=HORIZON_DAYS)
    months: list[dict[str, Any]] = []
    errors, base_errors, parts, reached = [], [], [], []
    seen, seen_failed = 0, 0
    for number, day in enumerate(days):
        if progress is not None:
            progress(number / len(days), day)
        lives = life_table(records, day)
        models = need_models(records, day, lives)
        reached.append(_reached(lives, models, fate, day, as_of))
        if day > judged_until:
            continue
        chances, happened, whose = _judged(outlook(records, day, HORIZON_DAYS, models), fate, day)
        if not len(chances):
            continue
        # The usual share as known then; one failure in a hundred before anything was seen.
        share = (seen_failed + 1) / (seen + 100)
        errors.append((chances - happened) ** 2)
        base_errors.append((share - happened) ** 2)
        parts.append(whose)
        seen, seen_failed = seen + len(chances), seen_failed + int(happened.sum())
        months.append(
            {
                "month": f"{day:%Y-%m}",
                "parts": len(chances),
                "foretold": float(chances.sum()),
                "came": int(happened.sum()),
            }
        )
    enough = seen >= LEAST_FORECASTS and seen_failed >= LEAST_FAILURES
    gain = None
    if enough:
        gain = gain_of(np.concatenate(errors), np.concatenate(base_errors), np.concatenate(parts))
    return ForecastScore(
        months=tuple(months),
        forecasts=seen,
        foretold=float(sum(month["foretold"] for month in months)),
        came=seen_failed,
        brier=float(np.concatenate(errors).mean()) if enough else None,
        brier_base_rate=float(np.concatenate(base_errors).mean()) if enough else None,
        gain=gain,
        coverage=_coverage(reached) if enough else (),
        coverage_later=_coverage(reached[len(reached) // 2 :]) if enough else (),
    )


def gain_of(
    errors: NDArray[np.float64], base_errors: NDArray[np.float64], part: NDArray[np.int64]
) -> Gain:
    """By how much are the squared errors smaller than the others, forecast by forecast?

    ``part`` names whose forecast each is: those of one part hang together, so the standard error of
    the ratio is summed over parts (ratio estimate from clusters; Cochran, 1977, Sampling
    Techniques, section 9A.2).

    >>> gain_of(np.array([0.5, 0.7, 0.6]), np.ones(3), np.arange(3))
    Gain(share=0.4, lower=0.2868, upper=0.5132)
    """
    ratio = errors.sum() / base_errors.sum()
    whose = np.unique(part, return_inverse=True)[1]
    off = np.bincount(whose, errors - ratio * base_errors)
    error = np.sqrt(np.sum(off**2) * len(off) / max(len(off) - 1, 1)) / base_errors.sum()
    share, half = 1 - ratio, _NORMAL_95 * error
    return Gain(*(round(float(end), 4) for end in (share, share - half, share + half)))


def _coverage(reached: list[pd.DataFrame]) -> tuple[Coverage, ...]:
    every = pd.concat(reached)
    found = [
        coverage(every["reached"], every["failed"], every.index.to_numpy(), size) for size in RANGES
    ]
    return tuple(one for one in found if one is not None)


def _reached(
    lives: pd.DataFrame,
    models: Mapping[str, NeedModel],
    fate: pd.DataFrame,
    day: date,
    as_of: date,
) -> pd.DataFrame:
    """Per part running on that day (index: its fitting): the chance told of failing by the day
    on which it ``failed`` or was last seen good (``reached``)."""
    running = lives[lives["outcome"].eq("running") & lives["age"].gt(0)]
    running = running[running["part_kind"].isin([k for k, own in models.items() if own.wears])]
    later = fate.loc[running.index]
    last = later["removed_on"].fillna(pd.Timestamp(as_of))
    ahead = (last - pd.Timestamp(day)).dt.days.to_numpy(dtype=float)
    age = running["age"].to_numpy(dtype=float)
    chance = np.zeros(len(running))
    for (kind, name), rows in rows_of_each_life(models, running).items():
        life = models[kind].posterior(name)
        chance[rows] = life.failure_chance(age[rows] + ahead[rows], age[rows])
    failed = later["outcome"].isin(("failed", "accident")).to_numpy()
    return pd.DataFrame({"reached": chance, "failed": failed}, index=running.index)


def _judged(
    parts: pd.DataFrame, fate: pd.DataFrame, day: date
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """The chances told on that day, whether it came so (1 or 0), and of which fitting each is, for
    parts whose fate is known.

    ``parts`` and ``fate`` share the fitting's index.
    """
    later = fate.loc[parts.index]
    gone = later["removed_on"] <= pd.Timestamp(day) + pd.Timedelta(days=HORIZON_DAYS)
    failed = (gone & later["outcome"].isin(("failed", "accident"))).to_numpy()
    judged = failed | ~gone.to_numpy()
    chances = parts["chance_of_failure"].to_numpy(dtype=float)
    return chances[judged], failed[judged].astype(float), parts.index.to_numpy()[judged]
