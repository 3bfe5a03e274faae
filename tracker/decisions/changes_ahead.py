"""Which parts in the printers now are to be changed by plan, and on which day?"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.planned_change import planned_ages
from tracker.forecast.fitted_lives import fit_lives
from tracker.lives.open_days import Closures
from tracker.workshop.columns.day_numbers import day_number, day_of
from tracker.workshop.records import Records

COLUMNS = ("part_kind", "variant", "printer", "position", "age", "change_on")
_GROUP = ["part_kind", "ink", "variant", "printer"]


def changes_ahead(records: Records, as_of: date) -> pd.DataFrame:
    """The running parts for which a change by plan pays, the earliest first.

    COLUMNS, index of the fitting: ``age`` in open days at which a change is cheapest
    (``planned_ages``), ``change_on`` the day on which the part reaches it, which may have passed.
    A part whose fitting day is not known has none and is left out.
    """
    fitted = fit_lives(records, as_of)
    plans = planned_ages(records, as_of, fitted=fitted).by_printer
    plans = plans[plans["pays"].astype(bool)].set_index(_GROUP)["age"]
    running = fitted.running
    if plans.empty or running.empty:
        return pd.DataFrame(columns=list(COLUMNS))
    group = pd.MultiIndex.from_frame(running[_GROUP].astype(str))
    age = plans.reindex(group).to_numpy(dtype=float)
    planned = running.assign(age=age)[np.isfinite(age) & running["fitted_on"].notna().to_numpy()]
    closures = Closures.of(fitted.known)
    days = [
        day_of(closures.after_open_days(row.printer, day_number(row.fitted_on.date()), round(age)))
        for row, age in zip(planned.itertuples(), planned["age"], strict=True)
    ]
    found = planned[list(COLUMNS[:-1])].assign(change_on=days)
    return found.sort_values("change_on", kind="stable")
