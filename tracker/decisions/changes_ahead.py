"""Which parts in the printers now are to be changed by plan, and on which day?"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from tracker.decisions.planned_change import planned_ages
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.lives.open_days import Closures
from tracker.workshop.columns.day_numbers import day_number
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
    "change_on",
    "saving",
    "chance_it_pays",
)
_SHARED = ["part_kind", "ink", "variant", "printer"]


def changes_ahead(
    records: Records, as_of: date, *, fitted: FittedLives | None = None
) -> pd.DataFrame:
    """The running parts for which a change by plan pays, the earliest first.

    COLUMNS, index of the fitting: ``group`` its ink or type where the kind has several;
    ``age_days`` and ``change_at_days`` the age and that at which a change is cheapest, both in
    open days, of a part of its group in its printer (``planned_ages``, as ``saving``, a share of
    the run-to-failure cost, and ``chance_it_pays``); ``change_on`` the day on which the part
    reaches it, which may have passed. Where its age is not known (``age_known`` False) the age to
    be expected counts. ``fitted``: ``fit_lives`` of that day, where it was already asked.
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
    planned = running[["part_kind", "variant", "printer", "position"]].assign(
        group=told["group"],
        age_days=fitted.age_told(running.index, lambda own: own.mean),
        age_known=running["age"].notna(),
        change_at_days=told["age"],
        saving=told["saving"],
        chance_it_pays=told["chance_it_pays"],
    )[told["pays"].eq(True)]
    open_numbers = Closures.of(fitted.known).open_numbers(planned["printer"])
    today = np.full(len(planned), day_number(as_of))
    began = today - np.round(planned["age_days"].to_numpy()).astype(np.int64)
    closed = open_numbers.closed_between(began, today)
    open_days = np.ceil(planned["change_at_days"].to_numpy()).astype(np.int64)
    found = planned.assign(
        age_days=planned["age_days"] - closed,
        change_on=open_numbers.after_open_days(began, open_days).astype("datetime64[D]"),
    )
    return found.sort_values(["change_on", "printer", "position"])[list(COLUMNS)]
