"""What the log tells about a task's effect on one kind of part: rows, fits, and what is missing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_effect.adjustment import other_exposures, other_tasks
from tracker.decisions.routine.task_effect.ages_apart import by_age, turning_age, younger
from tracker.decisions.routine.task_effect.cox_beside import chance_alike_at_all_ages, cox_beside
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
    variation,
)
from tracker.errors import NotEnoughData
from tracker.forecast.exposure_tables import WINDOW_DAYS
from tracker.language import _
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure.table import HALF_AN_ACTION, PER_DAYS
from tracker.lives.exposure.whole_weeks import days_looked_back
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.models.regression import CoxFit, guard_warnings
from tracker.models.regression.exposure_moments import ExposureMoments
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_FINE_ROWS = 400_000  # so many part-days are cut by the day, more are left in weeks
_COARSE = 7  # days
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
    own means are taken out, 0 where it was always done at one pace, or changed it only along with
    others; ``model`` the life model's draws, with the effect by age where that is told; ``cox`` is
    None with fewer than five failures; its rows are of ``step_days`` days.
    ``proportional_p_value``: does the effect change with the age of the part?
    ``failures_left_out`` came before the first whole window, or to parts whose fitting day is
    unknown.
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
    model: EffectDraws
    cox: CoxFit | None
    proportional_p_value: float
    failures_left_out: int
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
        """True when the task was always done at one frequency, or never, or is not to be told from
        another one: only belief speaks.
        """
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
    task first, and keeps the inks apart as strata; its rows: ``cox_rows``.

    Raises NotEnoughData when no part of the kind was watched.
    """
    exposure = asked.exposure
    rows = _cut(asked, lag_days)(step_days=_COARSE)
    beside = _beside(asked, rows, lag_days)
    step_days = _COARSE if float((rows["stop"] - rows["start"]).sum()) > _FINE_ROWS else 1
    del rows  # those of a fleet take much room, and the same are cut again below
    model = _modelled(asked, beside, lag_days, rng, draws)
    rows = cox_rows(asked, lag_days, step_days, model)
    apart = with_printers_mean(rows, exposure, model)
    varied = variation(rows, [exposure, *apart, *beside])
    cox = cox_beside(rows, exposure, (*apart, *beside), model.failures)
    spread = spread_left(rows, varied, exposure, apart, beside)
    # What never left its pace did not go along with anything.
    at_one_pace = spread < NO_SPREAD and is_steady(rows, varied, exposure, apart, WINDOW_DAYS)
    return EffectFits(
        asked=asked,
        exposure=exposure,
        beside=beside,
        lag_days=lag_days,
        step_days=step_days,
        model=model,
        cox=None if cox is None else cox.without_rows(),
        proportional_p_value=chance_alike_at_all_ages(cox, exposure),
        failures_left_out=int(rows.attrs["failures_left_out"]),
        spread=spread,
        observed=points(rows, exposure, (0.05, 0.95)),
        together=() if at_one_pace else together(varied, exposure, beside),
        planned=_actions(asked, rows, "planned"),
        for_symptom=_actions(asked, rows, "symptom"),
        warnings=guard_warnings(rows, [exposure, *beside]),
    )


def cox_rows(asked: TaskAndPart, lag_days: int, step_days: int, model: EffectDraws) -> pd.DataFrame:
    """The rows that Cox is fitted to: each day on which a failure may lie is as likely in them as
    the life model's effects make it (see ``part_episodes``).
    """
    effects = {name: model.mean_effect(name) for name in model.names if is_task(name)}
    return _cut(asked, lag_days)(step_days=step_days, effects=effects)


def effect_alone(
    asked: TaskAndPart, lag_days: int, rng: np.random.Generator, draws: int
) -> EffectDraws:
    """The life model that ``fit_effect`` relies on, without what stands beside it."""
    beside = _beside(asked, _cut(asked, lag_days)(step_days=_COARSE), lag_days)
    return _modelled(asked, beside, lag_days, rng, draws)


def with_printers_mean(rows: pd.DataFrame, exposure: str, model: EffectDraws) -> tuple[str, ...]:
    """Write the printers' means of the task beside it, for the check; the column, where needed."""
    mean = model.history.printers_mean.get(exposure)
    if mean is None:
        return ()
    rows[usual(exposure)] = rows["cluster"].map(dict(zip(model.printers, mean, strict=True)))
    return (usual(exposure),)


def spread_left(
    rows: pd.DataFrame,
    varied: ExposureMoments,
    exposure: str,
    apart: Sequence[str],
    beside: Sequence[str],
) -> float:
    """Standard deviation of the exposure that neither the printers' own means, ``apart``, nor what
    stands ``beside`` it explains; 0 where the task was always done at one pace."""
    if is_steady(rows, varied, exposure, apart, WINDOW_DAYS):
        return 0.0
    return left_over(varied, exposure, (*apart, *beside))


def _cut(asked: TaskAndPart, lag_days: int) -> Callable[..., pd.DataFrame]:
    """What cuts the kind's lives into episodes, the other tasks beside the asked one."""
    known, kind = asked.known, asked.part_kind
    tasks = [asked.task, *other_tasks(known, kind, (asked.task,))]
    cut = partial(part_episodes, known, asked.as_of, kind, tasks, lag_days=lag_days)
    return partial(cut, gaps=asked.gaps)


def _beside(asked: TaskAndPart, rows: pd.DataFrame, lag_days: int) -> tuple[str, ...]:
    """What is allowed for."""
    if rows.empty:
        raise _never_watched(asked.part_kind, lag_days)
    return tuple(other_exposures(rows, [asked.exposure]))


def _modelled(
    asked: TaskAndPart,
    beside: tuple[str, ...],
    lag_days: int,
    rng: np.random.Generator,
    draws: int,
) -> EffectDraws:
    """The life model with that beside the task."""
    model = _draws(asked, beside, lag_days, rng, draws, by_age=asked.exposure)
    return _by_age_where_told(model, asked.exposure, rng, draws)


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
    differ; else unchanged. The fit at hand says first whether another is worth it.
    """
    if model.difference is None or not model.difference.leaves_out_none(_TRIAL_LEVEL):
        return model
    history = by_age(model.history, exposure, turning_age(model.model))
    found = EffectDraws.of(history, draws, rng)
    is_told = found.leaves_out_none(found.effect(younger(exposure)), _AGE_LEVEL)
    return found if is_told else model


def _draws(
    asked: TaskAndPart,
    beside: tuple[str, ...],
    lag_days: int,
    rng: np.random.Generator,
    draws: int,
    *,
    like: EffectDraws | None = None,
    by_age: str = "",
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
    return EffectDraws.of(history, draws, rng, like=like, by_age=by_age)


def _never_watched(part_kind: str, lag_days: int) -> NotEnoughData:
    label = vocabulary.part_label(part_kind).lower()
    return NotEnoughData(
        _(
            "No {label} was watched long enough yet: the task is counted over the {days} days "
            "before each day, so log for at least {least_days} days with one {label} fitted.",
            label=label,
            days=days_looked_back(WINDOW_DAYS),
            least_days=days_looked_back(WINDOW_DAYS) + lag_days + 1,
        )
    )


def _actions(asked: TaskAndPart, rows: pd.DataFrame, why: str) -> int:
    """How often the task was done on the printers watched, for that reason."""
    code = partial(asked.known.codes, "maintenance")
    watched = pd.Index(rows["cluster"].unique().astype(object))
    meant = code("task").is_word(asked.task) & code("why").is_word(why)
    return int((code("printer").take(meant).among(watched) >= 0).sum())
