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

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.decisions.routine.cost import failure_cost, task_cost
from tracker.review.expectation import exposed
from tracker.review.period import Period
from tracker.review.skipping_effect import extra_failures, fitted_effect
from tracker.say import numbers
from tracker.workshop import vocabulary as words
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

    ``skipped`` actions in all, ``work_saved`` by not doing them; ``cost … chance_it_cost`` of the
    rows together that are told to have cost something (NaN where none is), in currency units.
    """

    rows: pd.DataFrame
    skipped: int
    work_saved: float
    cost: float
    cost_low: float
    cost_high: float
    chance_it_cost: float
    sentence: str


def cost_of_skipping(
    records: Records, lives: pd.DataFrame, kept: pd.DataFrame, period: Period
) -> Skipping:
    """What is the month's skipping (``kept``: see ``routine_kept``) estimated to have cost?

    ``records`` as known on the period's last day. Only the tasks skipped in it are looked at.
    """
    missed = kept[kept["missed"] > 0]
    skipped = int(missed["missed"].sum()) if len(missed) else 0
    if not skipped:
        return Skipping(_no_rows(), 0, 0.0, np.nan, np.nan, np.nan, np.nan, "")
    planned = _planned(records)
    skipped_log = planned[planned["task"].isin(missed["task"].unique())]
    small = replace(records, maintenance=skipped_log)
    saved = sum(
        float(number) * task_cost(small, str(task)).total
        for task, number in missed.groupby("task")["missed"].sum().items()
    )
    often = planned["task"].value_counts()
    rows: list[dict[str, object]] = []
    costs: list[tuple[Array, Array]] = []
    parts = exposed(lives, period)
    failed = lives.loc[lives["outcome"] == "failed", "part_kind"].value_counts()
    for kind, tasks in _protected(missed, parts).items():
        failures = int(failed.get(kind, 0))
        fit, paced = fitted_effect(records, period, kind, tasks, often, failures)
        own = parts[parts["part_kind"] == kind]
        per_failure = failure_cost(records, kind, spare_on_shelf=_has_spare(records, kind)).total
        for task in tasks:
            mine = missed[missed["task"] == task]
            row = {
                "task": task, "part_kind": kind, "skipped": int(mine["missed"].sum()),
                "printers": mine["printer"].nunique(), "failures": failures, "told": False,
            }  # fmt: skip
            rows.append(row)
            if fit is None:
                continue
            done = skipped_log[skipped_log["task"] == task]
            extra, weights = extra_failures(done, period, fit, own, task, mine)
            harmed = float(weights @ (extra > 0))
            row |= _with_range(extra, weights, per_failure)
            row |= {
                "failures": fit.failures, "chance_it_cost": harmed,
                "told": paced[task] and not 1 - SURE < harmed < SURE,
            }  # fmt: skip
            if row["told"] and harmed > 0.5:
                costs.append((per_failure * extra, weights))
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    table = table.sort_values(["told", "cost"], ascending=False, kind="stable", ignore_index=True)
    total = _together(costs)
    mean, low, high, chance = np.nan, np.nan, np.nan, np.nan
    if costs:
        mean = float(sum(weights @ cost for cost, weights in costs))
        low, high = (float(value) for value in np.quantile(total, (0.1, 0.9)))
        chance = float(np.mean(total > 0))
    told_in_words = _sentence(table, skipped, saved, mean, low, high, chance, records)
    return Skipping(table, skipped, saved, mean, low, high, chance, told_in_words)


def _no_rows() -> pd.DataFrame:
    return pd.DataFrame(columns=list(COLUMNS))


def _with_range(extra: Array, weights: Array, per_failure: float) -> dict[str, float]:
    """Extra failures and their cost, each with its 80 % range."""
    mean, (low, high) = float(weights @ extra), _points(extra, weights, (0.1, 0.9))
    return {
        "extra": mean, "extra_low": low, "extra_high": high,
        "cost": per_failure * mean, "cost_low": per_failure * low, "cost_high": per_failure * high,
    }  # fmt: skip


def _protected(missed: pd.DataFrame, parts: pd.DataFrame) -> dict[str, list[str]]:
    """The part kinds the skipped tasks may protect, each with those tasks."""
    fitted = set(parts["part_kind"])
    found: dict[str, list[str]] = {}
    for task in dict.fromkeys(missed["task"]):
        known = words.TASKS.get(task)
        for kind in known.likely_helps if known else ():
            if kind in fitted:
                found.setdefault(kind, []).append(task)
    return found


def _planned(records: Records) -> pd.DataFrame:
    """The planned actions of the log."""
    log = records.maintenance
    return log[log["why"] == "planned"]


def _has_spare(records: Records, kind: str) -> bool:
    moves = records.stock.loc[records.stock["part_kind"] == kind, "quantity"]
    return bool(moves.empty or moves.sum() > 0)


def _points(values: Array, weights: Array, shares: tuple[float, float]) -> tuple[float, float]:
    order = np.argsort(values)
    below = np.cumsum(weights[order]) - weights[order] / 2
    low, high = np.interp(shares, below, values[order])
    return float(low), float(high)


def _together(costs: list[tuple[Array, Array]], size: int = 2000) -> Array:
    """Draws of the sum. Tasks of one kind share their draws' order, kinds are independent."""
    rng = np.random.default_rng(7)
    picked: dict[int, NDArray[np.intp]] = {}
    total = np.zeros(size)
    for cost, weights in costs:
        if id(weights) not in picked:
            picked[id(weights)] = rng.choice(len(weights), size, p=weights / weights.sum())
        total += cost[picked[id(weights)]]
    return total


