"""How much did skipping a task raise the risk of a part kind's failures? One fit, and its use.

The fit is the routine's own: weekly rows of every part's life with the frequency of each task over
the thirty days before. What was skipped in a month is held against it as if it had been done.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.adjustment import (
    LEAST_SPREAD,
    adjusted_fit,
    other_tasks,
    usual_lag,
)
from tracker.decisions.routine.task_frequency import spread
from tracker.errors import ModelError
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.lives.open_days import Closures
from tracker.models.regression import WeibullHazardFit
from tracker.review.period import Period
from tracker.workshop.records import Records

LEAST_FAILURES = 5
_DRAWS = 600


@dataclass(frozen=True, eq=False)
class SkippedTasksFit:
    """The hazard of one part kind with every skipped task, and the tasks whose frequency varied
    enough in the log for their effect to show."""

    hazard: WeibullHazardFit
    varied: frozenset[str]


def fit_skipped_tasks(
    known: Records, period: Period, part_kind: str, tasks: list[str]
) -> SkippedTasksFit | None:
    """One fit for the kind, with everything the routine's own evaluation allows for.

    ``known``: the records as known on the period's last day. None where the log can tell no
    effect: too few failures, or every skipped task always done at one frequency.
    """
    all_tasks = [*tasks, *other_tasks(known, part_kind, tasks)]
    rows = part_episodes(known, period.last, part_kind, all_tasks, lag_days=usual_lag(known))
    if rows["failed"].sum() < LEAST_FAILURES:
        return None
    varied = frozenset(task for task in tasks if spread(rows, f"x_{task}") > LEAST_SPREAD)
    if not varied:
        return None
    rng = np.random.default_rng(20240229)
    own = [f"x_{task}" for task in tasks]
    try:
        hazard = adjusted_fit(rows, own, known.part_facts(part_kind), rng, _DRAWS)
    except ModelError:  # no peak can be found: the review goes on without this answer
        return None
    return SkippedTasksFit(hazard, varied)


def extra_failures(
    log: pd.DataFrame,
    period: Period,
    fit: WeibullHazardFit,
    parts: pd.DataFrame,
    task: str,
    missed: pd.DataFrame,
    closures: Closures,
) -> Array:
    """Failures expected more than with the task's skipped actions done, per draw.

    ``log``: the task's planned actions; ``missed``: how many were skipped on which printer. How
    often is per open day, as in the fit.
    """
    number = dict(zip(missed["printer"], missed["missed"], strict=True))
    parts = parts[parts["printer"].isin(list(number))]
    inside = log["done_on"] >= pd.Timestamp(period.first)
    done = log[inside].groupby("printer")["done_on"].nunique()
    name = f"x_{task}"
    white = (parts["ink"] == "white").to_numpy(dtype=np.float64) * ("white" in fit.names)
    code, groups = pd.factorize(parts["printer"] + np.where(white > 0, "\x1f", ""))
    printers = [group.removesuffix("\x1f") for group in groups]
    actions = done.reindex(printers).fillna(0.0).to_numpy(dtype=np.float64)
    skipped = np.array([float(number[printer]) for printer in printers])
    whole = (period.last - period.first).days + 1
    before = period.first - timedelta(days=1)
    shut = [closures.closed_between(printer, before, period.last) for printer in printers]
    scale = PER_DAYS / np.maximum(whole - np.array(shut, dtype=np.float64), 1.0)
    really, wanted = log2_rate(scale * actions), log2_rate(scale * (actions + skipped))
    # The hazard each printer's parts of one ink gathered in the month, at the average frequency …
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
    more = -np.expm1(np.outer(wanted - really, effect))
    extra: Array = (gathered * np.exp(own) * more).sum(axis=0)
    return extra
