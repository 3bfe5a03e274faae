"""What the log tells about a task's effect on one kind of part: rows, fits, and what is missing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import partial

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_effect.adjustment import other_exposures, other_tasks
from tracker.decisions.routine.task_effect.ages_apart import (
    by_age,
    failures_by_age,
    turning_age,
    younger,
)
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.decisions.routine.task_effect.task_frequency import (
    NO_SPREAD,
    is_steady,
    is_task,
    left_over,
    points,
    together,
    usual,
)
from tracker.errors import NotEnoughData
from tracker.forecast.exposure_tables import WINDOW_DAYS
from tracker.language import _
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import HALF_AN_ACTION, PER_DAYS
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.whole_weeks import days_looked_back
from tracker.models.regression import CoxFit, fit_cox, guard_warnings
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_FINE_ROWS = 400_000  # so many part-days are cut by the day, more are left in weeks
_COX_LEAST_FAILURES = 5
_COX_WIDEST_ERROR = 1.5
_COARSE = 7  # days
_LEAST_OF_AN_AGE = 5  # failures of younger and of older parts
_TRIAL_DRAWS = 600
# Every task is asked on every part kind: a claim that is false once in a hundred is made by chance
# in one workshop of ten.
_AGE_LEVEL, _TRIAL_LEVEL = 0.99, 0.95
_MUCH = 0.45  # spread of the printers' levels: one in six fails half as often again, or more


@dataclass(frozen=True, eq=False)
class TaskAndPart:
    """The task whose effect on a part kind is asked; ``known``: the records as known then, and
    ``gaps``: what is missing from their maintenance log.
    """

    known: Records
    as_of: date
    part_kind: str
    task: str
    gaps: LogGaps = NO_GAPS

    @property
    def exposure(self) -> str:
        """The task's column in the episodes."""
        return f"x_{self.task}"


@dataclass(frozen=True)
class EffectFits:
    """The fits at one lag of what was ``asked``. ``exposure`` is the task's column, ``beside`` what
    is allowed for, ``spread`` what is left of its standard deviation once those and the printers'
    own means are taken out, 0 where it was always done at one pace; ``model`` the life model's
    draws, with the effect by age where that is told; ``cox`` is None with fewer than five failures;
    its ``rows`` are of ``step_days`` days.
    ``observed`` are the 5 % and 95 % points of the exposure over the time watched.
    ``together`` names the tasks done more and less often along with this one (or against it), each
    with its correlation. ``planned`` and ``for_symptom`` count the task's actions in the log.
    ``warnings`` say what the log cannot tell.
    """

    asked: TaskAndPart = field(repr=False)
    exposure: str
    beside: tuple[str, ...]
    lag_days: int
    step_days: int
    rows: pd.DataFrame
    model: EffectDraws
    cox: CoxFit | None
    spread: float
    observed: tuple[float, float]
    together: tuple[tuple[str, float], ...]
    planned: int
    for_symptom: int
    warnings: tuple[str, ...]

    @property
    def failures(self) -> int:
        """Failures the fits rest on."""
        return self.model.failures

    @property
    def never_varied(self) -> bool:
        """True when the task was always done at one frequency, or never: only belief speaks."""
        return self.spread < NO_SPREAD

    @property
    def printers_differ_much(self) -> bool:
        """True when, beyond their exposures, some printers wear parts far faster than others."""
        return self.model.middle(self.model.model.spreads[:, 0]) > _MUCH

    @property
    def observed_days(self) -> tuple[float, float]:
        """From how many to how many days lay between two times; infinite: not done at all."""
        per_30_days = [max(2**at - HALF_AN_ACTION, 0.0) for at in self.observed[::-1]]
        often, seldom = (PER_DAYS / rate if rate > 0.05 else np.inf for rate in per_30_days)
        return float(often), float(seldom)


def fit_effect(
    asked: TaskAndPart, lag_days: int, rng: np.random.Generator, draws: int
) -> EffectFits:
    """Pick what to allow for, fit the life model and Cox beside it.

    Allowed for: see ``adjustment``. Cox takes as many of them as five failures each allow, the
    task first, and keeps the inks apart as strata; in its rows each day on which a failure may lie
    is as likely as the life model's effects make it (see ``part_episodes``).

    Raises NotEnoughData when no part of the kind was watched.
    """
    exposure = asked.exposure
    cut = _cut(asked, lag_days)
    rows = cut(step_days=_COARSE)
    model, beside = _modelled(asked, rows, lag_days, rng, draws)
    step_days = _COARSE if float((rows["stop"] - rows["start"]).sum()) > _FINE_ROWS else 1
    effects = {name: model.mean_effect(name) for name in model.names if is_task(name)}
    rows = cut(step_days=step_days, effects=effects)
    apart = _with_printers_mean(rows, exposure, model)
    return EffectFits(
        asked=asked,
        exposure=exposure,
        beside=beside,
        lag_days=lag_days,
        step_days=step_days,
        rows=rows,
        model=model,
        cox=_cox(rows, exposure, (*apart, *beside), model.failures),
        spread=_telling_spread(rows, exposure, apart, beside),
        observed=points(rows, exposure, (0.05, 0.95)),
        together=together(rows, exposure, beside),
        planned=_actions(asked, rows, "planned"),
        for_symptom=_actions(asked, rows, "symptom"),
        warnings=guard_warnings(rows, [exposure, *beside]),
    )


def _telling_spread(
    rows: pd.DataFrame, exposure: str, apart: tuple[str, ...], beside: tuple[str, ...]
) -> float:
    if is_steady(rows, exposure, apart, WINDOW_DAYS):
        return 0.0
    return left_over(rows, exposure, (*apart, *beside))


