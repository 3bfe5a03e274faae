"""Was the routine kept in the month?"""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

COLUMNS = ("printer", "task", "due", "in_time", "late", "missed", "share")


def routine_kept(records: Records, first: date, last: date) -> pd.DataFrame:
    """Due tasks and those done in time per printer and task: COLUMNS."""
    if records.routines.empty:
        return pd.DataFrame(columns=list(COLUMNS))
    from tracker.decisions.due import adherence

    return adherence(records, first, last)[list(COLUMNS)].reset_index(drop=True)


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


def sentence(kept: pd.DataFrame) -> str:
    """The month's routine in one sentence, with what was skipped most."""
    due, done = float(kept["due"].sum()), float(kept["in_time"].sum())
    if not due:
        return "No routine task was due."
    told = f"{100 * done / due:.0f} % of the routine was kept: {done:.0f} of {due:.0f} due tasks"
    told += " were done in time."
    for _, worst in not_always_kept(kept).iloc[:1].iterrows():
        told += (
            f" Most often late or skipped: “{words.task_label(worst['task'])}” on "
            f"{worst['printer']} ({worst['not_kept']:.0f} of "
            f"{worst['due']:.0f} times)."
        )
    return told
