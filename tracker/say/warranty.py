"""Warranty claims in words."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.language import N_, _
from tracker.say import numbers, part_types

CLAIM_LABELS = {"sent": N_("Claim sent"), "credited": N_("Credited"), "refused": N_("Refused")}


def claim_line(row: Any, currency: str) -> str:
    """One line of ``claims_open``: the part, when it failed, how its claim stands."""
    name = part_types.placed(row)
    failed = (
        _(
            "{name} from {supplier}, failed {failed_on}",
            name=name,
            supplier=row.supplier,
            failed_on=numbers.day(row.failed_on.date()),
        )
        if row.supplier
        else _("{name}, failed {failed_on}", name=name, failed_on=numbers.day(row.failed_on.date()))
    )
    if row.claim != "sent":
        return f"{failed} – {_ends(row)}"
    if pd.isna(row.claim_amount):
        return _("{failed} – claim sent", failed=failed)
    amount = numbers.money(row.claim_amount, currency)
    return _("{failed} – claim sent: {amount}", failed=failed, amount=amount)


def reminder(row: Any) -> str:
    """What Today says of a failed part whose warranty ends soon; a row of ``warranty_ending``."""
    name = part_types.placed(row)
    text = (
        N_("**{name}** failed {failed_on}: send the claim to {supplier}, {ends}.")
        if row.supplier
        else N_("**{name}** failed {failed_on}: send the claim, {ends}.")
    )
    return _(
        text,
        name=name,
        failed_on=numbers.day(row.failed_on.date()),
        supplier=row.supplier,
        ends=_ends(row),
    )


def _ends(row: Any) -> str:
    return _("warranty to {warranty_ends}", warranty_ends=numbers.day(row.warranty_ends.date()))
