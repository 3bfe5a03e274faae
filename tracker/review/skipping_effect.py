"""How much did skipping a task raise the risk of a part kind's failures? One fit, and its use.

The fit is the routine's own: every part's life with the frequency of each task over the thirty days
before. What was skipped in a month is held against it as if it had been done.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.routine.task_effect.adjustment import (
    LEAST_SPREAD,
    other_exposures,
    other_tasks,
)
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.decisions.routine.task_effect.task_frequency import spread
from tracker.forecast.log_quality.judged_log import counted_log
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import PER_DAYS, log2_rate
from tracker.lives.open_days import Closures
from tracker.review.period import Period
from tracker.workshop.records import Records

LEAST_FAILURES = 5
_DRAWS = 600


@dataclass(frozen=True, eq=False)
class SkippedTasksFit:
    """The life model of one part kind with every skipped task, and the tasks whose frequency varied
    enough in the log for their effect to show."""

    draws: EffectDraws
    varied: frozenset[str]


def fit_skipped_tasks(
    known: Records, period: Period, part_kind: str, tasks: list[str]
) -> SkippedTasksFit | None:
    """One fit for the kind, with everything the routine's own evaluation allows for, and from the
    log once it is judged.

    ``known``: the records as known on the period's last day. None where the log can tell no
    effect: too few failures, or every skipped task always done at one frequency.
    """
    log = counted_log(known, period.last)
    counted, lag_days = log.records, log.lag_of(*tasks)
    all_tasks = [*tasks, *other_tasks(counted, part_kind, tasks)]
    rows = part_episodes(
        counted, period.last, part_kind, all_tasks, lag_days=lag_days, gaps=log.gaps
    )
    if rows["failed"].sum() < LEAST_FAILURES:
        return None
    varied = frozenset(task for task in tasks if spread(rows, f"x_{task}") > LEAST_SPREAD)
    if not varied:
        return None
    own = [f"x_{task}" for task in tasks]
    beside = other_exposures(rows, own)
    history = effect_history(counted, period.last, part_kind, own, beside, lag_days, gaps=log.gaps)
    if history is None:
        return None
    draws = EffectDraws.of(history, _DRAWS, np.random.default_rng(20240229))
    return SkippedTasksFit(draws, varied)


def extra_failures(
    log: pd.DataFrame,
    period: Period,
    fit: EffectDraws,
    parts: pd.DataFrame,
    task: str,
    missed: pd.DataFrame,
    closures: Closures,
) -> Array:
    """Failures expected more than with the task's skipped actions done, per draw.

    ``log``: the task's planned actions as they are counted; ``missed``: how many were skipped on
    which printer. How often is per open day, as in the fit, and only open days wear.
    """
    number = dict(zip(missed["printer"], missed["missed"], strict=True))
    parts = parts[parts["printer"].isin(list(number))]
    done = days_done(log, period)
    code, printers = pd.factorize(parts["printer"])
    actions = done.reindex(printers).fillna(0.0).to_numpy(dtype=np.float64)
    skipped = np.array([float(number[printer]) for printer in printers])
    whole = (period.last - period.first).days + 1
    before = period.first - timedelta(days=1)
    shut = [closures.closed_between(printer, before, period.last) for printer in printers]
    open_days = whole - np.array(shut, dtype=np.float64)
    scale = PER_DAYS / np.maximum(open_days, 1.0)
    really, wanted = log2_rate(scale * actions), log2_rate(scale * (actions + skipped))
    # The hazard each printer's parts gathered in the month, at the usual frequency …
    from_age, to_age = parts[["from_age", "to_age"]].to_numpy(dtype=np.float64).T
    to_age = from_age + (to_age - from_age) * (open_days / whole)[code]
    each = fit.gathered(_groups(fit, parts), _printers(fit, parts), from_age, to_age)
    gathered = np.zeros((len(printers), len(fit.weights)))
    np.add.at(gathered, code, each.T)
    # … and at the printer's own, with the skipped actions and without.
    name = f"x_{task}"
    effect = fit.effect(name)
    own = np.outer(really - fit.centre(name), effect)
    more = -np.expm1(np.outer(wanted - really, effect))
    extra: Array = (gathered * np.exp(own) * more).sum(axis=0)
    return extra


def days_done(log: pd.DataFrame, period: Period) -> pd.Series:
    """On how many days of the month was it done on each printer? ``log`` ends with the month."""
    inside = log["done_on"] >= pd.Timestamp(period.first)
    found: pd.Series = log[inside].groupby("printer")["done_on"].nunique()
    return found


def _printers(fit: EffectDraws, parts: pd.DataFrame) -> Ints:
    return pd.Index(fit.printers).get_indexer(pd.Index(parts["printer"])).astype(np.int64)


def _groups(fit: EffectDraws, parts: pd.DataFrame) -> Ints:
    """Each part's group; of a type not seen yet, that of its ink."""
    of_ink = {ink: at for at, (_, ink, _) in reversed(list(enumerate(fit.groups)))}
    exact = {(ink, variant): at for at, (_, ink, variant) in enumerate(fit.groups)}
    found = [
        exact.get((ink, variant), of_ink.get(ink, 0))
        for ink, variant in zip(parts["ink"], parts["variant"], strict=True)
    ]
    return np.array(found, dtype=np.int64)
