"""Warranty: what is still to claim, what waits for an answer, what ends soon."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.warranty import claims_open, warranty_ending
from tracker.say.warranty import claim_line, reminder
from tracker.workshop.records import Records


def claimed(claim: str = "", amount: float | None = None, reason: str = "failed") -> Records:
    """A head fitted on 1 January that failed on 20 February; its warranty runs 90 days."""
    fitted = rows(
        "printer part_kind position fitted_on removed_on removal_reason supplier claim "
        "claim_amount",
        ("A", "head", "H1", "2025-01-01", "2025-02-20", reason, "Ink Barn", claim, amount),
        ("A", "head", "H1", "2025-02-20", None, "", "", "", None),
    )
    parts = rows("part_kind warranty_days", ("head", 90))
    return workshop(1, parts=parts).with_table("fittings", fitted)


def ends(records: Records, day: date) -> list[pd.Timestamp]:
    return list(warranty_ending(records, day)["warranty_ends"])


@pytest.mark.parametrize(
    ("day", "reminded"),
    [
        # 1 January and 90 days are 1 April, by hand; 30 days before it is 2 March.
        (date(2025, 2, 19), False),
        (date(2025, 3, 1), False),
        (date(2025, 3, 2), True),
        (date(2025, 4, 1), True),
        (date(2025, 4, 2), False),
    ],
)
def test_a_failed_part_is_told_in_the_last_30_days_of_its_warranty(
    day: date, reminded: bool
) -> None:
    expected = [pd.Timestamp("2025-04-01")] if reminded else []
    assert ends(claimed(), day) == expected


@pytest.mark.parametrize("claim", ["sent", "credited", "refused"])
def test_a_claim_written_down_is_asked_for_no_more(claim: str) -> None:
    assert ends(claimed(claim, 100.0), date(2025, 3, 10)) == []


def test_an_accident_is_no_claim() -> None:
    assert claims_open(claimed(reason="accident"), date(2025, 3, 10)).empty


@pytest.mark.parametrize(("kind_days", "type_days", "inside"), [(30, 90, True), (90, 30, False)])
def test_the_warranty_is_that_of_the_type(kind_days: int, type_days: int, *, inside: bool) -> None:
    records = claimed()
    fittings = records.fittings.assign(variant="large head")
    parts = rows(
        "part_kind variant warranty_days",
        ("head", "", kind_days),
        ("head", "large head", type_days),
    )
    records = records.with_table("fittings", fittings).with_table("parts", parts)
    assert len(claims_open(records, date(2025, 3, 10))) == inside


def test_a_sent_claim_stays_open_after_the_warranty_until_it_is_answered() -> None:
    day = date(2025, 8, 1)
    assert claims_open(claimed("sent", 100.0), day)["claim"].tolist() == ["sent"]
    assert claims_open(claimed("credited", 100.0), day).empty
    assert claims_open(claimed("refused"), day).empty


def test_a_claim_line_says_how_it_stands() -> None:
    day = date(2025, 3, 10)
    to_send: Any = next(claims_open(claimed(), day).itertuples())
    sent: Any = next(claims_open(claimed("sent", 100.0), day).itertuples())
    assert claim_line(to_send, "EUR") == (
        "Printhead H1 of A from Ink Barn, failed 20 Feb 2025 – warranty to 1 Apr 2025"
    )
    assert claim_line(sent, "EUR") == (
        "Printhead H1 of A from Ink Barn, failed 20 Feb 2025 – claim sent: 100 €"
    )
    assert reminder(to_send) == (
        "**Printhead H1 of A** failed 20 Feb 2025: send the claim to Ink Barn, warranty to "
        "1 Apr 2025."
    )
