"""What the invented workshop wrote down at its last reviews: some done, some still open."""

from __future__ import annotations

import pandas as pd

# month, action, reason, assigned to, written on, done on, place, what it was proposed from
_ACTIONS = (
    (
        "2026-08-01", "Order 7 × damper (61 €).",
        "About 7.7 needed in the next 38 days (delivery and review); 13 on the shelf: 12 % chance "
        "of running short, wanted is at most 5 %, which takes 17.",
        "Mara", "2026-09-02", "2026-09-03", 1, "order damper",
    ),
    (
        "2026-08-01", "Keep “Nozzle check” on Window in time, or change how often it is due.",
        "10 of 21 were done in time, 0 late, 11 not at all.",
        "Jonas", "2026-09-02", None, 2, "routine nozzle_check Window",
    ),
    (
        "2026-09-01", "Look into Loft's waste tank every Friday.",
        "“Empty the waste tank” was done in time 2 of 4 times.",
        "Ines", "2026-10-02", None, 1, "routine empty_waste Loft",
    ),
    (
        "2026-09-01", "Ask Millbrook Supply which lot the next dampers come from.",
        "Lot Da-M77 must not come again.",
        "Mara", "2026-10-02", "2026-10-06", 2, "",
    ),
)  # fmt: skip
_NOTES = (
    (
        "2026-09-01",
        "Jonas is away from 19 to 23 October: Ines takes over Window and Door.\n"
        "Looked at prices of a second film roll holder; not this year.",
        "2026-10-02",
    ),
)


def demo_actions() -> pd.DataFrame:
    """The actions of the August and the September review."""
    names = ("month", "action", "reason", "assigned_to", "written_on", "done_on", "place",
             "made_from")  # fmt: skip
    return pd.DataFrame(list(_ACTIONS), columns=list(names))


def demo_notes() -> pd.DataFrame:
    """The note beside the September review."""
    return pd.DataFrame(list(_NOTES), columns=["month", "note", "written_on"])
