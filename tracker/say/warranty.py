"""Warranty claims in words."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.say import numbers, part_types

CLAIM_LABELS = {"sent": "Claim sent", "credited": "Credited", "refused": "Refused"}


def claim_line(row: Any, currency: str) -> str:
    """One line of ``claims_open``: the part, when it failed, how its claim stands."""
    name = f"**{part_types.placed(row)}**"
    bought = f" from {row.supplier}" if row.supplier else ""
    failed = f", failed {numbers.day(row.failed_on.date())}"
    if row.claim == "sent":
        amount = "" if pd.isna(row.claim_amount) else numbers.money(row.claim_amount, currency)
        return f"{name}{bought}{failed} – claim sent{f': {amount}' if amount else ''}"
    return f"{name}{bought}{failed} – {_ends(row)}"


def reminder(row: Any) -> str:
    """What Today says of a failed part whose warranty ends soon; a row of ``warranty_ending``."""
    name = f"**{part_types.placed(row)}**"
    bought = f" to {row.supplier}" if row.supplier else ""
    return (
        f"{name} failed {numbers.day(row.failed_on.date())}: send the claim{bought}, {_ends(row)}"
    )


def _ends(row: Any) -> str:
    return f"warranty to {numbers.day(row.warranty_ends.date())}"
