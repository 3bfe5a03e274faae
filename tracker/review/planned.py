"""Which planned changes fall due in the next months, where changing by plan pays at all?"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.planned_change import planned_ages
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "variant",
    "group",
    "printer",
    "position",
    "age_days",
    "age_known",
    "change_at_days",
    "due_on",
    "saving",
    "chance_it_pays",
)
AHEAD_DAYS = 182
_SHARED = ["part_kind", "ink", "variant", "printer"]


def planned_changes(
    records: Records, as_of: date, *, fitted: FittedLives | None = None
) -> pd.DataFrame:
    """Fitted parts that reach the age of their planned change within six months: COLUMNS.

    The age and whether it pays are those of ``decisions.planned_change.planned_ages`` for a part
    of its group in its printer; ``saving`` is a share of the run-to-failure cost. ``due_on`` is not
    before the day looked from. Where a part's age is not known (``age_known`` False), ``age_days``
    is the age to be expected. The earliest first. ``group``: its ink
    or type where the kind has several. ``fitted`` may be given where ``fit_lives`` of
    that day was already asked.
    """
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    ages = planned_ages(records, as_of, fitted=fitted).by_printer
    if fitted.told is None or not ages["pays"].any():
        return pd.DataFrame(columns=list(COLUMNS))
    running = fitted.running
    group = fitted.parts(running.index).group
    names = pd.DataFrame([fitted.told.groups[own] for own in group], columns=_SHARED[:3])
    names["printer"] = running["printer"].to_numpy()
    told = names.merge(ages, how="left", on=_SHARED).set_index(running.index)
    table = running[["part_kind", "variant", "printer", "position"]].assign(
        group=told["group"],
        age_days=fitted.age_told(running.index, lambda own: own.mean),
        age_known=running["age"].notna(),
        change_at_days=told["age"],
        saving=told["saving"],
        chance_it_pays=told["chance_it_pays"],
    )[told["pays"].eq(True)]
    left = np.maximum(np.ceil(table["change_at_days"] - table["age_days"]), 0)
    soon = table[left <= AHEAD_DAYS].assign(
        due_on=pd.Timestamp(as_of) + pd.to_timedelta(left[left <= AHEAD_DAYS], unit="D")
    )
    soon = soon.sort_values(["due_on", "printer", "position"])
    return soon[list(COLUMNS)].reset_index(drop=True)
