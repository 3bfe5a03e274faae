"""The day the log began is written down by itself when a workshop starts."""

from __future__ import annotations

from datetime import date

from tracker.store.batch import Batch
from tracker.workshop.age_guesses import log_first_day


def begin_log(change: Batch, day: date) -> None:
    """Keeps that day as the log's first, where this change brings the first printers.

    A day that is stated is never overwritten. Failures before it were seen by nobody, so what is
    known of a part then is only that it lasted until the log began.
    """
    if change.records.printers.empty and not _stated(change):
        change.add("settings", {"name": "log_began_on", "value": day.isoformat()})


def begin_log_after_load(change: Batch, day: date) -> None:
    """The same for files: where they bring a history, that says itself when the log began."""
    if not change.records.printers.empty:
        return
    after = change.candidate()
    if len(after.printers) and log_first_day(after) is None:
        begin_log(change, day)


def _stated(change: Batch) -> bool:
    return bool(change.candidate().setting("log_began_on").strip())
