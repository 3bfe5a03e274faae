"""What did skipping due tasks cost? From the effect of each task on failures, where it is known.

One life model per part kind, with every task that was skipped and is expected to help that kind as
an exposure, beside the other tasks and conditions (as in the routine's own evaluation). A skipped
action raises the risk over the thirty days after it; all of that is counted with the month in which
it was skipped: the parts' hazard over the month under the actions really done, less that under the
actions done and skipped together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions import wording
from tracker.decisions.routine_cost import failure_cost, task_cost
from tracker.decisions.routine_evidence import LAG_WITHOUT_REASONS, says_why
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.models.posterior import LifeBelief
from tracker.models.regression import WeibullHazardFit, fit_weibull_hazard
from tracker.models.weibull_hazard import PRIOR_SD
from tracker.records import vocabulary as words
from tracker.records.model import Records
from tracker.review.expectation import exposed
from tracker.review.period import Period

Floats = NDArray[np.float64]

COLUMNS = (
    "task", "part_kind", "skipped", "printers", "failures", "extra", "extra_low", "extra_high",
    "cost", "cost_low", "cost_high", "chance_it_cost", "told",
)  # fmt: skip
LEAST_FAILURES = 5
SURE = 0.95  # chance of one sign from which an effect is told: 90 % limits leave out none
_DRAWS = 600
_INK_PRIOR_SD = 1.5
_OTHER_TASKS = 4
_LEAST_ACTIONS = 20
_LEAST_SPREAD = 0.15  # of log2 rate: a task done at one pace tells nothing


@dataclass(frozen=True, eq=False)
class Skipping:
    """``rows``: COLUMNS, one per skipped task and kind it may protect; ``extra`` failures expected
    and their ``cost`` with 80 % range (NaN where no fit was worth making), ``told`` where the log
    shows the effect.

    ``skipped`` actions in all, ``work_saved`` by not doing them; ``cost … chance_it_cost`` of the
    rows told together (NaN where none is), in currency units.
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
    rows, costs = [], []
    parts = exposed(lives, period)
    failed = lives.loc[lives["outcome"] == "failed", "part_kind"].value_counts()
    for kind, tasks in _protected(missed, parts).items():
        fit, told = _fit(records, period, kind, tasks, often, int(failed.get(kind, 0)))
        own = parts[parts["part_kind"] == kind]
        if fit is None:
            for task in tasks:
                mine = missed[missed["task"] == task]
                unknown = (np.nan,) * 7
                rows.append(
                    (task, kind, int(mine["missed"].sum()), mine["printer"].nunique(),
                     int(failed.get(kind, 0)), *unknown, False)
                )  # fmt: skip
            continue
        per_failure = failure_cost(records, kind, spare_on_shelf=_has_spare(records, kind)).total
        for task in tasks:
            mine = missed[missed["task"] == task]
            done = skipped_log[skipped_log["task"] == task]
            extra, weights = _extra_failures(done, period, fit, own, task, mine)
            low, high = _points(extra, weights, (0.1, 0.9))
            harmed = float(weights @ (extra > 0))
            is_told = told[task] and not 1 - SURE < harmed < SURE
            rows.append(
                (task, kind, int(mine["missed"].sum()), mine["printer"].nunique(), fit.failures,
                 float(weights @ extra), low, high, per_failure * float(weights @ extra),
                 per_failure * low, per_failure * high, harmed, is_told)
            )  # fmt: skip
            if is_told:
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


def _fit(
    records: Records,
    period: Period,
    kind: str,
    tasks: list[str],
    often: pd.Series,
    failures: int,
) -> tuple[WeibullHazardFit | None, dict[str, bool]]:
    """One fit for the kind; and per skipped task whether the log can tell its effect at all.

    ``often`` counts the planned actions of each task, the commonest first. None where the log can
    tell none: too few failures, or every skipped task was done at one pace.
    """
    untold = dict.fromkeys(tasks, False)
    if failures < LEAST_FAILURES:
        return None, untold
    others = [
        name for name, number in often.items() if number >= _LEAST_ACTIONS and name not in tasks
    ]
    others.sort(key=lambda name: kind not in words.TASKS[name].likely_helps
                if name in words.TASKS else True)  # fmt: skip
    lag = 0 if says_why(records) else LAG_WITHOUT_REASONS
    rows = part_episodes(records, period.last, kind, [*tasks, *others[:_OTHER_TASKS]], lag_days=lag)
    if rows.empty:
        return None, untold
    days = (rows["stop"] - rows["start"]).to_numpy()
    spread = {
        str(name): _spread(rows[name].to_numpy(dtype=np.float64), days) for name in rows.columns[5:]
    }
    own = [f"x_{task}" for task in tasks]
    paced = {task: spread[f"x_{task}"] > _LEAST_SPREAD for task in tasks}
    if rows["failed"].sum() < LEAST_FAILURES or not any(paced.values()):
        return None, untold
    beside = [
        name for name in spread
        if name not in own and name != "white"
        and spread[name] > (_LEAST_SPREAD if name.startswith("x_") else 1e-6)
    ]  # fmt: skip
    prior = {name: PRIOR_SD / spread[name] for name in beside if not name.startswith("x_")}
    ink = ["white"] if "white" in spread else []
    prior |= dict.fromkeys(ink, _INK_PRIOR_SD)
    facts = records.part_facts(kind)
    try:
        fit = fit_weibull_hazard(
            rows,
            [*own, *beside, *ink],
            prior_sd=prior,
            belief=LifeBelief(facts.typical_life_days, max(facts.belief_failures, 0.1)),
            rng=np.random.default_rng(20240229),
            draws=_DRAWS,
        )
    except np.linalg.LinAlgError:  # no peak to be found: the review goes on without this answer
        return None, untold
    return fit, paced


