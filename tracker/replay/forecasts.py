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
from tracker.replay.needs import Progress
from tracker.say import numbers
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

    @property
    def in_words(self) -> str:
        """Better or worse, with the limits, and whether chance alone can do it.

        >>> Gain(0.08, 0.03, 0.13).in_words
        '8 % better (95 % sure: 3 to 13 %)'
        >>> Gain(-0.02, -0.06, 0.02).in_words
        '2 % worse (95 % sure: between 6 % worse and 2 % better, so chance alone can do that)'
        """
        better = "better" if self.share >= 0 else "worse"
        low, high = sorted(100 * abs(end) for end in (self.lower, self.upper))
        limits = f"{low:.0f} to {high:.0f} %"
        if self.lower < 0 < self.upper:
            limits = (
                f"between {-100 * self.lower:.0f} % worse and {100 * self.upper:.0f} % better, so "
                "chance alone can do that"
            )
        return f"{100 * abs(self.share):.0f} % {better} (95 % sure: {limits})"


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

    @property
    def sentence(self) -> str:
        """The finding in a sentence or two, or why there is none."""
        if self.gain is None:
            return (
                f"Too short a log to judge: {numbers.count(self.forecasts, 'forecast')} and "
                f"{numbers.count(self.came, 'failure')} so far; it takes about {LEAST_FORECASTS} "
                f"and {LEAST_FAILURES}."
            )
        return (
            f"Over {numbers.count(len(self.months), 'month')} the forecasts foretold "
            f"{self.foretold:.1f} failures within {HORIZON_DAYS} days and {self.came} came; they "
            f"were {self.gain.in_words} than telling every part the usual share.{self._ranges()}"
        )

    def _ranges(self) -> str:
        if not self.coverage:
            return " Too few lives have ended to judge the ranges of remaining life."
        told = [
            f"{100 * found.share:.0f} % ended inside the {100 * found.nominal:.0f} % range told "
            f"(95 % sure: {100 * found.lower:.0f} to {100 * found.upper:.0f} %)"
            for found in self.coverage
        ]
        later = [
            f"{100 * found.share:.0f} % inside the {100 * found.nominal:.0f} % range"
            for found in self.coverage_later
        ]
        ending = f"; told in the later half of the months, {' and '.join(later)}" if later else ""
        return f" Of the lives {', '.join(told)}{ending}."

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
    begins = records.log_began_on
    if begins is None:
        if records.fittings["fitted_on"].isna().all():
            return []
        begins = records.fittings["fitted_on"].min().date()
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
        told, happened, whose = _judged(outlook(records, day, HORIZON_DAYS, models), fate, day)
        if not len(told):
            continue
        # The usual share as known then; one failure in a hundred before anything was seen.
        share = (seen_failed + 1) / (seen + 100)
        errors.append((told - happened) ** 2)
        base_errors.append((share - happened) ** 2)
        parts.append(whose)
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
    told = parts["chance_of_failure"].to_numpy(dtype=float)
    return told[judged], failed[judged].astype(float), parts.index.to_numpy()[judged]
