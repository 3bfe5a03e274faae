"""What the log tells about a task's effect on one kind of part: rows, fits, and what is missing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_frequency import NO_SPREAD, left_over, points, spread, together
from tracker.errors import NotEnoughData
from tracker.forecast.need import wear_belief
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import HALF_AN_ACTION, PER_DAYS
from tracker.models.regression import CoxFit, WeibullHazardFit, fit_cox, fit_weibull_hazard
from tracker.models.regression.weibull_hazard import PRIOR_SD
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

LAGS = (0, 3, 7, 14)
# Where the log never says why, this lag keeps the trouble before a failure out.
LAG_WITHOUT_REASONS = 7
_FINE_ROWS = 400_000  # so many part-days are cut by the day, more are left in weeks
MOST_OTHER_TASKS = 4
LEAST_ACTIONS = 20
LEAST_SPREAD = 0.15  # of log2 rate: a task done at one pace tells nothing and blurs nothing
INK_PRIOR_SD = 1.5
_COX_LEAST_FAILURES = 5
_COX_WIDEST_ERROR = 1.5
_FIRST_DRAWS = 400
_COARSE = 7  # days
_ADJUSTMENTS = ("idle_share", "area_per_day", "white_share", "humidity")
_CALLED = {
    "idle_share": "the share of idle days",
    "area_per_day": "the area printed per day",
    "white_share": "the share of white in the ink",
    "humidity": "the room's humidity",
    "white": "white ink",
}
_MUCH = 0.45  # spread of the printers' levels: one in six fails half as often again, or more


@dataclass(frozen=True)
class EffectEvidence:
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
    beside: tuple[str, ...]
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
        """True when the task was done at one pace, or never: then only the belief speaks."""
        return self.spread < NO_SPREAD

    @property
    def printers_differ_much(self) -> bool:
        """True when, beyond their exposures, some printers wear parts far faster than others."""
        fit = self.weibull
        spread_of_levels = fit.quantiles(fit.draws["cluster_spread"].to_numpy(), (0.5,))[0]
        return bool(spread_of_levels > _MUCH)

    def in_words(self, sentence: str) -> str:
        """A warning of the models with every exposure called by its name in the workshop."""
        names = "|".join(map(re.escape, self.weibull.names))
        said = re.sub(rf"\b(?:{names})\b", lambda found: _called(found.group()), sentence)
        return said[:1].upper() + said[1:]

    @property
    def observed_days(self) -> tuple[float, float]:
        """From how many to how many days lay between two times; infinite: not done at all."""
        per_30_days = [max(2**at - HALF_AN_ACTION, 0.0) for at in self.observed[::-1]]
        often, seldom = (PER_DAYS / rate if rate > 0.05 else np.inf for rate in per_30_days)
        return float(often), float(seldom)


def _called(exposure: str) -> str:
    if exposure.startswith("x_"):
        return f"“{words.task_label(exposure.removeprefix('x_'))}”"
    return _CALLED[exposure]


def says_why(records: Records) -> bool:
    """Does the log tell planned actions from those that a symptom called for?"""
    return bool((records.maintenance["why"] == "symptom").any())


def gather(
    records: Records,
    as_of: date,
    part_kind: str,
    task: str,
    lag_days: int,
    rng: np.random.Generator,
    draws: int,
    like: EffectEvidence | None = None,
) -> EffectEvidence:
    """Cut the lives, pick what to allow for, fit the Weibull hazard and Cox beside it.

    Allowed for: the other tasks whose pace changes, idle share, printed area, white share and
    humidity where known, and the ink. Cox takes as many of them as five failures each allow, the
    task first, and keeps the inks apart as strata.

    Fitted twice: a first fit of few draws on rows of a week says how likely each day is on which a
    failure may lie (see ``part_episodes``). ``like``, the evidence at another lag, stands in for
    that first fit.

    Raises NotEnoughData when no part of the kind was watched.
    """
    tasks = [task, *_other_tasks(records, part_kind, task)]

    def cut(step_days: int, effects: Mapping[str, float]) -> pd.DataFrame:
        return part_episodes(
            records, as_of, part_kind, tasks, lag_days=lag_days, step_days=step_days,
            effects=effects,
        )  # fmt: skip

    exposure = f"x_{task}"
    if like is None:
        rows = cut(_COARSE, {})
        _check_watched(rows, part_kind, lag_days)
        effects = {}
        if rows["failed"].any():
            effects = _effects(
                _fit(rows, records, part_kind, exposure, _beside(rows, exposure), rng, _FIRST_DRAWS)
            )
        days_watched = float((rows["stop"] - rows["start"]).sum())
        step_days = _COARSE if days_watched > _FINE_ROWS else 1
    else:
        effects, step_days = _effects(like.weibull), like.step_days
    rows = cut(step_days, effects)
    _check_watched(rows, part_kind, lag_days)
    beside = _beside(rows, exposure)
    weibull = _fit(rows, records, part_kind, exposure, beside, rng, draws)
    days = (rows["stop"] - rows["start"]).to_numpy()
    low, high = points(rows[exposure].to_numpy(dtype=np.float64), days, (0.05, 0.95))
    return EffectEvidence(
        exposure=exposure,
        lag_days=lag_days,
        step_days=step_days,
        rows=rows,
        beside=tuple(beside),
        weibull=weibull,
        cox=_cox(rows, exposure, beside, weibull.failures),
        spread=left_over(rows, exposure, beside, days),
        observed=(low, high),
        together=together(rows, exposure, beside, days),
        planned=_actions(records, rows, task, "planned"),
        for_symptom=_actions(records, rows, task, "symptom"),
    )


def _check_watched(rows: pd.DataFrame, part_kind: str, lag_days: int) -> None:
    if rows.empty:
        label = words.part_label(part_kind).lower()
        raise NotEnoughData(
            f"No {label} was watched long enough yet: the task is counted over the 30 days before "
            f"each day, so log for at least {30 + lag_days + 1} days with a {label} fitted."
        )


def _beside(rows: pd.DataFrame, exposure: str) -> list[str]:
    """The other exposures that vary enough to blur the task's effect where left out."""
    days = (rows["stop"] - rows["start"]).to_numpy()
    return [
        name
        for name in rows.columns[5:]
        if name not in (exposure, "white")
        and spread(rows[name].to_numpy(dtype=np.float64), days)
        > (LEAST_SPREAD if name.startswith("x_") else 1e-6)
    ]


