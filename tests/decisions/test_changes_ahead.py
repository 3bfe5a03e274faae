"""On which day is a part in a printer to be changed by plan?"""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

import pandas as pd

from tests.review.test_printer_level import workshop
from tracker.decisions.changes_ahead import COLUMNS, changes_ahead
from tracker.decisions.planned_change import planned_ages
from tracker.workshop.records import Records

TODAY = date(2026, 6, 30)
# A failure that spoils much, so that a change by plan pays where parts wear out alike.
DEAR = pd.DataFrame(
    {"part_kind": ["wiper"], "unit_cost": [1.0], "spoiled_per_failure": [2000.0],
     "hours_to_change": [0.1], "recovery_minutes": [0.0]}
)  # fmt: skip


def test_the_day_is_the_fitting_day_and_the_cheapest_age_later_without_closed_days() -> None:
    records = workshop(Left=60, Right=90).with_table("parts", DEAR)
    ages = planned_ages(records, TODAY).by_printer.set_index("printer")
    assert ages["pays"].all()
    found = changes_ahead(records, TODAY)
    assert len(found) == 4  # two places in each of two printers
    assert found["change_on"].is_monotonic_increasing
    for row in found.itertuples():
        fitted = records.fittings.loc[row.Index, "fitted_on"].date()
        assert row.change_on.date() == fitted + timedelta(days=ceil(ages.loc[row.printer, "age"]))

    # The same, had the workshop been shut for ten days after the last fitting: ten days later.
    last = records.fittings.loc[found.index, "fitted_on"].max()
    shut = pd.DataFrame(
        {"began_on": [last + pd.Timedelta(days=1)], "ended_on": [last + pd.Timedelta(days=10)]}
    )
    closed = changes_ahead(records.with_table("closures", shut), TODAY)
    ages = planned_ages(records.with_table("closures", shut), TODAY).by_printer.set_index("printer")
    for row in closed.itertuples():
        fitted = records.fittings.loc[row.Index, "fitted_on"].date()
        assert row.change_on.date() == fitted + timedelta(
            days=10 + ceil(ages.loc[row.printer, "age"])
        )


def test_where_no_change_pays_none_is_planned() -> None:
    records = Records()
    assert list(changes_ahead(records, TODAY).columns) == list(COLUMNS)
    assert changes_ahead(records, TODAY).empty
