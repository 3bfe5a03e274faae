"""What cannot be true in a workshop's records, and what is only doubtful.

``refusals`` looks at the state after a change and names everything that cannot be true, in a
sentence a technician understands. Doubtful but possible things are told by ``notices`` instead,
and by ``failed_before_log`` what a late first day of the log leaves out of the models;
``unusual_figures`` are those among them that a person is asked about while they come in.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pandas as pd

from tracker.workshop.checks.cells import below_least, check_cells
from tracker.workshop.checks.log_start import FailedBeforeLog, failed_before_log
from tracker.workshop.checks.notices import notices
from tracker.workshop.checks.rows import check_rows, setting_problem
from tracker.workshop.checks.state import check_state
from tracker.workshop.checks.unusual import UnusualFigures, unusual, unusual_figures
from tracker.workshop.checks.unusual_prices import odd_price
from tracker.workshop.records import Records
from tracker.workshop.refusal import Findings, Refusal, nearest_word

__all__ = [
    "FailedBeforeLog",
    "Refusal",
    "UnusualFigures",
    "below_least",
    "failed_before_log",
    "nearest_word",
    "notices",
    "odd_price",
    "refusals",
    "setting_problem",
    "unusual",
    "unusual_figures",
]


def refusals(
    candidate: Records,
    only: Mapping[str, pd.Index] | None = None,
    today: date | None = None,
) -> list[Refusal]:
    """What of this state cannot be true?

    ``candidate`` is the state after the change. ``only`` names the rows the change touches, by
    table and index: only these are refused, but against everything that is there (name a table
    with an empty index when rows of it were removed or renamed). ``today`` refuses days after
    it. Returns the refusals by table, row and column; an empty list when all can be true.

    A counter that goes down is refused, for a lost digit would spoil every life in m²; a counter
    that was reset is kept as the running total, and the refusal says which total to write.

    >>> from tracker.workshop.contract import TABLE_BY_NAME
    >>> records = Records.of({
    ...     "printers": pd.DataFrame({"printer": ["P1"], "started_on": ["2026-01-01"]}, index=[2]),
    ...     "counters": pd.DataFrame(
    ...         {"printer": "P1", "read_on": ["2026-02-01", "2026-03-01"], "area_m2": [120, 12]},
    ...         index=[2, 3]),
    ... })
    >>> [refusal.column for refusal in refusals(records)]
    ['area_m2']
    """
    found = Findings(candidate, only, today)
    check_cells(found)
    check_rows(found)
    check_state(found)
    return found.sorted()