def _fit(
    rows: pd.DataFrame,
    records: Records,
    part_kind: str,
    exposure: str,
    beside: list[str],
    rng: np.random.Generator,
    draws: int,
) -> WeibullHazardFit:
    days = (rows["stop"] - rows["start"]).to_numpy()
    prior = {
        name: PRIOR_SD / spread(rows[name].to_numpy(dtype=np.float64), days)
        for name in beside
        if name in _ADJUSTMENTS
    }
    ink = ["white"] if "white" in rows else []
    prior |= dict.fromkeys(ink, INK_PRIOR_SD)
    facts = records.part_facts(part_kind)
    return fit_weibull_hazard(
        rows,
        [exposure, *beside, *ink],
        prior_sd=prior,
        belief=wear_belief(facts),
        rng=rng,
        draws=draws,
    )


def _effects(fit: WeibullHazardFit) -> dict[str, float]:
    """The mean effect of every task in a fit."""
    return {
        name: float(fit.weights @ fit.draws[name]) for name in fit.names if name.startswith("x_")
    }


def _other_tasks(records: Records, part_kind: str, task: str) -> list[str]:
    """Tasks to allow for: those the trade expects to matter for the part first, then by number."""
    log = records.maintenance
    counts = log.loc[log["why"] == "planned", "task"].value_counts()
    counts = counts[(counts >= LEAST_ACTIONS) & (counts.index != task)]

    def rank(name: str) -> tuple[bool, int, str]:
        known = words.TASKS.get(name)
        expected = known is not None and part_kind in known.likely_helps
        return (not expected, -int(counts[name]), name)

    return sorted(counts.index, key=rank)[:MOST_OTHER_TASKS]


def _cox(rows: pd.DataFrame, exposure: str, beside: list[str], failures: int) -> CoxFit | None:
    if failures < _COX_LEAST_FAILURES:
        return None
    room = max(failures // 5 - 1, 0)
    tasks_first = sorted(beside, key=lambda name: not name.startswith("x_"))
    return fit_cox(
        rows,
        [exposure, *tasks_first[:room]],
        strata="white" if "white" in rows else None,
    )


def _actions(records: Records, rows: pd.DataFrame, task: str, why: str) -> int:
    """How often the task was done on the printers watched, for that reason."""
    log = records.maintenance
    return int(
        (
            (log["task"] == task)
            & (log["why"] == why)
            & log["printer"].isin(rows["cluster"].unique())
        ).sum()
    )


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
