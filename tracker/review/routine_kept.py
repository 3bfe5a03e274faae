"""Was the routine kept in the month?"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.decisions.due import adherence
from tracker.workshop.records import Records

COLUMNS = ("printer", "task", "due", "in_time", "late", "missed", "share")


def routine_kept(known: Records, first: date, last: date) -> pd.DataFrame:
    """Due tasks and those done in time per printer and task: COLUMNS.

    ``known``: the records as known on the last day.
    """
    return adherence(known, first, last)[list(COLUMNS)]


def kept_by_printer(kept: pd.DataFrame) -> pd.DataFrame:
    """All tasks of each printer together: ``due, in_time, late, missed, share``."""
    counts = ["due", "in_time", "late", "missed"]
    together = kept.groupby("printer", sort=False)[counts].sum()
    return together.assign(share=together["in_time"] / together["due"])


def not_always_kept(kept: pd.DataFrame) -> pd.DataFrame:
    """The tasks not always done in time, the most often late or skipped first."""
    rows = kept.assign(not_kept=kept["due"] - kept["in_time"])
    rows = rows[rows["not_kept"] > 0]
    return rows.sort_values("not_kept", ascending=False, kind="stable")
