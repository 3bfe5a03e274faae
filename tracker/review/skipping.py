"""What did skipping due tasks cost? From the effect of each task on failures, where it is known.

One fit tells what each skipped task does for each kind that it is expected to help, beside the
other tasks and conditions (``skipping_effect``). A skipped action raises the risk over the
thirty days after it; all of that is counted with the month in which it was skipped: the parts'
hazard over the month under the actions really done, less that under the actions done and skipped
together. Where the log says that skipping did no harm, that is said with its range and never as
money saved: among many tasks and parts such a row comes by luck too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.cost_draws import CostDraws
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import has_spare, task_minutes
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.log_quality.judged_log import counted_log
from tracker.forecast.routine_exposure import Exposure
from tracker.review.expectation import exposed
from tracker.review.period import Period
from tracker.review.skipping_effect import KindInMonth, TaskEffects, days_done
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

COLUMNS = (
    "task", "part_kind", "skipped", "printers", "failures", "extra", "extra_low", "extra_high",
    "cost", "cost_low", "cost_high", "chance_it_cost", "told",
)  # fmt: skip
LEAST_FAILURES = 5
_SEED = 20240406
SURE = 0.95  # chance of one sign from which an effect is told: 90 % limits leave out none


@dataclass(frozen=True, eq=False)
class Skipping:
    """``rows``: COLUMNS, one per skipped task and kind it may protect; ``extra`` failures expected
    and their ``cost`` with 80 % range (NaN where too few failed, or
    where the task's frequency hardly changed on any printer), ``told`` where the log
    shows the effect.

    ``skipped`` actions in all, ``minutes_not_done`` their work; ``cost … chance_it_cost`` of the
    rows together that are told to have cost something (NaN where none is), in currency units.
    """

    rows: pd.DataFrame
    skipped: int
    minutes_not_done: float
    cost: float
    cost_low: float
    cost_high: float
    chance_it_cost: float


def cost_of_skipping(fitted: FittedLives, kept: pd.DataFrame, period: Period) -> Skipping:
    """What is the month's skipping (``kept``: see ``routine_kept``) estimated to have cost?

    ``fitted``: the lives as known on the period's last day. Only the tasks skipped in the month are
    looked at.
    """
    known = fitted.known
    missed = kept[kept["missed"] > 0]
    if missed.empty:
        return Skipping(pd.DataFrame(columns=list(COLUMNS)), 0, 0.0, *[np.nan] * 4)
    log = counted_log(known, period.last).records
    counted = days_done(log, period)
    written = counted if log is known else days_done(known, period)
    parts = exposed(fitted.lives, period)
    failed = fitted.lives["outcome"] == "failed"
    failures = fitted.lives.loc[failed, "part_kind"].value_counts()
    reckoned = FailureCosts.of(known, period.last)
    protected = _protected(missed, parts)
    asked = {
        Exposure(task, kind)
        for kind, tasks in protected.items()
        if failures.get(kind, 0) >= LEAST_FAILURES
        for task in tasks
    }
    effects = TaskEffects.of(fitted, asked)
    weighted = WeightedDraws(np.ones(1) if effects is None else effects.draws.weight)
    possible = CostDraws.of(known, len(weighted.weights), np.random.default_rng(_SEED))
    rows: list[dict[str, object]] = []
    costs: list[Array] = []
    for kind, tasks in protected.items():
        month = None if effects is None else KindInMonth.of(effects, period, kind, parts)
        spare = has_spare(known, kind, fitted.as_of)
        per_failure = possible.of_failure(reckoned.of_kind(kind, spare_on_shelf=spare))
        for task in tasks:
            skipped = missed[missed["task"] == task]
            row = {
                "task": task, "part_kind": kind, "skipped": int(skipped["missed"].sum()),
                "printers": skipped["printer"].nunique(), "failures": int(failures.get(kind, 0)),
                "told": False,
            }  # fmt: skip
            rows.append(row)
            if effects is None or month is None or Exposure(task, kind) not in effects.varied:
                continue
            done = _of_task(counted, task)
            more = _really_skipped(skipped, _of_task(written, task), done)
            extra = month.extra_failures(task, done, more)
            harmed = weighted.chance(extra > 0)
            is_clear = not 1 - SURE < harmed < SURE
            row |= _with_range(extra, weighted, per_failure)
            row |= {"failures": month.failures, "chance_it_cost": harmed, "told": is_clear}
            if is_clear and harmed > 0.5:
                costs.append(per_failure * extra)
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    table = table.sort_values(["told", "cost"], ascending=False, kind="stable", ignore_index=True)
    total = _all_together(costs, weighted)
    return Skipping(table, int(missed["missed"].sum()), _minutes(known, missed), *total)


def _of_task(days: pd.Series, task: str) -> pd.Series:
    """By printer, of ``days_done``."""
    is_asked = days.index.get_level_values("task") == task
    return days[is_asked].droplevel("task")


def _really_skipped(skipped: pd.DataFrame, written: pd.Series, counted: pd.Series) -> pd.Series:
    """What was skipped by printer, without the occasions that a half-written log left out: these
    were done.
    """
    more = counted.sub(written, fill_value=0.0)
    missed = skipped.set_index("printer")["missed"]
    filled = more.reindex(missed.index).fillna(0.0).clip(lower=0.0)
    return (missed - filled).clip(lower=0.0)


def _minutes(known: Records, missed: pd.DataFrame) -> float:
    """How long the skipped actions take.

    Time, not money: work that was not done is nothing earned until it is known what it cost.
    """
    number = missed.groupby("task")["missed"].sum()
    return sum(float(times) * task_minutes(known, str(task)) for task, times in number.items())


def _with_range(extra: Array, draws: WeightedDraws, per_failure: Array) -> dict[str, float]:
    """Extra failures and their cost, each with its 80 % range."""
    told = {"extra": extra, "cost": per_failure * extra}
    return {
        f"{what}{end}": value
        for what, values in told.items()
        for end, value in zip(("", "_low", "_high"), draws.expected(values), strict=True)
    }


def _protected(missed: pd.DataFrame, parts: pd.DataFrame) -> dict[str, list[str]]:
    """The part kinds the skipped tasks may protect, each with those tasks."""
    fitted = set(parts["part_kind"])
    found: dict[str, list[str]] = {}
    for task in dict.fromkeys(missed["task"]):
        usual = vocabulary.TASKS.get(task)
        for kind in usual.likely_helps if usual else ():
            if kind in fitted:
                found.setdefault(kind, []).append(task)
    return found


def _all_together(
    costs: Sequence[Array], draws: WeightedDraws
) -> tuple[float, float, float, float]:
    """Mean, 80 % range and chance above 0 of the sum of these costs; NaN where there are none."""
    if not costs:
        return (np.nan,) * 4
    total = np.sum(costs, axis=0)
    return *draws.expected(total), draws.chance(total > 0)