def _sentence(
    table: pd.DataFrame, skipped: int, saved: float, mean: float, low: float, high: float,
    chance: float, records: Records,
) -> str:  # fmt: skip
    currency = records.setting("currency")
    first = f"{numbers.count(skipped, 'due task')} {'was' if skipped == 1 else 'were'} not done"
    first += f", which saved about {numbers.money(saved, currency)} of work and fluid."
    told = table[table["told"].astype(bool)]
    if told.empty:
        if table.empty:
            return f"{first} None of them is known to protect a part that is fitted."
        return (
            f"{first} What skipping cost cannot be told yet: too few failures, or tasks always "
            "done at one pace."
        )
    said = [first]
    harmful = told[told["chance_it_cost"] > 0.5]
    if len(harmful):
        names = ", ".join(dict.fromkeys(f"“{words.task_label(task)}”" for task in harmful["task"]))
        said.append(
            f"Skipping {names} is estimated to have cost {numbers.money(mean, currency)} in "
            f"failures (80 % range {numbers.money(low, currency)} to "
            f"{numbers.money(high, currency)}; {numbers.chance(chance)} chance that it cost "
            "anything)."
        )
    harmless = told[told["chance_it_cost"] <= 0.5]
    said += [_no_harm(row) for _, row in harmless.iterrows()]
    if len(harmless):
        said.append("With many tasks looked at this can be luck; it is no reason to skip.")
    if len(told) < len(table):
        said.append("For the other tasks it cannot be told yet.")
    return " ".join(said)


def _no_harm(row: pd.Series) -> str:
    """Skipping went with fewer failures, in words: signs turned, for they are said as fewer."""
    part = words.part_label(row["part_kind"]).lower()
    most, least = (numbers.figure(-row[name]) for name in ("extra_low", "extra_high"))
    return (
        f"Skipping “{words.task_label(row['task'])}” did no harm that the log shows: "
        f"{numbers.figure(-row['extra'])} {part} failures fewer than expected had it been done "
        f"(80 % range {least} to {most} fewer; {numbers.chance(row['chance_it_cost'])} chance that "
        "it did harm)."
    )
