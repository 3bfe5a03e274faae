"""What happened to one printer, and what it does now, against records written by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tracker.lives.printer_history import RUNNING, latest_counts, printer_history
from tracker.lives.printer_state import CLOSED, LEFT, PRINTS, STANDS, printer_states
from tracker.workshop.records import Records

TODAY = date(2026, 10, 31)


def by_hand(**tables: pd.DataFrame) -> Records:
    """Left and Right, with one life of each sort in Left."""
    frames = {
        "printers": rows(
            "printer started_on site channels retired_on",
            ("Left", "2025-01-01", "Hall", "C K W1", None),
            ("Right", "2025-01-01", "Hall", "C K W1", None),
            ("Gone", "2024-01-01", "", "K", "2026-05-04"),
        ),
        "fittings": rows(
            "printer part_kind position fitted_on removed_on removal_reason failure_mode",
            ("Left", "damper", "W1", "2025-01-01", "2025-06-30", "failed", "filter full"),
            ("Left", "damper", "W1", "2025-06-30", "2026-03-02", "with_other", ""),
            ("Left", "damper", "W1", "2026-03-02", None, "", ""),
            ("Left", "head", "H1", None, "2026-03-02", "failed", "electrical"),
            ("Left", "head", "H1", "2026-03-02", None, "", ""),
            ("Left", "damper", "C", "2025-01-01", "2025-10-31", "planned", ""),
            ("Right", "head", "H1", "2025-01-01", None, "", ""),
        ),
        "maintenance": rows(
            "printer task done_on why",
            ("Left", "flush_in_place", "2025-02-01", "planned"),
            ("Left", "flush_in_place", "2026-02-01", "symptom"),
            ("Right", "flush_in_place", "2026-02-01", "planned"),
        ),
        "nozzle_checks": rows(
            "printer position channel checked_on missing_nozzles",
            ("Left", "H1", "W1", "2026-03-01", 40),
            ("Left", "H1", "W1", "2026-10-01", 3),
            ("Left", "H1", "K", "2026-10-01", 0),
            ("Left", "H1", "C", "2026-03-01", 7),
        ),
    }
    return Records.of(frames | tables)


def stops(*values: tuple[str, str, str | None, str]) -> pd.DataFrame:
    frame = pd.DataFrame(values, columns=["printer", "began_at", "ended_at", "cause"])
    for name in ("began_at", "ended_at"):
        frame[name] = pd.to_datetime(frame[name])
    return frame


def test_twelve_months_hold_what_ended_or_runs_in_them_and_nothing_older() -> None:
    history = printer_history(by_hand(), TODAY, "Left", 365)
    # The last of 365 days is today, so the first is 1 November 2025.
    assert history.first == date(2025, 11, 1)
    told = [
        (row.part_kind, row.position, f"{row.from_day:%Y-%m-%d}", f"{row.until_day:%Y-%m-%d}",
         row.end)
        for row in history.fittings.itertuples()
    ]  # fmt: skip
    assert told == [
        ("damper", "W1", "2025-11-01", "2026-03-02", "with_other"),
        ("damper", "W1", "2026-03-02", "2026-10-31", RUNNING),
        ("head", "H1", "2025-11-01", "2026-03-02", "failed"),
        ("head", "H1", "2026-03-02", "2026-10-31", RUNNING),
    ]
    assert history.work["task"].tolist() == ["flush_in_place"]
    assert history.work["why"].tolist() == ["symptom"]
    assert len(history.changes) == 2
    assert history.head_changes["fitted_on"].dt.strftime("%Y-%m-%d").tolist() == ["2026-03-02"]


def test_the_whole_log_begins_with_its_first_entry() -> None:
    history = printer_history(by_hand(), TODAY, "Left")
    assert history.first == date(2025, 1, 1)
    assert len(history.fittings) == 6
    assert history.places == (("head", "H1"), ("damper", "C"), ("damper", "W1"))
    assert history.channels == (("H1", "C"), ("H1", "K"), ("H1", "W1"))


def test_what_comes_later_is_not_known_yet() -> None:
    history = printer_history(by_hand(), date(2026, 3, 1), "Left")
    running = history.fittings[history.fittings["end"] == RUNNING]
    assert running["part_kind"].tolist() == ["damper", "head"]
    assert history.head_changes.empty


def test_a_count_from_before_the_new_head_is_no_longer_told() -> None:
    latest = latest_counts(printer_history(by_hand(), TODAY, "Left", 365))
    # C was counted with the old head only.
    assert latest["channel"].tolist() == ["K", "W1"]
    assert latest["missing_nozzles"].tolist() == [0, 3]


def test_two_stoppages_at_one_time_are_counted_once() -> None:
    records = by_hand(
        stoppages=stops(
            ("Left", "2026-05-04 00:00", "2026-05-06 00:00", "head"),
            ("Left", "2026-05-05 00:00", "2026-05-07 12:00", "cap"),
            ("Left", "2026-10-31 06:00", None, "film"),
        )
    )
    history = printer_history(records, TODAY, "Left", 365)
    # 4 May 0:00 to 7 May 12:00, and 18 hours of 31 October.
    assert history.stood_days == pytest.approx(3.5 + 0.75)
    assert history.stoppages["is_open"].tolist() == [False, False, True]


def test_a_stoppage_goes_before_closed_days_and_those_before_printing() -> None:
    records = by_hand(
        stoppages=stops(
            ("Left", "2026-10-30 09:15", None, "waits for a head"),
            ("Left", "2026-10-31 07:00", None, "film"),
            ("Right", "2026-10-29 09:00", "2026-10-29 10:00", "film"),
        ),
        closures=rows(
            "began_on ended_on site printer",
            ("2026-10-30", "2026-11-02", "Hall", ""), ("2026-11-03", "2026-11-04", "", "Right"),
        ),
    )  # fmt: skip
    states = printer_states(records, TODAY)
    assert [one.state for one in states.values()] == [STANDS, CLOSED, LEFT]
    assert states["Left"].since == pd.Timestamp("2026-10-30 09:15")
    assert states["Left"].cause == "waits for a head"
    # Closures that touch are one: the last closed day is that of the second.
    assert states["Right"].until == date(2026, 11, 4)
    assert states["Gone"].since == pd.Timestamp("2026-05-04")
    assert printer_states(records, date(2026, 10, 28))["Left"].state == PRINTS
