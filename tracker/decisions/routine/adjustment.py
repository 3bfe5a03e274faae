"""What else is allowed for when the effect of a task on a part kind is asked: one choice for all.

The other tasks whose frequency changes, idle share, printed area, white share and humidity where
known, and the ink.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_frequency import is_task, spread
from tracker.forecast.need import wear_belief
from tracker.models.regression import WeibullHazardFit, fit_weibull_hazard
from tracker.models.regression.weibull_hazard import PRIOR_SD
from tracker.workshop import vocabulary
from tracker.workshop.records import PartFacts, Records

# Where the log never says why, this lag keeps the trouble before a failure out.
LAG_WITHOUT_REASONS = 7
_MOST_OTHER_TASKS = 4
_LEAST_ACTIONS = 20
# Of log2 rate: a task always done at one frequency tells nothing and blurs nothing.
LEAST_SPREAD = 0.15
_NO_CONDITION = 1e-6  # spread of a condition that was always the same
_INK_PRIOR_SD = 1.5
_FIRST_EXPOSURE = 5  # columns of ``part_episodes`` before the exposures


def says_why(known: Records) -> bool:
    """Does the log tell planned actions from those that a symptom called for?"""
    return bool((known.maintenance["why"] == "symptom").any())


def usual_lag(known: Records) -> int:
    """How many days before each day are left out where nobody chose."""
    return 0 if says_why(known) else LAG_WITHOUT_REASONS


def other_tasks(known: Records, part_kind: str, tasks: Collection[str]) -> list[str]:
    """Tasks to allow for: those the trade expects to matter for the part first, then by number."""
    log = known.maintenance
    counts = log.loc[log["why"] == "planned", "task"].value_counts()
    counts = counts[(counts >= _LEAST_ACTIONS) & ~counts.index.isin(list(tasks))]

    def rank(name: str) -> tuple[bool, int, str]:
        task = vocabulary.TASKS.get(name)
        is_expected = task is not None and part_kind in task.likely_helps
        return (not is_expected, -int(counts[name]), name)

    return sorted(counts.index, key=rank)[:_MOST_OTHER_TASKS]


def other_exposures(rows: pd.DataFrame, own: Collection[str]) -> list[str]:
    """The exposures beside the ``own`` ones that vary enough to blur an effect where left out."""
    return [
        name
        for name in rows.columns[_FIRST_EXPOSURE:]
        if name not in (*own, "white")
        and spread(rows, name) > (LEAST_SPREAD if is_task(name) else _NO_CONDITION)
    ]


def adjusted_fit(
    rows: pd.DataFrame,
    own: Sequence[str],
    facts: PartFacts,
    rng: np.random.Generator,
    draws: int,
) -> WeibullHazardFit:
    """The hazard with the ``own`` exposures, everything else of ``rows`` allowed for.

    The belief on a condition is that a usual difference of it (one standard deviation) matters as
    much as a doubling of a task's frequency may.
    """
    beside = other_exposures(rows, own)
    prior = {name: PRIOR_SD / spread(rows, name) for name in beside if not is_task(name)}
    ink = ["white"] if "white" in rows else []
    return fit_weibull_hazard(
        rows,
        [*own, *beside, *ink],
        prior_sd=prior | dict.fromkeys(ink, _INK_PRIOR_SD),
        belief=wear_belief(facts),
        rng=rng,
        draws=draws,
    )
