"""What the log tells about a task's effect on one kind of part: rows, fits, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.routine.adjustment import adjusted_fit, other_exposures, other_tasks
from tracker.decisions.routine.task_frequency import (
    NO_SPREAD,
    is_task,
    left_over,
    points,
    together,
)
from tracker.errors import NotEnoughData
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import HALF_AN_ACTION, PER_DAYS
from tracker.models.regression import CoxFit, WeibullHazardFit, fit_cox
from tracker.workshop import vocabulary
from tracker.workshop.records import PartFacts, Records

LAGS = (0, 3, 7, 14)
_FINE_ROWS = 400_000  # so many part-days are cut by the day, more are left in weeks
_COX_LEAST_FAILURES = 5
_COX_WIDEST_ERROR = 1.5
_FIRST_DRAWS = 400
_COARSE = 7  # days
_MUCH = 0.45  # spread of the printers' levels: one in six fails half as often again, or more


@dataclass(frozen=True, eq=False)
class TaskAndPart:
    """The task whose effect on a part kind is asked; ``known``: the records as known then."""

    known: Records
    as_of: date
    part_kind: str
    task: str

    @property
    def exposure(self) -> str:
        """The task's column in the episodes."""
        return f"x_{self.task}"


@dataclass(frozen=True)
class EffectFits:
    """The fits at one lag. ``exposure`` is the task's column, ``spread`` what is left of its
    standard deviation once the other exposures are taken out; ``cox`` is None with fewer than
    five failures; ``rows`` are of ``step_days`` days. ``observed`` are the 5 % and 95 % points of
    the exposure over the time watched.
    ``together`` names the tasks done more and less often along with this one (or against it), each
    with its correlation. ``planned`` and ``for_symptom`` count the task's actions in the log.
    """

    exposure: str
    lag_days: int
    step_days: int
    rows: pd.DataFrame
    weibull: WeibullHazardFit
    cox: CoxFit | None
    spread: float
    observed: tuple[float, float]
    together: tuple[tuple[str, float], ...]
    planned: int
    for_symptom: int

    @property
    def failures(self) -> int:
        """Failures the fits rest on."""
        return self.weibull.failures

    @property
    def never_varied(self) -> bool:
        """True when the task was always done at one frequency, or never: only belief speaks."""
        return self.spread < NO_SPREAD

    @property
    def printers_differ_much(self) -> bool:
        """True when, beyond their exposures, some printers wear parts far faster than others."""
        fit = self.weibull
        spread_of_levels = fit.quantiles(fit.draws["cluster_spread"].to_numpy(), (0.5,))[0]
        return bool(spread_of_levels > _MUCH)

    @property
    def observed_days(self) -> tuple[float, float]:
        """From how many to how many days lay between two times; infinite: not done at all."""
        per_30_days = [max(2**at - HALF_AN_ACTION, 0.0) for at in self.observed[::-1]]
        often, seldom = (PER_DAYS / rate if rate > 0.05 else np.inf for rate in per_30_days)
        return float(often), float(seldom)


def fit_effect(
    asked: TaskAndPart,
    lag_days: int,
    rng: np.random.Generator,
    draws: int,
    *,
    like: EffectFits | None = None,
) -> EffectFits:
    """Cut the lives, pick what to allow for, fit the Weibull hazard and Cox beside it.

    Allowed for: see ``adjustment``. Cox takes as many of them as five failures each allow, the
    task first, and keeps the inks apart as strata.

    Fitted twice: a first fit of few draws on rows of a week says how likely each day is on which a
    failure may lie (see ``part_episodes``). ``like``, the fits at another lag, stands in for that
    first one.

    Raises NotEnoughData when no part of the kind was watched.
    """
    known, part_kind, exposure = asked.known, asked.part_kind, asked.exposure
    facts = known.part_facts(part_kind)
    tasks = [asked.task, *other_tasks(known, part_kind, (asked.task,))]

    def cut(step_days: int, effects: Mapping[str, float]) -> pd.DataFrame:
        rows = part_episodes(
            known, asked.as_of, part_kind, tasks, lag_days=lag_days, step_days=step_days,
            effects=effects,
        )  # fmt: skip
        _check_watched(rows, part_kind, lag_days)
        return rows

    if like is None:
        effects, step_days = _first_pass(cut(_COARSE, {}), exposure, facts, rng)
    else:
        effects, step_days = _effects(like.weibull), like.step_days
    rows = cut(step_days, effects)
    beside = other_exposures(rows, [exposure])
    weibull = adjusted_fit(rows, [exposure], facts, rng, draws)
    return EffectFits(
        exposure=exposure,
        lag_days=lag_days,
        step_days=step_days,
        rows=rows,
        weibull=weibull,
        cox=_cox(rows, exposure, beside, weibull.failures),
        spread=left_over(rows, exposure, beside),
        observed=points(rows, exposure, (0.05, 0.95)),
        together=together(rows, exposure, beside),
        planned=_actions(asked, rows, "planned"),
        for_symptom=_actions(asked, rows, "symptom"),
    )


def _first_pass(
    rows: pd.DataFrame, exposure: str, facts: PartFacts, rng: np.random.Generator
) -> tuple[dict[str, float], int]:
    """The effects that weigh the days of a failure, and how long the rows of the second pass are.

    ``rows``: of a week, dropped with the call, for of a large log they fill the memory.
    """
    days_watched = float((rows["stop"] - rows["start"]).sum())
    step_days = _COARSE if days_watched > _FINE_ROWS else 1
    if not rows["failed"].any():
        return {}, step_days
    return _effects(adjusted_fit(rows, [exposure], facts, rng, _FIRST_DRAWS)), step_days


def _check_watched(rows: pd.DataFrame, part_kind: str, lag_days: int) -> None:
    if rows.empty:
        label = vocabulary.part_label(part_kind).lower()
        raise NotEnoughData(
            f"No {label} was watched long enough yet: the task is counted over the 30 days before "
            f"each day, so log for at least {30 + lag_days + 1} days with a {label} fitted."
        )


def _effects(fit: WeibullHazardFit) -> dict[str, float]:
    """The mean effect of every task in a fit."""
    return {name: float(fit.weights @ fit.draws[name]) for name in filter(is_task, fit.names)}


def _cox(rows: pd.DataFrame, exposure: str, beside: list[str], failures: int) -> CoxFit | None:
    if failures < _COX_LEAST_FAILURES:
        return None
    room = max(failures // 5 - 1, 0)
    tasks_first = sorted(beside, key=lambda name: not is_task(name))
    return fit_cox(
        rows,
        [exposure, *tasks_first[:room]],
        strata="white" if "white" in rows else None,
    )


def _actions(asked: TaskAndPart, rows: pd.DataFrame, why: str) -> int:
    """How often the task was done on the printers watched, for that reason."""
    log = asked.known.maintenance
    is_watched = log["printer"].isin(rows["cluster"].unique())
    return int(((log["task"] == asked.task) & (log["why"] == why) & is_watched).sum())


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
