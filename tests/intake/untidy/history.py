"""History of parts that were written down as being in there already."""

from __future__ import annotations

import pandas as pd

from tests.intake.untidy.sheet import WORKSHOP, Untidy, rows, with_log_since
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS

PART = "printer, part_kind, position, fitted_on, removed_on"

_IN_THERE_ALREADY = shape_frame(
    FITTINGS,
    pd.DataFrame({"printer": ["Left"], "part_kind": "wiper", "position": "wiper"}, index=[2]),
)
HISTORY = (
    Untidy(
        "changes of a part that was in there already when the log began, long before",
        "wiper.csv",
        "Printer;Wiper changed\nLeft;5 May 2026\nLeft;1 September 2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, , 2026-05-05
                Left, wiper, wiper, 2026-05-05, 2026-09-01
                Left, wiper, wiper, 2026-09-01,
                """,
            )
        },
        known=WORKSHOP.with_table("fittings", _IN_THERE_ALREADY),
    ),
    Untidy(
        "history of a part that was set up today as being in there already",
        "wipers of the last months.csv",
        "Drucker;Wischer gewechselt\nLeft;5. Mai 2026\nLeft;1. September 2026\n",
        {
            "fittings": rows(
                PART,
                """
                Left, wiper, wiper, 2026-05-05, 2026-09-01
                Left, wiper, wiper, 2026-09-01,
                """,
            )
        },
        known=with_log_since("2026-11-28", WORKSHOP.with_table("fittings", _IN_THERE_ALREADY)),
    ),
)
