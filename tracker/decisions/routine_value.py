"""Does doing a task more or less often pay? The effect on failures, and what it is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.routine_cost import (
    DEFAULT_INTERVALS,
    FailureCost,
    LeastCost,
    Schedules,
    TaskCost,
    expected,
    failure_cost,
    least_cost_interval,
    positions_per_printer,
    task_cost,
    working_share,
)
from tracker.decisions.routine_evidence import (
    LAG_WITHOUT_REASONS,
    LAGS,
    EffectEvidence,
    gather,
    log_ratio,
    says_why,
)
from tracker.decisions.routine_words import disagreement, notes, verdict
from tracker.errors import UsageError
from tracker.lives.life_table import life_table
from tracker.models.evidence import EValue, e_value, events_for_exposure
from tracker.models.intervals import Estimate
from tracker.records.model import Records

Floats = NDArray[np.float64]

_NORMAL_975 = 1.959963984540054
# The least change worth planning for: a third fewer (or half as many more) failures.
_WORTH_DETECTING = math.log(1.5)
_DRAWS, _DRAWS_PER_LAG = 4000, 1500


@dataclass(frozen=True)
class RoutineEffect:
    """One schedule of a task against another: failures, money, and how sure that is.

    ``hazard_ratio``: how many times the risk of failing is under ``every_days`` as against
    ``instead_of_days``, posterior median with 95 % limits; ``cox_…`` the check without a life
    shape (NaN where it cannot tell). ``failures`` it rests on; ``events_needed`` how many in all
    would tell the estimated change (or a third fewer, whichever is larger) from none with 80 %
    power, infinite when the task was always done at one pace; ``further_failures`` what is
    missing. Savings per printer and year in currency units: mean and 10 % and 90 % points.
    ``lags``: the same ratio with the window ending 0, 3, 7, 14 days before.
    """

    part_kind: str
    task: str
    every_days: float
    instead_of_days: float
    lag_days: int
    as_of: date
    hazard_ratio: float
    lower: float
    upper: float
    chance_it_helps: float
    cox_hazard_ratio: float
    cox_lower: float
    cox_upper: float
    failures: int
    events_needed: float
    further_failures: float
    saving_per_printer_year: float
    saving_p10: float
    saving_p90: float
    chance_it_pays: float
    saving_without_spare: float
    failures_per_year: float
    failures_per_year_instead: float
    cost_of_failure: FailureCost
    cost_of_task: TaskCost
    break_even_ratio: float
    e_value: EValue
    proportional_p_value: float
    lags: pd.DataFrame
    disagreement: str
    verdict: str
    notes: tuple[str, ...]
    schedules: Schedules = field(repr=False)

    @property
    def is_told(self) -> bool:
        """True when the 95 % limits leave out "no effect"."""
        return self.upper < 1 or self.lower > 1

    def least_cost(self, intervals: tuple[float, ...] = DEFAULT_INTERVALS) -> LeastCost:
        """How often should the task be done so that work and failures together cost least?"""
        return least_cost_interval(self.schedules, intervals)

    def saving_at(self, every_days: float) -> tuple[float, float, float]:
        """Saving per printer and year of another interval against ``instead_of_days``:
        mean, 10 % and 90 % points."""
        fit = self.schedules.fit
        saving = self.schedules.cost_per_year(self.instead_of_days)
        saving = saving - self.schedules.cost_per_year(every_days)
        low, high = fit.quantiles(saving, (0.1, 0.9))
        return expected(fit, saving), float(low), float(high)


def routine_effect(
    records: Records,
    as_of: date,
    part_kind: str,
    task: str,
    every_days: float,
    instead_of_days: float,
    lag_days: int | None = None,
    spare_on_shelf: bool | None = None,
    rng: np.random.Generator | None = None,
) -> RoutineEffect:
    """What does doing the task every so many days, instead of another interval, change and save?

    ``lag_days`` None: 0 where the log tells planned actions from those a symptom called for, else
    7. ``spare_on_shelf`` None: as the stock stands (no stock written down counts as a spare).
    ``rng`` draws the posterior; left out, always the same draws.

    Raises:
        UsageError: intervals that make no sense or are the same.
        NotEnoughData: no part of the kind was watched long enough.
    """
    rng = rng or np.random.default_rng(20240229)
    _check(every_days, instead_of_days)
    known = records.known_at(as_of)
    reasons = says_why(known)
    if lag_days is None:
        lag_days = 0 if reasons else LAG_WITHOUT_REASONS
    evidence = gather(known, as_of, part_kind, task, lag_days, rng, _DRAWS)
    if spare_on_shelf is None:
        spare_on_shelf = _has_spare(known, part_kind)
    costs = failure_cost(known, part_kind, spare_on_shelf=spare_on_shelf)
    of_task = task_cost(known, task)
    schedules = Schedules(
        fit=evidence.weibull,
        exposure=evidence.exposure,
        groups=_groups(known, part_kind, evidence),
        other_removals_per_day=_other_removals(known, as_of, part_kind),
        working_share=working_share(known),
        failure_cost=costs.total,
        task_cost=of_task.total,
    )
    step = schedules.exposure_at(every_days) - schedules.exposure_at(instead_of_days)
    change = {evidence.exposure: step}
    fit = evidence.weibull
    ratio = fit.hazard_ratio(change)
    cox, cox_error = log_ratio(evidence.cox, change)
    here, there = (schedules.failures_per_year(days) for days in (every_days, instead_of_days))
    extra_work = of_task.total * (
        schedules.actions_per_year(every_days) - schedules.actions_per_year(instead_of_days)
    )
    saving = costs.total * (there - here) - extra_work
    without = failure_cost(known, part_kind, spare_on_shelf=False).total
    p10, p90 = fit.quantiles(saving, (0.1, 0.9))
    needed = _events_needed(ratio, step, evidence.spread)
    told = ratio.upper < 1 or ratio.lower > 1
    facts = {
        "part_kind": part_kind,
        "task": task,
        "every_days": every_days,
        "instead_of_days": instead_of_days,
        "failures": fit.failures,
        "further_failures": 0.0
        if told
        else max(0.0, math.ceil(needed) - fit.failures)
        if math.isfinite(needed)
        else math.inf,
        "saving_per_printer_year": expected(fit, saving),
        "saving_p10": float(p10),
        "saving_p90": float(p90),
        "chance_it_pays": fit.chance(saving > 0),
    }
    p_value = _drift(evidence)
    at = (schedules.exposure_at(every_days), schedules.exposure_at(instead_of_days))
    return RoutineEffect(
        lag_days=lag_days,
        as_of=as_of,
        hazard_ratio=ratio.estimate,
        lower=ratio.lower,
        upper=ratio.upper,
        chance_it_helps=fit.chance(fit.log_hazard_ratio(change) < 0),
        cox_hazard_ratio=math.exp(cox),
        cox_lower=math.exp(cox - _NORMAL_975 * cox_error),
        cox_upper=math.exp(cox + _NORMAL_975 * cox_error),
        events_needed=float(math.ceil(needed)) if math.isfinite(needed) else math.inf,
        saving_without_spare=expected(fit, without * (there - here)) - extra_work,
        failures_per_year=expected(fit, here),
        failures_per_year_instead=expected(fit, there),
        cost_of_failure=costs,
        cost_of_task=of_task,
        break_even_ratio=_break_even(expected(fit, there) * costs.total, extra_work),
        e_value=e_value(ratio.estimate, ratio.lower, ratio.upper, common=True),
        proportional_p_value=p_value,
        lags=_by_lag(known, as_of, part_kind, task, change, evidence, rng),
        disagreement=disagreement(ratio, cox, cox_error, fit.failures),
        verdict=verdict(records, ratio, facts),
        notes=notes(
            evidence, part_kind, task, at, reasons, p_value, spare_on_shelf, math.isfinite(cox)
        ),
        schedules=schedules,
        **facts,  # type: ignore[arg-type]
    )


def _check(every_days: float, instead_of_days: float) -> None:
    for name, value in (("every", every_days), ("instead_of", instead_of_days)):
        if not 0 < value <= 3650:
            raise UsageError(
                f"{name}: {value:g} days cannot be an interval; give days above 0 and up to 3650."
            )
    if every_days == instead_of_days:
        raise UsageError(
            f"every {every_days:g} days instead of every {instead_of_days:g} days is no change; "
            "give two different intervals."
        )


def _has_spare(known: Records, part_kind: str) -> bool:
    moves = known.stock.loc[known.stock["part_kind"] == part_kind, "quantity"]
    return bool(moves.empty or moves.sum() > 0)


def _groups(
    known: Records, part_kind: str, evidence: EffectEvidence
) -> tuple[tuple[dict[str, float], float], ...]:
    """How many positions of a printer carry white and how many colour."""
    positions = positions_per_printer(known, part_kind)
    rows = evidence.rows
    if "white" not in rows:
        return (({}, positions),)
    days = (rows["stop"] - rows["start"]).to_numpy()
    white = float(np.average(rows["white"], weights=days))
    return (({"white": 1.0}, positions * white), ({"white": 0.0}, positions * (1 - white)))


def _other_removals(known: Records, as_of: date, part_kind: str) -> float:
    """How often a part comes out for another reason than wear, per day it is in."""
    lives = life_table(known, as_of)
    lives = lives[(lives["part_kind"] == part_kind) & lives["counted"]]
    days = float((lives["age"] - lives["entry"]).sum())
    ended = lives["outcome"].isin(["accident", "planned", "with_other", "unknown"]).sum()
    return float(ended) / days if days > 0 else 0.0


def _events_needed(ratio: Estimate, step: float, spread: float) -> float:
    """Failures in all that tell the change with 80 % power: the estimated one if larger than the
    least worth planning for."""
    if spread < 1e-3 or step == 0:
        return math.inf
    size = max(abs(math.log(ratio.estimate)), _WORTH_DETECTING)
    return events_for_exposure(math.exp(size / abs(step)), spread)


def _break_even(cost_instead: float, extra_work: float) -> float:
    """The ratio of failures at which the extra work just pays for itself."""
    return max(0.0, 1 - extra_work / cost_instead) if cost_instead > 0 else math.nan


def _drift(evidence: EffectEvidence) -> float:
    """Does the task's effect change with the age of the part? p-value of the score test."""
    if evidence.cox is None:
        return math.nan
    table = evidence.cox.proportional_hazards().by_covariate
    if evidence.exposure not in table.index:
        return math.nan
    return float(table["p_value"].to_dict()[evidence.exposure])


def _by_lag(
    known: Records,
    as_of: date,
    part_kind: str,
    task: str,
    change: dict[str, float],
    chosen: EffectEvidence,
    rng: np.random.Generator,
) -> pd.DataFrame:
    """The hazard ratio with the window ending 0, 3, 7 and 14 days before each day."""
    lines = []
    for lag in LAGS:
        at = chosen
        if lag != chosen.lag_days:
            at = gather(known, as_of, part_kind, task, lag, rng, _DRAWS_PER_LAG)
        ratio = at.weibull.hazard_ratio(change)
        helps = at.weibull.chance(at.weibull.log_hazard_ratio(change) < 0)
        lines.append((lag, ratio.estimate, ratio.lower, ratio.upper, helps, at.failures))
    names = ["lag_days", "hazard_ratio", "lower", "upper", "chance_it_helps", "failures"]
    return pd.DataFrame(lines, columns=names)
