"""How long will each fitted part last, in days and in printed area?

Every part that is running now gets its chance of failing within the days asked for, by wear or
accident, and its remaining life, with all parameter uncertainty in both. The waste tank is left
out: it is emptied or changed by its level, so its age tells nothing; the due list covers it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracker.arrays import Array
from tracker.errors import UsageError
from tracker.forecast.need import NeedModel, need_models, rows_of_each_life
from tracker.forecast.part_ages import ages_if_unknown
from tracker.lives.life_table import life_table
from tracker.lives.unknown_age import PossibleAges
from tracker.lives.usage import printing_rate
from tracker.models.life_model.competing import CompetingPosterior
from tracker.models.life_model.life_forecast import log_cumulative, rising_root
from tracker.models.life_model.nodes import LifeNodes
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "position",
    "site",
    "ink",
    "age_days",
    "chance_of_failure",
    "chance_low",
    "chance_high",
    "days_p10",
    "days_p50",
    "days_p90",
    "area_p10",
    "area_p50",
    "area_p90",
    "failures",
    "belief_share",
    "age_p10",
    "age_p90",
)
RANGE = (0.1, 0.5, 0.9)
LEVEL = 0.8  # of the limits of the chance
_POINTS = 512  # equally likely life curves behind those limits
# Three-point Gauss–Hermite rule for the printing rate's own uncertainty.
_RATE_STEPS = np.array([-(3**0.5), 0.0, 3**0.5])
_RATE_WEIGHTS = np.array([1 / 6, 2 / 3, 1 / 6])


def outlook(
    records: Records,
    as_of: date,
    days: float,
    models: dict[str, NeedModel] | None = None,
) -> pd.DataFrame:
    """Which fitted parts are likely to fail within the days, and how long does each last?

    One row per running fitting (index: the fitting's index), likeliest to fail first:
    ``part_kind, variant, printer, position, site, ink``; ``age_days`` (NaN where the
    fitting day is not known); ``chance_of_failure`` within ``days``, wear or accident, and
    ``chance_low``, ``chance_high``, the 80 % limits of that chance; ``days_p10, days_p50,
    days_p90``, the days
    from now by which it has failed with chance 10, 50 and 90 %; ``area_p10, …`` the same in m²
    at the printer's rate of the last 90 days, the rate's standard error included (NaN where the
    rate or its error is not known); ``failures`` and ``belief_share``, the evidence behind it;
    ``age_p10`` and ``age_p90``, between which the age lies in 8 of 10 cases.

    A part whose fitting day is not known is averaged over the ages it may have
    (``lives.unknown_age``). ``models`` may be given where ``need_models`` was already asked.

    Raises UsageError where ``days`` is not above 0.
    """
    if not 0 < days < np.inf:
        raise UsageError(
            f"days: {days:g} is no time to look ahead; give a number above 0, e.g. 30."
        )
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    models = need_models(known, as_of, lives) if models is None else models
    watching = lives["outcome"].eq("running") & (lives["age"].gt(0) | lives["age"].isna())
    skipped = [kind for kind, model in models.items() if not model.wears]
    running = lives[watching & ~lives["part_kind"].isin(skipped)]
    parts = [
        PossibleAges.certain(age) if law is None else law
        for age, law in zip(
            running["age"], ages_if_unknown(known, as_of, running, models), strict=True
        )
    ]
    rates = printing_rate(known, as_of)
    rate = _of_printer(rates["area_m2_per_day"], running["printer"])
    error = _of_printer(rates["std_error"], running["printer"]) / rate
    forecasts = np.full((len(running), 9), np.nan)
    behind = np.full((len(running), 2), np.nan)
    for (kind, name), rows in rows_of_each_life(models, running).items():
        posterior = models[kind].posterior(name)
        forecasts[rows] = _forecast(
            posterior, [parts[row] for row in rows], days, rate[rows], error[rows]
        )
        behind[rows] = posterior.failures, posterior.belief_share
    order = np.argsort(-forecasts[:, 0], kind="stable")
    table = {name: running[name].to_numpy(dtype=object)[order] for name in COLUMNS[:6]}
    table["age_days"] = running["age"].to_numpy(dtype=float)[order]
    table.update(zip(COLUMNS[7:16], forecasts[order].T, strict=True))
    table["failures"] = behind[order, 0].astype(int)
    table["belief_share"] = behind[order, 1]
    for name, share in (("age_p10", 0.1), ("age_p90", 0.9)):
        table[name] = np.array([parts[row].quantile(share) for row in order], dtype=float)
    return pd.DataFrame(table, index=running.index[order], columns=list(COLUMNS))


def _forecast(
    posterior: CompetingPosterior,
    parts: list[PossibleAges],
    days: float,
    rate: Array,
    error: Array,
) -> Array:
    """The nine numbers of COLUMNS from the chance to the area, by part; equal parts once."""
    keys = [
        (*part.ages, own_rate, own_error)
        for part, own_rate, own_error in zip(parts, rate, error, strict=True)
    ]
    first = {key: i for i, key in reversed(list(enumerate(map(str, keys))))}
    chosen = sorted(first.values())
    number = {row: i for i, row in enumerate(chosen)}
    ages = _Ages.of([parts[row] for row in chosen])
    chance = ages.average(posterior.failure_chance(ages.ages + days, ages.ages))
    low, high = _limits(posterior.points(_POINTS), ages, days)
    ahead = _ahead(posterior, ages)
    area = rate[chosen][:, None] * _in_area(posterior, ages, ahead, error[chosen])
    forecasts = np.column_stack((chance, low, high, ahead, area))
    return forecasts[[number[first[str(key)]] for key in keys]]


@dataclass(frozen=True, eq=False)
class _Ages:
    """The possible ages of several parts end to end; ``part`` says whose each is."""

    ages: Array
    chances: Array
    part: npt.NDArray[np.intp]
    size: int

    @classmethod
    def of(cls, parts: list[PossibleAges]) -> _Ages:
        counts = [len(part.ages) for part in parts]
        return cls(
            np.concatenate([part.ages for part in parts]),
            np.concatenate([part.chances for part in parts]),
            np.repeat(np.arange(len(parts)), counts),
            len(parts),
        )

    def average(self, values: Array) -> Array:
        """One value per part from one per possible age."""
        return np.bincount(self.part, self.chances * values, minlength=self.size).astype(float)


def _limits(points: LifeNodes, ages: _Ages, days: float) -> tuple[Array, Array]:
    gained = points.cumulative_hazard(ages.ages + days) - points.cumulative_hazard(ages.ages)
    chance = -np.expm1(-np.maximum(gained, 0)) * ages.chances
    starts = np.searchsorted(ages.part, np.arange(ages.size))
    by_part = np.sort(np.add.reduceat(chance, starts, axis=1), axis=0)
    ends = np.round((0.5 + LEVEL * np.array([-0.5, 0.5])) * (len(points) - 1)).astype(int)
    low, high = by_part[ends]
    return low, high


def _ahead(posterior: CompetingPosterior, ages: _Ages) -> Array:
    """Days by which each part has failed with the chances of RANGE: (parts, chances)."""
    goal = np.tile(log_cumulative(np.array(RANGE)), ages.size)
    start = np.log(posterior.typical_age) + np.minimum(goal, 0) / 1.5
    failed = _Failed(posterior, ages)
    found = rising_root(lambda place: log_cumulative(failed(np.exp(place))), goal, start, 1e-3)
    return np.exp(found).reshape(-1, len(RANGE))


def _in_area(posterior: CompetingPosterior, ages: _Ages, ahead: Array, error: Array) -> Array:
    """Those days, made longer or shorter by what is not known of the printing rate.

    Times the mean rate they are the area by which the part has failed with the chances of RANGE,
    averaged over a lognormal rate of relative standard ``error`` (NaN where that is NaN). One
    Newton step from the days without it, on the log of the cumulative hazard.
    """
    if not (error > 0).any():
        return np.where(np.isnan(error)[:, None], np.nan, ahead)
    failed = _Failed(posterior, ages)
    spread = np.repeat(np.sqrt(np.log1p(np.nan_to_num(error) ** 2)), len(RANGE))
    factor = np.exp(_RATE_STEPS[:, None] * spread - spread**2 / 2)
    chance = np.array([failed(ahead.ravel() / own) for own in factor])
    width = np.log(factor[2] / factor[0])
    gained = log_cumulative(chance[0]) - log_cumulative(chance[2])
    slope = np.where(width > 1e-9, gained / np.maximum(width, 1e-9), 1.0)
    goal = np.tile(log_cumulative(np.array(RANGE)), ages.size)
    move = (goal - log_cumulative(_RATE_WEIGHTS @ chance)) / slope
    moved = (ahead.ravel() * np.exp(move)).reshape(ahead.shape)
    moved[np.isnan(error)] = np.nan
    return moved


class _Failed:
    """The chance that each part has failed within its own days, (parts · chances of RANGE) each."""

    def __init__(self, posterior: CompetingPosterior, ages: _Ages) -> None:
        size = len(RANGE)
        self._posterior = posterior
        self._now = np.repeat(ages.ages, size)
        self._whose = np.repeat(ages.part, size) * size + np.tile(np.arange(size), len(ages.ages))
        self._chances = np.repeat(ages.chances, size)
        self._size = ages.size * size

    def __call__(self, ahead: Array) -> Array:
        chance = self._posterior.failure_chance(self._now + ahead[self._whose], self._now)
        total = np.bincount(self._whose, self._chances * chance, minlength=self._size)
        return np.minimum(total.astype(float), 1 - 1e-15)


def _of_printer(values: pd.Series, printer: pd.Series) -> Array:
    """The printers' values row by row, NaN where there is none or it is not above 0."""
    own = values.reindex(printer).to_numpy(dtype=float)
    return np.where(own > 0, own, np.nan)
