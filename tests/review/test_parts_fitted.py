"""What was in when the log or the printer began was not bought in that month."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.decisions.workshops import rows, setting
from tracker.review.happened import parts_fitted
from tracker.review.period import period_of
from tracker.workshop.records import Records

TODAY = date(2026, 10, 31)
FITTINGS = "printer part_kind position fitted_on removed_on removal_reason unit_cost"


def fitted(*fittings: tuple[Any, ...], came: str = "2025-01-01", began: str = "") -> list[str]:
    printers = rows("printer started_on", ("A", came))
    tables = {"printers": printers, "fittings": rows(FITTINGS, *fittings)}
    if began:
        tables["settings"] = setting(log_began_on=began)
    records = Records.of(tables)
    return parts_fitted(records, period_of(records, TODAY, TODAY))["part_kind"].tolist()


NEW_HEAD = ("A", "head", "H1", "2026-10-12", None, "", 600.0)


@pytest.mark.parametrize("began", ["2026-10-12", "2026-09-01"])
@pytest.mark.parametrize("came", ["2026-10-12", "2025-01-01"])
def test_a_part_counts_unless_it_was_in_when_log_or_printer_began(came: str, began: str) -> None:
    there_at_first = "2026-10-12" in (came, began)
    assert fitted(NEW_HEAD, came=came, began=began) == ([] if there_at_first else ["head"])


def test_one_that_took_another_s_place_on_that_day_counts() -> None:
    old = ("A", "wiper", "wiper", None, "2026-10-12", "failed", None)
    new = ("A", "wiper", "wiper", "2026-10-12", None, "", 8.0)
    assert fitted(NEW_HEAD, old, new, began="2026-10-12") == ["wiper"]