def effect_alone(
    asked: TaskAndPart, lag_days: int, rng: np.random.Generator, draws: int
) -> EffectDraws:
    """The life model that ``fit_effect`` relies on, without what stands beside it."""
    rows = _cut(asked, lag_days)(step_days=_COARSE)
    return _modelled(asked, rows, lag_days, rng, draws)[0]


def _cut(asked: TaskAndPart, lag_days: int) -> Callable[..., pd.DataFrame]:
    """What cuts the kind's lives into episodes, the other tasks beside the asked one."""
    known, kind = asked.known, asked.part_kind
    tasks = [asked.task, *other_tasks(known, kind, (asked.task,))]
    cut = partial(part_episodes, known, asked.as_of, kind, tasks, lag_days=lag_days)
    return partial(cut, gaps=asked.gaps)


def _modelled(
    asked: TaskAndPart, rows: pd.DataFrame, lag_days: int, rng: np.random.Generator, draws: int
) -> tuple[EffectDraws, tuple[str, ...]]:
    """The life model and what is allowed for in it."""
    if rows.empty:
        raise _never_watched(asked.part_kind, lag_days)
    beside = tuple(other_exposures(rows, [asked.exposure]))
    model = _draws(asked, beside, lag_days, rng, draws)
    return _by_age_where_told(model, asked.exposure, rng, draws), beside


def effect_at_lag(
    asked: TaskAndPart, fits: EffectFits, lag_days: int, rng: np.random.Generator, draws: int
) -> EffectDraws:
    """The life model with the same exposures seen at another lag, or in another log."""
    if lag_days == fits.lag_days and asked.known is fits.asked.known:
        return fits.model
    return _draws(asked, fits.beside, lag_days, rng, draws, like=fits.model)


def _by_age_where_told(
    model: EffectDraws, exposure: str, rng: np.random.Generator, draws: int
) -> EffectDraws:
    """The model with the effect on younger and older parts apart, where the log tells that they
    differ; else unchanged. Few draws at the spreads known say first whether it is worth a fit.
    """
    until_age = turning_age(model.model)
    if min(failures_by_age(model.history.history, until_age)) < _LEAST_OF_AN_AGE:
        return model
    history, difference = by_age(model.history, exposure, until_age), younger(exposure)
    trial = EffectDraws.of(history, _TRIAL_DRAWS, rng, like=model)
    if not trial.leaves_out_none(trial.effect(difference), _TRIAL_LEVEL):
        return model
    found = EffectDraws.of(history, draws, rng)
    is_told = found.leaves_out_none(found.effect(difference), _AGE_LEVEL)
    return found if is_told else model


def _with_printers_mean(rows: pd.DataFrame, exposure: str, model: EffectDraws) -> tuple[str, ...]:
    """Write the printers' means of the task beside it, for the check; the column, where needed."""
    mean = model.history.printers_mean.get(exposure)
    if mean is None:
        return ()
    rows[usual(exposure)] = rows["cluster"].map(dict(zip(model.printers, mean, strict=True)))
    return (usual(exposure),)


def _draws(
    asked: TaskAndPart,
    beside: tuple[str, ...],
    lag_days: int,
    rng: np.random.Generator,
    draws: int,
    *,
    like: EffectDraws | None = None,
) -> EffectDraws:
    history = effect_history(
        asked.known,
        asked.as_of,
        asked.part_kind,
        [asked.exposure],
        beside,
        lag_days,
        gaps=asked.gaps,
    )
    if history is None:
        raise _never_watched(asked.part_kind, lag_days)
    return EffectDraws.of(history, draws, rng, like=like)


def _never_watched(part_kind: str, lag_days: int) -> NotEnoughData:
    label = vocabulary.part_label(part_kind).lower()
    return NotEnoughData(
        _(
            "No {label} was watched long enough yet: the task is counted over the {days} days "
            "before each day, so log for at least {least_days} days with a {label} fitted.",
            label=label,
            days=days_looked_back(WINDOW_DAYS),
            least_days=days_looked_back(WINDOW_DAYS) + lag_days + 1,
        )
    )


def _cox(
    rows: pd.DataFrame, exposure: str, beside: tuple[str, ...], failures: int
) -> CoxFit | None:
    if failures < _COX_LEAST_FAILURES:
        return None
    room = max(failures // 5 - 1, 0)
    tasks_first = sorted(beside, key=lambda name: (name != usual(exposure), not is_task(name)))
    return fit_cox(
        rows,
        [exposure, *tasks_first[:room]],
        strata="white" if "white" in rows else None,
    )


def _actions(asked: TaskAndPart, rows: pd.DataFrame, why: str) -> int:
    """How often the task was done on the printers watched, for that reason."""
    code = partial(asked.known.codes, "maintenance")
    watched = pd.Index(rows["cluster"].unique().astype(object))
    meant = code("task").is_word(asked.task) & code("why").is_word(why)
    return int((code("printer").take(meant).among(watched) >= 0).sum())


def log_ratio(fit: CoxFit | None, change: Mapping[str, float]) -> tuple[float, float]:
    """Cox's log hazard ratio of a change and its standard error.

    NaN where there is none, or where it says nothing: limits more than a factor of 19 away on each
    side are no check.
    """
    if fit is None:
        return float("nan"), float("nan")
    value, std_error = fit.log_hazard_ratio(change)
    if fit.penalised or not std_error < _COX_WIDEST_ERROR:
        return float("nan"), float("nan")
    return value, std_error
