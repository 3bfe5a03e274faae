"""Failures before the log's first day: kept, but no life is learnt from them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracker.language import _
from tracker.workshop.checks.standing_notices import rows_of
from tracker.workshop.records import Records


@dataclass(frozen=True)
class FailedBeforeLog:
    """Labels of those fittings, the day of the first of them and the log's first day."""

    fittings: tuple[object, ...]
    first: date
    began: date

    def notice(self) -> str:
        """What is left out and the command that changes it, for the command line."""
        return _(
            "{where}: failed before the log's first day ({began}), so the models leave it out; if "
            "every failure since {first} is written down, load those files again with "
            "--earlier-days.",
            where=rows_of(self.fittings, "fittings"),
            began=self.began,
            first=self.first,
        )


def failed_before_log(records: Records) -> FailedBeforeLog | None:
    """Which failures and accidents does a stated first day of the log leave out of the models?"""
    stated = records.setting("log_began_on").strip()
    began = pd.to_datetime(stated, format="%Y-%m-%d", errors="coerce")
    if pd.isna(began):  # none is stated; what is no day is refused elsewhere
        return None
    fittings = records.fittings
    failed = fittings["removal_reason"].isin(["failed", "accident"])
    removed = fittings.loc[failed & (fittings["removed_on"] < began), "removed_on"]
    if removed.empty:
        return None
    return FailedBeforeLog(tuple(removed.index), removed.min().date(), began.date())
