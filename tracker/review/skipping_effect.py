"""How much did skipping a task raise the risk of a part kind's failures? One fit, and its use.

The fit is the routine's own: weekly rows of every part's life with the pace of each task over the
thirty days before. What was skipped in a month is held against it as if it had been done.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.evidence import (
    INK_PRIOR_SD,
    LAG_WITHOUT_REASONS,
    LEAST_ACTIONS,
    LEAST_SPREAD,
    MOST_OTHER_TASKS,
    says_why,
)
from tracker.decisions.routine.task_frequency import spread as spread_of
from tracker.errors import ModelError
from tracker.forecast.need import wear_belief
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.models.regression import WeibullHazardFit, fit_weibull_hazard
from tracker.models.regression.weibull_hazard import PRIOR_SD
from tracker.review.period import Period
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

LEAST_FAILURES = 5
_DRAWS = 600


def fitted_effect(
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
        name for name, number in often.items() if number >= LEAST_ACTIONS and name not in tasks
    ]
    others.sort(key=lambda name: kind not in words.TASKS[name].likely_helps
                if name in words.TASKS else True)  # fmt: skip
    lag = 0 if says_why(records) else LAG_WITHOUT_REASONS
    rows = part_episodes(
        records, period.last, kind, [*tasks, *others[:MOST_OTHER_TASKS]], lag_days=lag
    )
    if rows.empty:
        return None, untold
    days = (rows["stop"] - rows["start"]).to_numpy()
    spread = {
        str(name): spread_of(rows[name].to_numpy(dtype=np.float64), days)
        for name in rows.columns[5:]
    }
    own = [f"x_{task}" for task in tasks]
    paced = {task: spread[f"x_{task}"] > LEAST_SPREAD for task in tasks}
    if rows["failed"].sum() < LEAST_FAILURES or not any(paced.values()):
        return None, untold
    beside = [
        name for name in spread
        if name not in own and name != "white"
        and spread[name] > (LEAST_SPREAD if name.startswith("x_") else 1e-6)
    ]  # fmt: skip
    prior = {name: PRIOR_SD / spread[name] for name in beside if not name.startswith("x_")}
    ink = ["white"] if "white" in spread else []
    prior |= dict.fromkeys(ink, INK_PRIOR_SD)
    facts = records.part_facts(kind)
    try:
        fit = fit_weibull_hazard(
            rows,
            [*own, *beside, *ink],
            prior_sd=prior,
            belief=wear_belief(facts),
            rng=np.random.default_rng(20240229),
            draws=_DRAWS,
        )
    except ModelError:  # no peak can be found: the review goes on without this answer
        return None, untold
    return fit, paced


def extra_failures(
    log: pd.DataFrame,
    period: Period,
    fit: WeibullHazardFit,
    parts: pd.DataFrame,
    task: str,
    missed: pd.DataFrame,
) -> tuple[Array, Array]:
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
