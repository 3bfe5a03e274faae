"""Stoppages of one printer that cannot both be true."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.language import _
from tracker.workshop.clocks.changes import true_times, zone_of
from tracker.workshop.refusal import Findings, written


def check_stoppages(found: Findings) -> None:
    """A printer that stands still cannot stop again before it ran."""
    frame = found.records.stoppages
    judged = found.judged("stoppages")
    began, ended = true_times(frame, zone_of(found.records))
    until = np.where(np.isnat(ended), pd.Timestamp.max.to_datetime64(), ended)
    for printer, places in frame.groupby("printer", sort=False).indices.items():
        known = places[~np.isnat(began[places])]
        ordered = known[np.lexsort((until[known], began[known]))]
        overlaps = began[ordered[1:]] < np.maximum.accumulate(until[ordered[:-1]])
        for spot in np.flatnonzero(overlaps) + 1:
            earlier = ordered[int(np.argmax(until[ordered[:spot]]))]
            _refuse_stoppage(found, str(printer), int(earlier), int(ordered[spot]), judged)


def _refuse_stoppage(
    found: Findings, printer: str, earlier: int, later: int, judged: np.ndarray
) -> None:
    """Refuses the judged one of two stoppages that overlap."""
    frame = found.records.stoppages
    target, other = (later, earlier) if judged[later] else (earlier, later)
    since, until = (written(frame[name].iloc[other]) for name in ("began_at", "ended_at"))
    row = found.row_name("stoppages", other)
    is_open = pd.isna(frame["ended_at"].iloc[earlier])
    column = "began_at" if target == later else "ended_at"
    if target == later and is_open:
        problem = _(
            "falls while {printer} still stands since {began} (row {row})",
            printer=printer,
            began=since,
            row=row,
        )
        mend = _("write when that stoppage ended, or take one of them out")
    elif target == later:
        problem = _(
            "falls while {printer} stands from {since} to {until} (row {row})",
            printer=printer,
            since=since,
            until=until,
            row=row,
        )
        mend = _("correct the times, or take one of the two out")
    elif is_open:
        problem = _(
            "is empty, and {printer} stopped again {began} (row {row})",
            printer=printer,
            began=since,
            row=row,
        )
        mend = _("write when it ran again, or take one of them out")
    else:
        problem = _(
            "is after {printer} stopped again {since} (row {row})",
            printer=printer,
            since=since,
            row=row,
        )
        mend = _("correct the times, or take one of the two out")
    found.refuse_row("stoppages", target, column, problem, mend)
