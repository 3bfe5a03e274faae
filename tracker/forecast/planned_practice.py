"""Which kinds does the workshop change by plan, and at which age? Learned from its own changes.

A kind counts as changed by plan where the planned changes came at nearly one age and hardly any
part was let run past it: then a part that gets there will be needed for certain, which no rate
can say. Common practice, no source: four such changes at least, four in five of them within a
tenth of the middle age (a week for short ones), three in four of the parts that got there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.lives.life_table import life_table
from tracker.workshop.records import Records

LEAST_CHANGES = 4
RECENT_CHANGES = 12  # a practice of years ago says little about today's
NARROW = 0.1  # of the age
NARROW_DAYS = 7.0
SHARE_WITHIN = 0.8
SHARE_CHANGED = 0.75


@dataclass(frozen=True)
class PlannedPractice:
    """A kind is changed working at ``age_days``: ``changed`` parts of the ``reached`` that got
    there lately were."""

    part_kind: str
    age_days: float
    changed: int
    reached: int


def margin_of(age_days: Array) -> Array:
    """How many days around that age a change still counts as one at that age."""
    return np.maximum(NARROW * age_days, NARROW_DAYS)


def planned_practice(
    records: Records, as_of: date, lives: pd.DataFrame | None = None
) -> dict[str, PlannedPractice]:
    """At which age does the workshop change working parts, for every kind it does so?

    ``lives`` may be given where ``life_table`` of that day is already there.
    """
    lives = life_table(records, as_of) if lives is None else lives
    known = lives[lives["age"].notna() & lives["fitted_on"].notna()]
    found = {}
    for kind in dict.fromkeys(known.loc[known["outcome"] == "planned", "part_kind"]):
        practice = _practice(str(kind), known[known["part_kind"] == kind])
        if practice is not None:
            found[str(kind)] = practice
    return found


def practised_ages(records: Records, as_of: date, lives: pd.DataFrame) -> dict[str, float]:
    """The ages alone, in days: what ``play_futures`` asks for."""
    return {kind: own.age_days for kind, own in planned_practice(records, as_of, lives).items()}


def _practice(kind: str, lives: pd.DataFrame) -> PlannedPractice | None:
    planned = lives[lives["outcome"] == "planned"].sort_values("removed_on", kind="stable")
    planned = planned.tail(RECENT_CHANGES)
    if len(planned) < LEAST_CHANGES:
        return None
    ages = planned["age"].to_numpy(dtype=float)
    age = float(np.median(ages))
    margin = float(margin_of(np.array(age)))
    within = np.abs(ages - age) <= margin
    if within.mean() < SHARE_WITHIN:
        return None
    changed = int(within.sum())
    # Parts that were let run past that age since the practice began.
    passed_on = lives["new_on"] + pd.to_timedelta(age + margin, "D")
    since = planned["removed_on"].min()
    beyond = int(((lives["age"] > age + margin) & (passed_on >= since)).sum())
    if changed < SHARE_CHANGED * (changed + beyond):
        return None
    return PlannedPractice(kind, age, changed, changed + beyond)
