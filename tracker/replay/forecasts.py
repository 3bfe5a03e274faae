"""Would the forecasts have been right so far? The workshop's own history, month by month.

At each month's start the chances are told from what was known then, and held against what came.
Scored is "fails within 30 days": the Brier score (Brier 1950, mean squared error of the chance)
against those of two chances that hang on no age (``base_rates``), and the number foretold against
the number that came; parts taken out working within the 30 days say nothing either way and are
left out. And scored are the ranges of remaining life (``coverage``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.fitted_lives import FittedLives
from tracker.lives.life_table import life_table
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.replay.base_rates import base_chances
from tracker.replay.coverage import Coverage, coverage
from tracker.replay.gains import Gain, gain_of
from tracker.replay.past_fits import month_starts
from tracker.workshop.records import Records

HORIZON_DAYS = 30
LEAST_FORECASTS = 50  # below this, and below LEAST_FAILURES, a score says nothing
LEAST_FAILURES = 5
RANGES = (0.8, 0.5)
_GROWS = 1.5  # days ahead at which chances are computed: each so many times the one before


@dataclass(frozen=True)
class ForecastScore:
    """What the forecasts were worth; ``months`` has one row per month played again.

    Brier scores are those of the forecasts (``brier``), of each kind's own rate seen until then
    (``brier_kind_rate``) and of a constant hazard per kind, ink and type with the catalogue's
    belief (``brier_age_free``); ``gain_kind_rate`` and ``gain_age_free`` are what the forecasts
    gained over these. All are None where the log is too short to judge. ``coverage`` of the ranges,
    largest range first, is empty then; ``coverage_later`` is that of the later half of the months,
    which lean less on the catalogue.
    """

    months: tuple[Mapping[str, Any], ...]
    forecasts: int
    foretold: float
    came: int
    brier: float | None
    brier_kind_rate: float | None
    brier_age_free: float | None
    gain_kind_rate: Gain | None
    gain_age_free: Gain | None
    coverage: tuple[Coverage, ...]
    coverage_later: tuple[Coverage, ...]

    def as_dict(self) -> dict[str, Any]:
        """Everything as JSON can hold it."""
        return {"horizon_days": HORIZON_DAYS, **asdict(self)}


@dataclass(frozen=True, eq=False)
class _Judged:
    """Forecasts of 30 days whose fate is known, one entry each."""

    told: Array
    kind_rate: Array
    age_free: Array
    happened: Array  # 1 or 0
    fitting: Ints

    @classmethod
    def joined(cls, parts: list[_Judged]) -> _Judged:
        return cls(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(cls)))

    def take(self, rows: Bools) -> _Judged:
        return _Judged(*(getattr(self, f.name)[rows] for f in fields(self)))


@dataclass(frozen=True, eq=False)
class _Reached:
    """Per part running on a day: the chance told then of failing by the day on which it ``failed``
    or was last seen good."""

    chance: Array
    failed: Bools
    fitting: Ints


class PastForecasts:
    """Hears the fits of past months and remembers what each foretold, beside what came."""

    def __init__(self, records: Records, as_of: date) -> None:
        self.days = month_starts(records, as_of - timedelta(days=1))
        self._as_of = as_of
        self._fate = life_table(records, as_of)
        self._months: dict[str, _Judged] = {}
        self._reached: list[_Reached] = []

    def hear(self, fitted: FittedLives) -> None:
        """Take in what was foretold on the day of this fit, if that is one of ``days``."""
        if fitted.as_of not in self.days or fitted.draws is None or fitted.running.empty:
            return
        day, running = fitted.as_of, fitted.running.index
        fate, parts = self._fate.loc[running], fitted.parts(running)
        failed = fate["outcome"].isin(("failed", "accident")).to_numpy(dtype=bool)
        last = fate["removed_on"].fillna(pd.Timestamp(self._as_of))
        ahead = (last - pd.Timestamp(day)).dt.days.to_numpy(dtype=float)
        soon = fitted.draws.chance_of_failure(parts, HORIZON_DAYS)[:, 0]
        by_then = _chances(fitted.draws, parts, ahead)
        fitting = running.to_numpy(np.int64)
        self._reached.append(_Reached(by_then, failed, fitting))
        if day > self._as_of - timedelta(days=HORIZON_DAYS):
            return
        base = base_chances(fitted, parts, HORIZON_DAYS)
        gone = fate["removed_on"].notna().to_numpy() & (ahead <= HORIZON_DAYS)
        told = _Judged(soon, base.kind_rate, base.age_free, (gone & failed).astype(float), fitting)
        self._months[f"{day:%Y-%m}"] = told.take(failed | ~gone)

    def score(self) -> ForecastScore:
        """How right was what was heard so far?"""
        judged = {month: own for month, own in self._months.items() if len(own.told)}
        forecasts = sum(len(own.told) for own in judged.values())
        came = int(sum(own.happened.sum() for own in judged.values()))
        score = ForecastScore(
            months=tuple(
                {
                    "month": month,
                    "parts": len(own.told),
                    "foretold": float(own.told.sum()),
                    "came": int(own.happened.sum()),
                }
                for month, own in judged.items()
            ),
            forecasts=forecasts,
            foretold=float(sum(own.told.sum() for own in judged.values())),
            came=came,
            brier=None,
            brier_kind_rate=None,
            brier_age_free=None,
            gain_kind_rate=None,
            gain_age_free=None,
            coverage=(),
            coverage_later=(),
        )
        if forecasts < LEAST_FORECASTS or came < LEAST_FAILURES:
            return score
        return replace(score, **self._figures())

    def _figures(self) -> dict[str, Any]:
        every = _Judged.joined(list(self._months.values()))

        def brier(told: Array) -> float:
            return float(((told - every.happened) ** 2).mean())

        def gain(base: Array) -> Gain:
            return gain_of(every.told, base, every.happened, every.fitting)

        return {
            "brier": brier(every.told),
            "brier_kind_rate": brier(every.kind_rate),
            "brier_age_free": brier(every.age_free),
            "gain_kind_rate": gain(every.kind_rate),
            "gain_age_free": gain(every.age_free),
            "coverage": _coverage(self._reached),
            "coverage_later": _coverage(self._reached[len(self._reached) // 2 :]),
        }


def _chances(draws: LifeDraws, parts: Parts, ahead: Array) -> Array:
    """Each part's chance of failing within ``ahead`` days of its own.

    Read from a table of days between which the hazard gathered is taken for a power of the days,
    as a Weibull life's is: right to 0.002.
    """
    longest = max(float(ahead.max()), _GROWS)
    days = np.geomspace(1.0, longest, int(np.ceil(np.log(longest) / np.log(_GROWS))) + 1)
    chance = np.minimum(draws.chance_of_failure(parts, days), 1 - 1e-15)
    gathered = np.log(np.maximum(-np.log1p(-chance), 1e-300))
    at = [
        np.interp(np.log(own), np.log(days), line)
        for own, line in zip(ahead, gathered, strict=True)
    ]
    return -np.expm1(-np.exp(np.array(at)))


def _coverage(reached: list[_Reached]) -> tuple[Coverage, ...]:
    chance, failed, fitting = (
        np.concatenate([getattr(one, name) for one in reached])
        for name in ("chance", "failed", "fitting")
    )
    found = [coverage(chance, failed, fitting, size) for size in RANGES]
    return tuple(one for one in found if one is not None)
