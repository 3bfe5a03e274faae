"""Warranty claims: sent to the supplier, credited by it, or refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.positions import PartPosition
from tracker.store.database import Store

ClaimState = Literal["sent", "credited", "refused"]


def claim_part(
    store: Store,
    fitting: int,
    state: ClaimState,
    *,
    amount: float | None = None,
    as_read: Mapping[str, object] | None = None,
) -> int | None:
    """Writes down how the claim for a part that came out stands.

    ``fitting`` is the part's record, ``amount`` what is claimed or was credited, in currency
    units; without one the amount written before stays. ``as_read`` is the record as the person
    read it (see ``Batch.correct``).
    RecordError for a part that is still in, and for a credit without an amount.
    """
    with store.change() as change:
        row = change.values("fittings", fitting)
        part = PartPosition(str(row["printer"]), str(row["part_kind"]), str(row["position"]))
        if row["removed_on"] is None:
            raise RecordError(
                _(
                    "{label} of {printer} is still in; log its change first, then the claim.",
                    label=part.label,
                    printer=part.printer,
                )
            )
        known = row["claim_amount"] if amount is None else amount
        if state == "credited" and known is None:
            raise RecordError(_("The credit has no amount; write how much was credited."))
        change.what = _(
            "Claim {state}: {label} of {printer}",
            state=_(state),
            label=part.label,
            printer=part.printer,
        )
        change.correct(
            "fittings", fitting, {"claim": state, "claim_amount": known}, as_read=as_read
        )
    return change.number
