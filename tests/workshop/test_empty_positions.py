"""Which positions stand empty and wait for a part, and which are closed or given up."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import BEGAN, rows, workshop
from tracker.workshop.checks import notices
from tracker.workshop.empty_positions import empty_positions
from tracker.workshop.records import Records

NAMES = "printer part_kind position fitted_on removed_on removal_reason"
GONE = ("A", "cap", "cap", BEGAN, "2025-06-01", "failed")
# Late delivery of a cap in this workshop, and the slack of thirty days.
LATE = rows("part_kind lead_days lead_days_late", ("cap", 10, 20))


def fitted(*later: Sequence[Any], gone: Sequence[Any] = GONE, **tables: pd.DataFrame) -> Records:
    frames = {"fittings": rows(NAMES, gone, *later), "parts": LATE, **tables}
    own = workshop(1)
    for name, frame in frames.items():
        own = own.with_table(name, frame)
    return own


def waiting(records: Records, *day: int) -> list[str]:
    found = empty_positions(records.known_at(date(*day)), date(*day))
    return found.loc[~found["given_up"], "position"].tolist()


def test_a_position_waits_from_the_day_its_part_is_out_until_the_day_the_next_is_in() -> None:
    records = fitted(("A", "cap", "cap", "2025-06-11", None, ""))
    assert waiting(records, 2025, 5, 31) == []
    assert waiting(records, 2025, 6, 1) == ["cap"]
    assert waiting(records, 2025, 6, 10) == ["cap"]
    assert waiting(records, 2025, 6, 11) == []


def test_a_part_changed_within_a_day_leaves_nothing_empty() -> None:
    assert waiting(fitted(("A", "cap", "cap", "2025-06-01", None, "")), 2025, 6, 1) == []


@pytest.mark.parametrize(
    ("reason", "waits"),
    [("failed", 1), ("accident", 1), ("planned", 1), ("with_other", 1), ("unknown", 1), ("", 1),
     ("retired", 0)],
)  # fmt: skip
def test_the_reason_says_whether_another_one_goes_in(reason: str, waits: int) -> None:
    assert len(waiting(fitted(gone=(*GONE[:-1], reason)), 2025, 6, 5)) == waits


def test_a_part_of_unknown_fitting_day_that_is_in_fills_its_place() -> None:
    assert waiting(fitted(("A", "cap", "cap", None, None, "")), 2025, 6, 5) == []


def test_a_retired_printer_waits_for_nothing() -> None:
    printers = rows("printer started_on retired_on", ("A", BEGAN, "2025-06-03"))
    records = fitted(printers=printers)
    assert waiting(records, 2025, 6, 2) == ["cap"]
    assert waiting(records, 2025, 6, 3) == []


def test_a_kind_that_was_never_there_takes_the_place() -> None:
    assert waiting(fitted(("A", "sponge", "cap", "2025-06-01", None, "")), 2025, 6, 5) == []


def test_a_kind_that_shares_the_name_of_the_channel_takes_no_place() -> None:
    records = fitted(
        ("A", "line", "W1", BEGAN, "2025-06-01", "failed"),
        ("A", "line", "W1", "2025-06-01", None, ""),
        gone=("A", "damper", "W1", BEGAN, "2025-06-01", "failed"),
    )
    assert waiting(records, 2025, 6, 5) == ["W1"]


def test_a_position_long_empty_in_a_printer_at_work_is_given_up() -> None:
    # Late delivery on day 20 and thirty days: the last day of waiting is 21 July.
    stirred = rows("printer task done_on", ("A", "stir_ink", "2025-06-20"))
    assert waiting(fitted(maintenance=stirred), 2025, 7, 21) == ["cap"]
    assert waiting(fitted(maintenance=stirred), 2025, 7, 22) == []
    printed = rows(
        "printer read_on area_m2", ("A", "2025-06-02", 100.0), ("A", "2025-06-30", 130.0)
    )
    assert waiting(fitted(counters=printed), 2025, 7, 22) == []
    pump = ("A", "pump", "pump", "2025-06-20", None, "")
    assert waiting(fitted(pump), 2025, 7, 22) == []


def delivered(*days: int) -> pd.DataFrame:
    """Orders of caps that took so many days each."""
    placed = pd.Timestamp("2024-06-01")
    orders = [("cap", 1, placed, placed + pd.Timedelta(days=taken)) for taken in days]
    return rows("part_kind quantity ordered_on received_on", *orders)


def test_one_delivery_longer_than_the_catalogues_late_one_is_waited_for_too() -> None:
    # Late on day 32 and thirty days: the last day of waiting is 2 August.
    stirred = rows("printer task done_on", ("A", "stir_ink", "2025-06-20"))
    records = fitted(maintenance=stirred, orders=delivered(5, 32))
    assert waiting(records, 2025, 8, 2) == ["cap"]
    assert waiting(records, 2025, 8, 3) == []
    # Quick ones cannot yet shorten what the catalogue says, for they are few.
    quick = fitted(maintenance=stirred, orders=delivered(5, 6))
    assert waiting(quick, 2025, 7, 21) == ["cap"]


def test_many_deliveries_tell_by_themselves_when_one_is_late() -> None:
    # Of ten the ninth took 8 days: waiting ends 38 days after the first of June.
    stirred = rows("printer task done_on", ("A", "stir_ink", "2025-06-20"))
    took = delivered(4, 5, 5, 6, 6, 7, 7, 7, 8, 60)
    records = fitted(maintenance=stirred, orders=took)
    assert waiting(records, 2025, 7, 9) == ["cap"]
    assert waiting(records, 2025, 7, 10) == []
    # Deliveries of another kind, and orders still open, say nothing of a cap's.
    others = took.assign(part_kind="pump")
    coming = took.assign(received_on=pd.NaT)
    for orders in (others, coming):
        assert waiting(fitted(maintenance=stirred, orders=orders), 2025, 7, 21) == ["cap"]


def test_a_printer_that_stands_since_then_goes_on_waiting_for_a_year() -> None:
    stood = rows("printer read_on area_m2", ("A", "2025-06-02", 100.0), ("A", "2025-06-30", 100.0))
    before = rows("printer task done_on", ("A", "stir_ink", "2025-06-01"))
    records = fitted(counters=stood, maintenance=before)
    assert waiting(records, 2026, 6, 1) == ["cap"]
    assert waiting(records, 2026, 6, 2) == []


def test_a_position_given_up_is_asked_about() -> None:
    stirred = rows("printer task done_on", ("A", "stir_ink", "2025-07-22"))
    said = [text for text in notices(fitted(maintenance=stirred)) if "nothing was fitted" in text]
    assert len(said) == 1
    assert said[0].startswith("fittings row 0: ")
    assert "retired" in said[0]
    early = rows("printer task done_on", ("A", "stir_ink", "2025-07-21"))
    assert not any("nothing was fitted" in text for text in notices(fitted(maintenance=early)))
