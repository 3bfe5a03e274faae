"""What the log tells about a task's effect on one kind of part: rows, fits, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.errors import NotEnoughData
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import HALF_AN_ACTION, PER_DAYS
from tracker.models.posterior import LifeBelief
from tracker.models.regression import CoxFit, WeibullHazardFit, fit_cox, fit_weibull_hazard
from tracker.models.weibull_hazard import PRIOR_SD
from tracker.records import vocabulary as words
from tracker.records.model import Records

Floats = NDArray[np.float64]

LAGS = (0, 3, 7, 14)
# Where the log never says why, this lag keeps the trouble before a failure out.
LAG_WITHOUT_REASONS = 7
_FINE_ROWS = 400_000  # so many part-days are cut by the day, more by the week
_MOST_OTHER_TASKS = 4
_LEAST_ACTIONS = 20
NO_SPREAD = 1e-3
_LEAST_SPREAD = 0.15  # of log2 rate: a task done at one pace tells nothing and blurs nothing
_INK_PRIOR_SD = 1.5
_COX_LEAST_FAILURES = 5
_COX_WIDEST_ERROR = 1.5
_ENOUGH_DRAWS, _MORE_DRAWS = 400, 4
_GO_TOGETHER = 0.7  # correlation from which two tasks can hardly be told apart
_ADJUSTMENTS = ("idle_share", "area_per_day", "white_share", "humidity")


@dataclass(frozen=True)
class EffectEvidence:
    """The fits at one lag. ``exposure`` is the task's column, ``spread`` what is left of its
    standard deviation once the other exposures are taken out; ``cox`` is None with fewer than
    five failures. ``observed`` are the 5 % and 95 % points of the exposure over the time watched.
    ``together`` names the tasks done more and less often along with this one (or against it), each
    with its correlation. ``planned`` and ``for_symptom`` count the task's actions in the log.
    """

    exposure: str
    lag_days: int
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
    def observed_days(self) -> tuple[float, float]:
        """From how many to how many days lay between two times; infinite: not done at all."""
        per_30_days = [max(2**at - HALF_AN_ACTION, 0.0) for at in self.observed[::-1]]
        often, seldom = (PER_DAYS / rate if rate > 0.05 else np.inf for rate in per_30_days)
        return float(often), float(seldom)


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
) -> EffectEvidence:
    """Cut the lives, pick what to allow for, fit the Weibull hazard and Cox beside it.

    Allowed for: the other tasks whose pace changes, idle share, printed area, white share and
    humidity where known, and the ink. Cox takes as many of them as five failures each allow, the
    task first, and keeps the inks apart as strata.

    Raises NotEnoughData when no part of the kind was watched.
    """
    rows = _rows(records, as_of, part_kind, task, lag_days)
    if rows.empty:
        label = words.part_label(part_kind).lower()
        raise NotEnoughData(
            f"No {label} was watched long enough yet: the task is counted over the 30 days before "
            f"each day, so log for at least {30 + lag_days + 1} days with a {label} fitted."
        )
    exposure = f"x_{task}"
    days = (rows["stop"] - rows["start"]).to_numpy()
    spreads = {
        name: _spread(rows[name].to_numpy(dtype=np.float64), days)
        for name in rows.columns[5:]
        if name != "white"
    }
    beside = [
        name
        for name, spread in spreads.items()
        if name != exposure and spread > (_LEAST_SPREAD if name.startswith("x_") else 1e-6)
    ]
    prior = {name: PRIOR_SD / spreads[name] for name in beside if name in _ADJUSTMENTS}
    if "white" in rows:
        prior["white"] = _INK_PRIOR_SD
    facts = records.part_facts(part_kind)
    belief = LifeBelief(facts.typical_life_days, max(facts.belief_failures, 0.1))
    covariates = [exposure, *beside, *(["white"] if "white" in rows else [])]

    def fitted(draws: int) -> WeibullHazardFit:
        return fit_weibull_hazard(
            rows, covariates, prior_sd=prior, belief=belief, rng=rng, draws=draws
        )

    weibull = fitted(draws)
    if weibull.effective_sample_size < _ENOUGH_DRAWS:
        # Without a failure the rate has a tail that a few draws carry: take more of them.
        weibull = fitted(_MORE_DRAWS * draws)
    low, high = _points(rows[exposure].to_numpy(dtype=np.float64), days, (0.05, 0.95))
    return EffectEvidence(
        exposure=exposure,
        lag_days=lag_days,
        rows=rows,
        beside=tuple(beside),
        weibull=weibull,
        cox=_cox(rows, exposure, beside, weibull.failures),
        spread=_left_over(rows, exposure, beside, days),
        observed=(low, high),
        together=_together(rows, exposure, beside, days),
        planned=_actions(records, rows, task, "planned"),
        for_symptom=_actions(records, rows, task, "symptom"),
    )


def _rows(records: Records, as_of: date, part_kind: str, task: str, lag_days: int) -> pd.DataFrame:
    tasks = [task, *_other_tasks(records, part_kind, task)]
    rows = part_episodes(records, as_of, part_kind, tasks, lag_days=lag_days)
    if float((rows["stop"] - rows["start"]).sum()) > _FINE_ROWS:
        return rows
    return part_episodes(records, as_of, part_kind, tasks, lag_days=lag_days, step_days=1)


def _other_tasks(records: Records, part_kind: str, task: str) -> list[str]:
    """Tasks to allow for: those the trade expects to matter for the part first, then by number."""
    log = records.maintenance
    counts = log.loc[log["why"] == "planned", "task"].value_counts()
    counts = counts[(counts >= _LEAST_ACTIONS) & (counts.index != task)]

    def rank(name: str) -> tuple[bool, int, str]:
        known = words.TASKS.get(name)
        expected = known is not None and part_kind in known.likely_helps
        return (not expected, -int(counts[name]), name)

    return sorted(counts.index, key=rank)[:_MOST_OTHER_TASKS]


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


def _spread(values: Floats, weight: Floats) -> float:
    mean = np.average(values, weights=weight)
    return float(np.sqrt(np.average((values - mean) ** 2, weights=weight)))


def _left_over(rows: pd.DataFrame, exposure: str, beside: list[str], days: Floats) -> float:
    """Standard deviation of the exposure that the others do not explain, over the time watched."""
    root = np.sqrt(days)
    own = rows[exposure].to_numpy(dtype=np.float64)
    others = np.column_stack([np.ones(len(rows)), rows[beside].to_numpy(dtype=np.float64)])
    found = np.linalg.lstsq(others * root[:, None], own * root, rcond=None)[0]
    return float(np.sqrt(np.average((own - others @ found) ** 2, weights=days)))


def _together(
    rows: pd.DataFrame, exposure: str, beside: list[str], days: Floats
) -> tuple[tuple[str, float], ...]:
    """The other tasks whose pace goes along with this one's, or against it, over the time watched.

    Of two columns, Pearson's correlation weighted by days.
    """
    own = rows[exposure].to_numpy(dtype=np.float64)
    own_spread = _spread(own, days)
    if own_spread < NO_SPREAD:
        return ()
    found = []
    for name in beside:
        if not name.startswith("x_"):
            continue
        other = rows[name].to_numpy(dtype=np.float64)
        shared = np.average((own - np.average(own, weights=days)) * other, weights=days)
        correlation = float(shared / (own_spread * _spread(other, days)))
        if abs(correlation) >= _GO_TOGETHER:
            found.append((name.removeprefix("x_"), correlation))
    return tuple(sorted(found, key=lambda item: -abs(item[1])))


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


def _points(values: Floats, weight: Floats, shares: tuple[float, float]) -> tuple[float, float]:
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order]) / weight.sum()
    at = np.minimum(np.searchsorted(reached, shares), len(values) - 1)
    return float(values[order][at[0]]), float(values[order][at[1]])


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
