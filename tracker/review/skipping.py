"""What did skipping due tasks cost? From the effect of each task on failures, where it is known.

One life model per part kind, with every task that was skipped and is expected to help that kind as
an exposure, beside the other tasks and conditions (as in the routine's own evaluation). A skipped
action raises the risk over the thirty days after it; all of that is counted with the month in which
it was skipped: the parts' hazard over the month under the actions really done, less that under the
actions done and skipped together. Where the log says that skipping did no harm, that is said with
its range and never as money saved: among many tasks and parts such a row comes by luck too (in 14
simulated workshops without any effect 1 of 75 rows was told).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.routine.cost import has_spare, task_cost
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.forecast.log_quality.judged_log import counted_log
from tracker.lives.open_days import Closures
from tracker.review.expectation import exposed
from tracker.review.period import Period
from tracker.review.skipping_effect import (
    LEAST_FAILURES,
    days_done,
    extra_failures,
    fit_skipped_tasks,
)
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

COLUMNS = (
    "task", "part_kind", "skipped", "printers", "failures", "extra", "extra_low", "extra_high",
    "cost", "cost_low", "cost_high", "chance_it_cost", "told",
)  # fmt: skip
SURE = 0.95  # chance of one sign from which an effect is told: 90 % limits leave out none


@dataclass(frozen=True, eq=False)
class Skipping:
    """``rows``: COLUMNS, one per skipped task and kind it may protect; ``extra`` failures expected
    and their ``cost`` with 80 % range (NaN where no fit was worth making), ``told`` where the log
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


def cost_of_skipping(
    known: Records, lives: pd.DataFrame, kept: pd.DataFrame, period: Period
) -> Skipping:
    """What is the month's skipping (``kept``: see ``routine_kept``) estimated to have cost?

    ``known``: the records as known on the period's last day. Only the tasks skipped in it are
    looked at.
    """
    missed = kept[kept["missed"] > 0]
    if missed.empty:
        return Skipping(pd.DataFrame(columns=list(COLUMNS)), 0, 0.0, *[np.nan] * 4)
    log = _planned(known, missed)
    judged = counted_log(known, period.last).records
    counted = log if judged is known else _planned(judged, missed)
    parts = exposed(lives, period)
    failures = lives.loc[lives["outcome"] == "failed", "part_kind"].value_counts()
    rows: list[dict[str, object]] = []
    costs: list[tuple[Array, EffectDraws]] = []
    closures = Closures.of(known)
    reckoned = FailureCosts.of(known, period.last, lives)
    for kind, tasks in _protected(missed, parts).items():
        seen = int(failures.get(kind, 0))
        fit = fit_skipped_tasks(known, period, kind, tasks) if seen >= LEAST_FAILURES else None
        own = parts[parts["part_kind"] == kind]
        per_failure = reckoned.of_kind(kind, spare_on_shelf=has_spare(known, kind)).total
        for task in tasks:
            skipped = missed[missed["task"] == task]
            row = {
                "task": task, "part_kind": kind, "skipped": int(skipped["missed"].sum()),
                "printers": skipped["printer"].nunique(), "failures": seen, "told": False,
            }  # fmt: skip
            rows.append(row)
            if fit is None:
                continue
            done = counted[counted["task"] == task]
            skipped = _really_skipped(skipped, log[log["task"] == task], done, period)
            extra = extra_failures(done, period, fit.draws, own, task, skipped, closures)
            harmed = fit.draws.chance(extra > 0)
            is_clear = task in fit.varied and not 1 - SURE < harmed < SURE
            row |= _with_range(extra, fit.draws, per_failure)
            row |= {
                "failures": fit.draws.failures, "chance_it_cost": harmed, "told": is_clear,
            }  # fmt: skip
            if is_clear and harmed > 0.5:
                costs.append((per_failure * extra, fit.draws))
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    table = table.sort_values(["told", "cost"], ascending=False, kind="stable", ignore_index=True)
    total = _all_together(costs)
    return Skipping(table, int(missed["missed"].sum()), _minutes(known, log, missed), *total)


def _planned(records: Records, missed: pd.DataFrame) -> pd.DataFrame:
    """The planned actions of the tasks that were skipped."""
    task = records.codes("maintenance", "task")
    skipped = task.marked(pd.Index(task.words).isin(missed["task"].unique()))
    planned = records.codes("maintenance", "why").is_word("planned")
    return records.maintenance[skipped & planned]


def _really_skipped(
    skipped: pd.DataFrame, written: pd.DataFrame, counted: pd.DataFrame, period: Period
) -> pd.DataFrame:
    """What was skipped, without the occasions that a half-written log left out: these were done."""
    more = days_done(counted, period).sub(days_done(written, period), fill_value=0.0)
    filled = more.reindex(skipped["printer"]).fillna(0.0).clip(lower=0.0).to_numpy()
    return skipped.assign(missed=(skipped["missed"] - filled).clip(lower=0.0))


def _minutes(known: Records, log: pd.DataFrame, missed: pd.DataFrame) -> float:
    """How long the skipped actions take; ``log``: the planned actions of these tasks.

    Time, not money: work that was not done is nothing earned until it is known what it cost.
    """
    small = known.but(maintenance=log)
    number = missed.groupby("task")["missed"].sum()
    return sum(float(times) * task_cost(small, str(task)).minutes for task, times in number.items())


def _with_range(extra: Array, fit: EffectDraws, per_failure: float) -> dict[str, float]:
    """Extra failures and their cost, each with its 80 % range."""
    mean, (low, high) = float(fit.weights @ extra), map(float, fit.quantiles(extra, (0.1, 0.9)))
    return {
        "extra": mean, "extra_low": low, "extra_high": high,
        "cost": per_failure * mean, "cost_low": per_failure * low, "cost_high": per_failure * high,
    }  # fmt: skip


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
    costs: list[tuple[Array, EffectDraws]], size: int = 2000
) -> tuple[float, float, float, float]:
    """Mean, 80 % range and chance above 0 of the sum of these costs; NaN where there are none.

    Tasks of one kind share their draws' order, kinds are independent.
    """
    if not costs:
        return (np.nan,) * 4
    rng = np.random.default_rng(7)
    picked: dict[int, Ints] = {}
    total = np.zeros(size)
    for cost, fit in costs:
        if id(fit) not in picked:
            picked[id(fit)] = rng.choice(len(fit.weights), size, p=fit.weights / fit.weights.sum())
        total += cost[picked[id(fit)]]
    low, high = np.quantile(total, (0.1, 0.9))
    mean = sum(fit.weights @ cost for cost, fit in costs)
    return float(mean), float(low), float(high), float(np.mean(total > 0))
