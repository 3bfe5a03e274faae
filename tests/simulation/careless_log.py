"""What careless people make of a log: reasons mistaken, entries forgotten, weeks not written down.

Each takes the records as they ought to be and gives them as they were kept.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import pandas as pd

from tracker.workshop.records import Records


def called_planned(records: Records, share: float, rng: np.random.Generator) -> Records:
    """So large a share of what symptoms called for is written down as planned."""
    log = records.maintenance.copy()
    mistaken = (log["why"] == "symptom").to_numpy() & (rng.random(len(log)) < share)
    log.loc[mistaken, "why"] = "planned"
    # The same work on the same day is one entry.
    key = ["printer", "task", "done_on", "why", "position"]
    return records.with_table("maintenance", log.drop_duplicates(key))


def half_written(records: Records, task: str, share: float, rng: np.random.Generator) -> Records:
    """Of one task only such a share is written down."""
    log = records.maintenance
    gone = (log["task"] == task).to_numpy() & (rng.random(len(log)) >= share)
    return records.with_table("maintenance", log[~gone])


def thinned_in_bad_weeks(records: Records, share: float, rng: np.random.Generator) -> Records:
    """In weeks with a failure only such a share of the work is written down."""
    log, failed = records.maintenance, records.fittings
    failed = failed[failed["removal_reason"] == "failed"]
    bad = pd.MultiIndex.from_arrays([failed["printer"], _week(failed["removed_on"])])
    here = pd.MultiIndex.from_arrays([log["printer"], _week(log["done_on"])]).isin(bad)
    return records.with_table("maintenance", log[~(here & (rng.random(len(log)) >= share))])


def silent(records: Records, printers: Collection[str], first: str, last: str) -> Records:
    """Nothing was written down of the work on these printers from a day to a day."""
    log = records.maintenance
    gone = log["printer"].isin(list(printers)) & log["done_on"].between(first, last)
    return records.with_table("maintenance", log[~gone])


def _week(days: pd.Series) -> pd.Series:
    weeks: pd.Series = (days - pd.Timedelta(days=1) * days.dt.weekday).dt.normalize()
    return weeks
