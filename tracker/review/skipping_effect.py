"""How much did skipping tasks raise the risk of failures? One fit for all kinds, and its use.

The fit behind all forecasts has learnt with everything else what each task does for each kind that
it protects. Beside each task that was skipped stands here the printer's own mean of it over the
time watched, as an exposure that never changes there (Mundlak, 1978, Econometrica 46:69), as where
the routine itself is evaluated: careful people may have better printers, and a task is not to be
praised for that (simulated workshops of that sort in which the task does nothing: 95 % limits held
that in 23 of 24; in 18 of 24 without the means). What was skipped in a month is held against the
fit as if it had been done.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.routine.task_effect.adjustment import LEAST_SPREAD
from tracker.forecast.fitted_lives import FittedLives, draws_for
from tracker.forecast.life_history import LifeHistory, day_number
from tracker.forecast.routine_exposure import Exposure
from tracker.lives.exposure.table import PER_DAYS, log2_rate
from tracker.models.life_model.whole import LifeDraws, Parts, SpreadGrid, fit_life_model
from tracker.models.life_model.whole.ahead.gathering import Ahead
from tracker.models.life_model.whole.calendar_time import season_wave
from tracker.review.period import Period
from tracker.workshop.records import Records

_SEED = 20240229
_AT_ONCE = 3e5  # numbers worked on together: few enough to stay in the cache


@dataclass(frozen=True, eq=False)
class TaskEffects:
    """What tasks do for the kinds they protect, in the ``draws`` of a fit of the history ``told``.

    ``varied``: of the asked ones those whose frequency changed enough within printers, while they
    held parts of the kind, for an effect to show; of the others nothing can be said.
    """

    told: LifeHistory
    draws: LifeDraws
    varied: frozenset[Exposure]

    @classmethod
    def of(cls, fitted: FittedLives, asked: Collection[Exposure]) -> TaskEffects | None:
        """None where nothing can be said of any of the ``asked`` tasks and the kinds they protect.

        The fit of all lives itself where printers had these tasks alike, else one like it with the
        printers' means beside them, at the spreads that are likely.
        """
        told, draws = fitted.told, fitted.draws
        if told is None or draws is None:
            return None
        varied, means, held = [], {}, _Held.of(told)
        for at, exposure in enumerate(told.exposures):
            if exposure not in asked:
                continue
            mean, within = _pace(told, held, at)
            if within <= LEAST_SPREAD:
                continue
            varied.append(exposure)
            if np.std(mean) > LEAST_SPREAD:
                means[at] = mean
        if not varied:
            return None
        if means:
            steps = told.history.exposures
            apart = np.stack(list(means.values()), axis=1)[steps.unit]
            steps = replace(
                steps,
                value=np.concatenate((steps.value, apart), axis=1),
                acts=np.concatenate((steps.acts, steps.acts[list(means)])),
            )
            draws = fit_life_model(
                replace(told.history, steps=steps),
                draws_for(told.history.n_units),
                rng=np.random.default_rng(_SEED),
                grid=SpreadGrid(*((float(one),) for one in draws.weight @ draws.spreads)),
                like=draws,
            )
        return cls(told, draws, frozenset(varied))


@dataclass(frozen=True, eq=False)
class _Held:
    """The steps of the exposures in order of printers and days: ``row`` of each, and on which days
    it held.
    """

    row: Ints
    since: Array
    until: Array

    @classmethod
    def of(cls, told: LifeHistory) -> _Held:
        steps, as_of = told.history.exposures, told.history.as_of
        row = np.lexsort((steps.from_day, steps.unit))
        unit, since = steps.unit[row], np.minimum(steps.from_day[row], as_of)
        is_last = np.append(unit[1:] != unit[:-1], True)
        return cls(row, since, np.where(is_last, as_of, np.append(since[1:], as_of)))


def _pace(told: LifeHistory, held: _Held, at: int) -> tuple[Array, float]:
    """An exposure's mean on each printer over the days on which it held parts of the kind, and the
    standard deviation about these means.
    """
    steps, lives = told.history.exposures, told.history.lives
    rows = np.flatnonzero(steps.acts[at][lives.group])
    began = np.full(told.history.n_units, np.inf)
    np.minimum.at(began, lives.unit[rows], lives.began_on[rows])
    unit, value = steps.unit[held.row], steps.value[held.row, at]
    days = np.maximum(held.until - np.maximum(held.since, began[unit]), 0.0)
    seen = ~np.isnan(value) & (days > 0)
    unit, value, days = unit[seen], value[seen], days[seen]
    watched = np.bincount(unit, days, len(began))
    middle = days @ value / max(days.sum(), 1e-9)
    total = np.bincount(unit, days * value, len(began))
    mean = np.where(watched > 0, total / np.maximum(watched, 1e-9), middle)
    within = days @ (value - mean[unit]) ** 2 / max(days.sum(), 1e-9)
    return mean, float(np.sqrt(within))


@dataclass(frozen=True, eq=False)
class KindInMonth:
    """The parts of a kind that were in a printer in the month.

    ``unit``: the printers that hold any, by their number in the fit, and ``open_days`` of each;
    ``gathered (draws, printers)``: the hazard of wear their parts gathered in the month at the pace
    that goes on from its end.
    """

    kind: str
    effects: TaskEffects
    unit: Ints
    open_days: Array
    gathered: Array

    @classmethod
    def of(
        cls, effects: TaskEffects, period: Period, kind: str, parts: pd.DataFrame
    ) -> KindInMonth | None:
        """``effects``: as known on the period's last day; ``parts``: see ``exposed``. None where
        nothing was learnt of any of them.
        """
        told, draws = effects.told, effects.draws
        own = parts[parts["part_kind"] == kind]
        place = pd.Index(told.fitting).get_indexer(own.index)
        own, row = own[place >= 0], place[place >= 0]
        if not len(row):
            return None
        lives = told.history.lives
        row = row[np.argsort(lives.unit[row], kind="stable")]
        here = Parts.of_lives(lives, row)
        # Open days lived in the month, and the age at its end or the part's.
        since = draws.open_days.counted(here.unit, np.full(len(row), day_number(period.first)))
        began = draws.open_days.counted(here.unit, lives.began_on[row])
        until = began + lives.age[row] - lives.entry[row]
        lived = np.clip(until - np.maximum(since, began), 0.0, lives.age[row])
        units, first = np.unique(here.unit, return_index=True)
        gathered = _wear(draws, here, lives.age[row] - lived, lives.age[row], period, first)
        start = np.full(len(units), day_number(period.first))
        end = np.full(len(units), draws.as_of)
        open_days = draws.open_days.counted(units, end) - draws.open_days.counted(units, start)
        return cls(kind, effects, units, open_days, gathered)

    @property
    def failures(self) -> int:
        """Failures that the effects rest on."""
        own = [at for at, (kind, *_) in enumerate(self.effects.told.groups) if kind == self.kind]
        return round(float(self.effects.draws.failures[own].sum()))

    def extra_failures(self, task: str, done: pd.Series, skipped: pd.Series) -> Array:
        """Failures expected more than with the skipped actions done, per draw.

        ``done``, ``skipped``: on how many days of the month, by printer. How often is per open day,
        as in the fit.
        """
        told, draws = self.effects.told, self.effects.draws
        at = told.exposures.index(Exposure(task, self.kind))
        names = [told.printers[unit] for unit in self.unit]
        actions, more = (
            of.reindex(names).fillna(0.0).to_numpy(dtype=np.float64) for of in (done, skipped)
        )
        scale = PER_DAYS / np.maximum(self.open_days, 1.0)
        really, wanted = log2_rate(scale * actions), log2_rate(scale * (actions + more))
        goes_on = Ahead.of(draws, None).exposure(self.unit, 0)[:, at]
        effect = draws.effect[:, at]
        own = np.outer(effect, really - draws.exposure_mean[at] - goes_on)
        extra: Array = self.gathered * np.exp(own) * -np.expm1(np.outer(effect, wanted - really))
        return np.asarray(extra.sum(axis=1))


def _wear(
    draws: LifeDraws, parts: Parts, from_age: Array, to_age: Array, period: Period, first: Ints
) -> Array:
    """The hazard of wear gathered between two ages in the month by the parts of each printer, from
    ``first`` on: (draws, printers).
    """
    season = np.zeros((len(draws), 1))
    if draws.season.shape[1]:
        since, after = day_number(period.first), day_number(period.last) + 1.0
        season = draws.season @ season_wave(np.array([since]), np.array([after])).T
    acts, ahead = draws.exposures.acts.T, Ahead.of(draws, None)
    log_life = np.log(draws.groups.told("typical_life"))
    gathered = np.empty((len(draws), len(first)))
    few = max(1, int(_AT_ONCE * len(first) / (len(draws) * len(parts))))
    ends = np.append(first, len(parts))
    for low in range(0, len(first), few):
        begins = ends[low : low + few + 1]
        own = np.arange(begins[0], begins[-1])
        some = parts.take(own)
        level = draws.level(some) + season
        level += draws.effect @ (ahead.exposure(some.unit, 0) * acts[some.group]).T
        shape = draws.shape[:, some.group]
        with np.errstate(divide="ignore"):
            begin, end = (
                np.exp(level + shape * np.maximum(np.log(age[own]) - log_life[some.group], -1e4))
                for age in (from_age, to_age)
            )
        of_printer = begins[:-1] - begins[0]
        gathered[:, low : low + few] = np.add.reduceat(end - begin, of_printer, axis=1)
    return gathered


def days_done(records: Records, period: Period) -> pd.Series:
    """On how many days of the month was each task done by plan, by task and printer?"""
    table = "maintenance"
    day = records.day_numbers(table, "done_on")
    since, until = (int(day_number(one)) for one in (period.first, period.last))
    planned = records.codes(table, "why").is_word("planned")
    rows = np.flatnonzero(planned & (day >= since) & (day <= until))
    seen = pd.DataFrame(
        {name: records.codes(table, name).take(rows).decoded() for name in ("task", "printer")}
        | {"day": day[rows]}
    )
    found: pd.Series = seen.drop_duplicates().groupby(["task", "printer"]).size()
    return found
