"""What the invented workshop wrote down at its last reviews: some done, some still open."""

from __future__ import annotations

import pandas as pd

# month, action, reason, assigned to, written on, done on, place, what it was proposed from
_ACTIONS = (
    (
        "2026-08-01", "Order 1 × ink pump (56 €).",
        "About 0.52 needed in the next 46 days (delivery and review); 1 on the shelf: 10 % chance "
        "of running short, wanted is at most 5 %, which takes 2. With this one there will be 2.",
        "Mara", "2026-09-02", "2026-09-10", 1, "order pump",
    ),
    (
        "2026-08-01", "Find out who delivers six-channel heads within a week.",
        "Window stood from 20 to 31 August until one came.",
        "Jonas", "2026-09-02", None, 2, "",
    ),
    (
        "2026-09-01",
        "Keep “Clean wiper blade and cap edge” on Window in time, or change how often it is due.",
        "In September 2026 6 of 9 were done in time, 1 late, 2 not at all.",
        "Ines", "2026-10-02", None, 1, "routine clean_wiper_cap Window",
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
