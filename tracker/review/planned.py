"""Which planned changes fall due in the next months, where changing by plan pays at all?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.decisions.failure_cost import FailureCosts
from tracker.decisions.replacement_age import NO_BENEFIT, best_age
from tracker.forecast.need import NeedModel
from tracker.forecast.positions.fitted_positions import fitted_positions
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "position",
    "age_days",
    "change_at_days",
    "due_on",
    "saving",
    "chance_it_pays",
)
AHEAD_DAYS = 182


def planned_changes(
    records: Records, as_of: date, lives: pd.DataFrame, models: Mapping[str, NeedModel]
) -> pd.DataFrame:
    """Fitted parts that reach the age of their planned change within six months: COLUMNS.

    The age is the cheapest one of the part's kind and group, where a planned change beats running
    to failure by 1 % or more and is more likely than not to pay; ``saving`` is a share of the
    run-to-failure cost. ``due_on`` is not before the day looked from. A part of unknown age has
    no due day and is left out. The earliest first.
    """
    positions = fitted_positions(records, as_of, models, lives)
    positions = positions[positions["age_known"]]
    kinds = [kind for kind in models if (positions["part_kind"] == kind).any()]
    pieces = []
    reckoned = FailureCosts.of(records.known_at(as_of), as_of, lives)
    for kind in kinds:
        model = models[kind]
        costs = reckoned.of_kind(kind, spare_on_shelf=True)
        planned = costs.planned
        if not model.wears or not 0 < planned < costs.total:
            continue
        own = positions[positions["part_kind"] == kind]
        for group, rows in own.groupby("group", sort=True):
            life = model.posterior(str(group))
            if not _may_pay(life, model.facts.typical_life_days, planned, costs.total):
                continue
            found = best_age(life, planned, costs.total)
            if found.worthwhile and found.chance_it_pays > 0.5:
                pieces.append(
                    rows.assign(
                        change_at_days=found.age,
                        saving=found.saving,
                        chance_it_pays=found.chance_it_pays,
                    )
                )
    if not pieces:
        return pd.DataFrame(columns=list(COLUMNS))
    table = pd.concat(pieces).rename(columns={"age": "age_days"})
    left = np.maximum(np.ceil(table["change_at_days"] - table["age_days"]), 0)
    table["due_on"] = pd.Timestamp(as_of) + pd.to_timedelta(left, unit="D")
    soon = table[left <= AHEAD_DAYS].sort_values(["due_on", "printer", "position"])
    return soon[list(COLUMNS)].reset_index(drop=True)


def _may_pay(life: Any, typical_days: float, planned: float, failing: float) -> bool:
    """A coarse look that spares the exact one: could an age save half of what counts?"""
    ages = np.geomspace(typical_days / 50, typical_days * 200, 120)
    nodes = life.nodes(6, 8)
    failed = -np.expm1(-nodes.cumulative_hazard(ages))
    mean = 1 - (failed[:, 1:] + failed[:, :-1]) / 2
    lived = ages[0] + np.cumsum(np.diff(ages) * mean, axis=1)
    by_plan = nodes.weight @ ((planned + (failing - planned) * failed[:, 1:]) / lived)
    to_failure = nodes.weight @ (failing * failed[:, -1] / lived[:, -1])
    return bool(by_plan.min() < (1 - NO_BENEFIT / 2) * to_failure)
