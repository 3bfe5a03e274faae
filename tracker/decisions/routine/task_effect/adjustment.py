"""What else is allowed for when the effect of a task on a part kind is asked: one choice for all.

The other tasks whose frequency changes, idle share, printed area, white share and humidity where
known; inks and types of parts have lives of their own.
"""

from __future__ import annotations

from collections.abc import Collection

import pandas as pd

from tracker.decisions.routine.task_effect.task_frequency import is_task, time_apart, variation
from tracker.forecast.routine_exposure import planned_counts
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_MOST_OTHER_TASKS = 4
# Of log2 rate: a task always done at one frequency tells nothing and blurs nothing.
LEAST_SPREAD = 0.15
_NO_CONDITION = 1e-6  # spread of a condition that was always the same
# Of the time watched: a week idle of one printer among hundreds lies a hundred spreads from the
# mean, where no draw of an effect that nothing tells leaves a hazard that can be written down.
_HARDLY_EVER = 1e-3
_FIRST_EXPOSURE = 5  # columns of ``part_episodes`` before the exposures


def other_tasks(known: Records, part_kind: str, tasks: Collection[str]) -> list[str]:
    """Tasks to allow for: those the trade expects to matter for the part first, then by number."""
    counts = planned_counts(known)
    counts = counts[~counts.index.isin(list(tasks))]

    def rank(name: str) -> tuple[bool, int, str]:
        task = vocabulary.TASKS.get(name)
        is_expected = task is not None and part_kind in task.likely_helps
        return (not is_expected, -int(counts[name]), name)

    return sorted(counts.index, key=rank)[:_MOST_OTHER_TASKS]


def other_exposures(rows: pd.DataFrame, own: Collection[str]) -> list[str]:
    """The exposures beside the ``own`` ones that vary enough to blur an effect where left out."""
    others = [name for name in rows.columns[_FIRST_EXPOSURE:] if name not in (*own, "white")]
    spreads = zip(others, variation(rows, others).spread, strict=True)
    return [name for name, spread in spreads if _varies(rows, name, float(spread))]


def _varies(rows: pd.DataFrame, name: str, spread: float) -> bool:
    if is_task(name):
        return spread > LEAST_SPREAD
    return spread > _NO_CONDITION and time_apart(rows, name) > _HARDLY_EVER