def _extra_failures(
    log: pd.DataFrame,
    period: Period,
    fit: WeibullHazardFit,
    parts: pd.DataFrame,
    task: str,
    missed: pd.DataFrame,
) -> tuple[Floats, Floats]:
    """Failures expected more than with the task's skipped actions done, per draw, and weights.

    ``log``: the task's planned actions; ``missed``: how many were skipped on which printer.
    """
    number = dict(zip(missed["printer"], missed["missed"], strict=True))
    parts = parts[parts["printer"].isin(list(number))]
    inside = log["done_on"] >= pd.Timestamp(period.first)
    done = log[inside].groupby("printer")["done_on"].nunique()
    scale = PER_DAYS / ((period.last - period.first).days + 1)
    name = f"x_{task}"
    white = (parts["ink"] == "white").to_numpy(dtype=np.float64) * ("white" in fit.names)
    code, groups = pd.factorize(parts["printer"] + np.where(white > 0, "\x1f", ""))
    printers = [group.removesuffix("\x1f") for group in groups]
    actions = done.reindex(printers).fillna(0.0).to_numpy(dtype=np.float64)
    skipped = np.array([float(number[printer]) for printer in printers])
    really, wanted = log2_rate(scale * actions), log2_rate(scale * (actions + skipped))
    # The hazard each printer's parts of one ink gathered in the month, at the average pace …
    ends = parts[["from_age", "to_age"]].to_numpy(dtype=np.float64)
    both = fit.cumulative_hazard(ends.ravel(), {})
    gathered = np.zeros((len(groups), len(both)))
    np.add.at(gathered, code, (both[:, 1::2] - both[:, ::2]).T)
    # … and at the printer's own, with the skipped actions and without.
    effect = fit.draws[name].to_numpy()
    own = np.outer(really - float(fit.centre[name]), effect)
    if "white" in fit.names:
        is_white = np.array([float(group.endswith("\x1f")) for group in groups])
        own += np.outer(is_white - float(fit.centre["white"]), fit.draws["white"].to_numpy())
    extra = (gathered * np.exp(own) * -np.expm1(np.outer(wanted - really, effect))).sum(axis=0)
    return extra, np.asarray(fit.weights)


def _has_spare(records: Records, kind: str) -> bool:
    moves = records.stock.loc[records.stock["part_kind"] == kind, "quantity"]
    return bool(moves.empty or moves.sum() > 0)


def _spread(values: Floats, weight: Floats) -> float:
    mean = np.average(values, weights=weight)
    return float(np.sqrt(np.average((values - mean) ** 2, weights=weight)))


def _points(values: Floats, weights: Floats, shares: tuple[float, float]) -> tuple[float, float]:
    order = np.argsort(values)
    below = np.cumsum(weights[order]) - weights[order] / 2
    low, high = np.interp(shares, below, values[order])
    return float(low), float(high)


def _together(costs: list[tuple[Floats, Floats]], size: int = 2000) -> Floats:
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
    first = f"{wording.count(skipped, 'due task')} {'was' if skipped == 1 else 'were'} not done"
    first += f", which saved about {wording.money(saved, currency)} of work and fluid."
    told = table[table["told"]]
    untold = table[~table["told"]]
    if told.empty:
        if table.empty:
            return f"{first} None of them is known to protect a part that is fitted."
        return (
            f"{first} What skipping cost cannot be told yet: too few failures, or tasks always "
            "done at one pace."
        )
    names = ", ".join(dict.fromkeys(f"“{words.task_label(task)}”" for task in told["task"]))
    worth = "cost" if mean >= 0 else "saved"
    second = (
        f"Skipping {names} is estimated to have {worth} "
        f"{wording.money(abs(mean), currency)} in failures (80 % range "
        f"{wording.money(low, currency)} to {wording.money(high, currency)}; "
        f"{wording.chance(chance)} chance that it cost anything)."
    )
    third = " For the other tasks it cannot be told yet." if len(untold) else ""
    return f"{first} {second}{third}"
